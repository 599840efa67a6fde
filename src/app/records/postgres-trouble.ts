import { type Fault, fault } from "../../vocabulary/fault.ts";
import { OpenPasswordFile } from "./postgres-password.ts";

/** What the shared database said no with, or why it said nothing. */
export interface PostgresTrouble {
  readonly fault: Fault;
  /** It may go away by itself: the same again later makes sense. */
  readonly passing: boolean;
}

const textOf = (error: unknown): string => {
  if (error instanceof AggregateError && error.errors.length > 0) return error.errors.map(textOf).join("; ");
  return error instanceof Error ? error.message : String(error);
};

const codeOf = (error: unknown): string => {
  if (error instanceof AggregateError && error.errors.length > 0) return codeOf(error.errors[0]);
  return typeof error === "object" && error !== null && "code" in error ? String(error.code) : "";
};

/** SQLSTATE of our own checks in the database: a run or a ledger that is not whole. */
export const NOT_WHOLE = "SP001";

interface Kind {
  readonly of: RegExp;
  readonly passing: boolean;
  readonly fault: (where: string, why: string) => Fault;
}

const KINDS: readonly Kind[] = [
  {
    of: /^(?:28P01|28000)$/u,
    passing: false,
    fault: (where, why) =>
      fault("refused", "not-allowed", `${where} does not let this login in: ${why}.`, {
        remedy: "Check the login, and the password in PGPASSFILE or PGPASSWORD.",
      }),
  },
  {
    of: /^3D000$/u,
    passing: false,
    fault: (where, why) =>
      fault("refused", "bad-option", `${where} is not there: ${why}.`, {
        remedy: "Check its name, or have it made by whoever runs the server.",
      }),
  },
  {
    of: /^(?:42P01|42883|3F000|42703)$/u,
    passing: false,
    fault: (where, why) =>
      fault("refused", "bad-file", `${where} is not prepared for this version: ${why}.`, {
        remedy: "Have its owner run: stillpoint prepare-database.",
      }),
  },
  {
    of: /^42501$/u,
    passing: false,
    fault: (where, why) =>
      fault("refused", "not-allowed", `${where} does not allow this: ${why}.`, {
        remedy: "Use the login of this bench; records can be added and read there, never changed.",
      }),
  },
  {
    of: /^SP001$/u,
    passing: false,
    fault: (where, why) =>
      fault("record", "record-damaged", `${where} did not take what is not whole: ${why}.`, {
        means: "Nothing of it was kept there.",
        remedy: "Verify the records of this bench.",
      }),
  },
  {
    of: /^53/u,
    passing: true,
    fault: (where, why) =>
      fault("communication", "device-busy", `${where} has no room: ${why}.`, {
        means: "Nothing is lost: finished runs wait on this bench.",
        remedy: "Have disk or memory freed on the server; the runs go there afterwards.",
      }),
  },
];

/** Everything else that a connection can meet is taken for a line that is away. */
const AWAY: Kind["fault"] = (where, why) =>
  fault("communication", "line-lost", `${where} does not answer: ${why}.`, {
    means: "Nothing is lost: finished runs wait on this bench.",
    remedy: "Check the network and the server; the runs go there when it answers.",
  });

const SQLSTATE = /^[0-9A-Z]{5}$/u;
/** Classes of SQLSTATE that say something of the connection or of the moment, not of what was asked. */
const PASSING = /^(?:08|40|53|55|57|58)/u;

/** The driver found no password, neither in the environment nor in a file. */
const NO_PASSWORD = /password must be a (?:non-empty )?string/u;

/** An error of the driver or of the server as a fault. `where` names the database without anything secret. */
export const postgresTrouble = (error: unknown, where: string): PostgresTrouble => {
  const code = codeOf(error);
  const why = (textOf(error) || code || "no reason given").replace(/\.$/u, "");
  const named = `The shared database ${where}`;
  if (error instanceof OpenPasswordFile) {
    return {
      fault: fault("refused", "not-allowed", `${named} was not asked: ${why}.`, {
        remedy: "Make it readable by its owner alone (chmod 600).",
      }),
      passing: false,
    };
  }
  if (NO_PASSWORD.test(why)) {
    return {
      fault: fault("refused", "not-allowed", `${named} asks for a password, and none was given.`, {
        remedy: "Name the password file of this login in PGPASSFILE (readable by its owner alone), or set PGPASSWORD.",
      }),
      passing: false,
    };
  }
  const kind = KINDS.find((k) => k.of.test(code));
  if (kind !== undefined) return { fault: kind.fault(named, why), passing: kind.passing };
  if (SQLSTATE.test(code) && !PASSING.test(code) && !/^E[A-Z]{4}$/u.test(code)) {
    return {
      fault: fault("record", "internal", `${named} refused: ${why} (${code}).`, {
        means: "Nothing was kept there, and nothing is lost here.",
        remedy: "Report it with this line.",
      }),
      passing: false,
    };
  }
  return { fault: AWAY(named, why), passing: true };
};
