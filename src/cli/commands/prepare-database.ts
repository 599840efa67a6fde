import { parsePostgresAddress } from "../../app/records/postgres-address.ts";
import { prepareDatabase, rolesOf } from "../../app/records/postgres-prepare.ts";
import { EXIT } from "../exit-codes.ts";
import { neededOption } from "../needed-option.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly database: string;
  readonly bench: readonly string[];
  readonly reader: readonly string[];
  readonly passwords: string;
  readonly json?: boolean;
}

const HELP = `
The database is made by whoever runs the server, with an owner that may create roles:
  createuser --createrole --pwprompt shop_owner
  createdb --owner shop_owner shop
Then its owner, and again after each new version of this program:
  stillpoint prepare-database --database postgres://shop_owner@server/shop --bench cellar --bench yard --reader office

The password is taken from PGPASSWORD or the file that PGPASSFILE names, never from the address. Each new login gets a password
of its own, written into a file that its bench names in PGPASSFILE; no password is printed or sent.
`;

const list = (text: string, all: readonly string[]): readonly string[] => [...all, text];

/** Makes the shared database, or brings it to this version; and logins that add and read but never change. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  neededOption(command, "--database <address>", "postgres://OWNER@HOST/DATABASE, without a password")
    .option("--bench <login>", "make a login for a bench, which reads and adds (may be repeated)", list, [])
    .option("--reader <login>", "make a login that reads only (may be repeated)", list, [])
    .option("--passwords <folder>", "folder for the password files of new logins", "passwords")
    .option("--json", "print the result as one JSON document")
    .addHelpText("after", HELP)
    .action(async ({ database, bench, reader, passwords, json }: Options) => {
      const address = parsePostgresAddress(database);
      if (!address.ok) return finish(sayFault(streams, address.fault));
      const prepared = await prepareDatabase(address.value, { benches: bench, readers: reader, passwords });
      if (!prepared.ok) return finish(sayFault(streams, prepared.fault));
      const { migrations, made, known } = prepared.value;
      const roles = rolesOf(address.value.database);
      if (json) {
        say(streams.out, JSON.stringify({ format: "stillpoint-database 1", roles, ...prepared.value }));
        return finish(EXIT.success);
      }
      say(
        streams.out,
        migrations.length === 0
          ? "The tables are those of this version."
          : `The tables were brought to this version: ${migrations.join(", ")}.`,
      );
      say(streams.out, `Roles: ${roles.bench} reads and adds, ${roles.reader} reads; nobody changes or removes.`);
      for (const { login, role, password_file } of made) {
        say(streams.out, `Login ${login} (${role}): its password is in ${password_file}`);
      }
      for (const login of known) say(streams.out, `Login ${login} was there; its password stays.`);
      finish(EXIT.success);
    });
};
