import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";

/** Where a shared database is, without anything secret in it. */
export interface PostgresAddress {
  /** As it was given; it holds no password. */
  readonly url: string;
  readonly login: string;
  readonly host: string;
  readonly port: string;
  readonly database: string;
  /** For messages: login, host, port and database. */
  readonly name: string;
}

const refused = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-option", message, { remedy }));

const EXAMPLE = "Write it as postgres://LOGIN@HOST/DATABASE.";

/**
 * `postgres://login@host:port/database`, with what follows after a `?` as the driver knows it (`sslmode=verify-full`). A
 * password in it is refused: it would stand in the list of processes, in the history of the shell and in records.
 */
export const parsePostgresAddress = (text: string): Result<PostgresAddress, Fault> => {
  let url: URL;
  try {
    url = new URL(text);
  } catch {
    return refused("The address of the shared database cannot be read.", EXAMPLE);
  }
  if (url.password !== "") {
    return refused(
      "The address of the shared database holds a password, which others could read there.",
      "Take it out, and name a password file in PGPASSFILE or put the password into PGPASSWORD.",
    );
  }
  if (url.protocol !== "postgres:" && url.protocol !== "postgresql:") {
    return refused(`"${url.protocol}" is no shared database.`, EXAMPLE);
  }
  const database = decodeURIComponent(url.pathname.slice(1));
  const login = decodeURIComponent(url.username);
  if (database === "" || login === "" || url.hostname === "") {
    return refused("The address of the shared database lacks its login, host or database.", EXAMPLE);
  }
  return ok({
    url: text,
    login,
    host: url.hostname,
    port: url.port === "" ? "5432" : url.port,
    database,
    name: `${login}@${url.hostname}${url.port === "" ? "" : `:${url.port}`}/${database}`,
  });
};
