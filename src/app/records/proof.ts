/** What a proof of records finds. Each kind is told apart from the others, because each asks for something else. */
export type FindingKind =
  /** Something is not what was written. */
  | "changed"
  /** Something that was written is gone: an event, the end or the beginning of a run, a whole run. */
  | "cut"
  | "reordered"
  | "duplicated"
  /** Signed, but with a key that nobody vouches for. */
  | "unknown-key"
  /** Whole in itself, but not what was signed, certified or entered in the bench's chain: built anew. */
  | "replaced"
  /** The file is no longer what a database can read. */
  | "unreadable"
  /** The figures of a certificate do not follow from the readings. */
  | "figures-differ";

export interface Finding {
  readonly kind: FindingKind;
  /** Which run, or which part of the store. */
  readonly where: string;
  /** One sentence, with the number of the event where there is one. */
  readonly text: string;
}

export interface Proof {
  readonly place: string;
  readonly runs: number;
  readonly events: number;
  /** Bytes that were hashed. */
  readonly bytes: number;
  readonly findings: readonly Finding[];
  /** Certificates that were asked about and no longer stand, whole as they are: what became of each, in a sentence. */
  readonly superseded?: readonly string[];
  /** What could not be proved for want of something from outside, and what else a reader has to know. */
  readonly notes: readonly string[];
}

export const finding = (kind: FindingKind, where: string, text: string): Finding => ({ kind, where, text });

/** One event or entry as it lies there. `hash` is null where the copy carries none. */
export interface ProofRow {
  readonly seq: number;
  readonly body: string;
  readonly hash: string | null;
}

/** How far a chain has to go, from a place outside of it. */
export interface ExpectedChain {
  /** null: whoever names the head does not say of how many events. */
  readonly events: number | null;
  readonly head: string;
  /** Who says so: `the bench's chain`. */
  readonly by: string;
}
