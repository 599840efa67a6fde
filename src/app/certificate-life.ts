import type { Ledger, LedgerActOf } from "./certificate-ledger.ts";

/** How far a certificate has come, and what became of it. */
export type CertificateState = "draft" | "reviewed" | "authorised" | "issued";

type Dated<T> = T & { readonly utc: string; readonly seq: number };

export interface CertificateLife {
  readonly number: string;
  readonly state: CertificateState;
  readonly drafted: Dated<LedgerActOf<"drafted">>;
  readonly reviewed?: Dated<LedgerActOf<"reviewed">>;
  readonly authorised?: Dated<LedgerActOf<"authorised">>;
  readonly issued?: Dated<LedgerActOf<"issued">>;
  readonly withdrawn?: Dated<LedgerActOf<"withdrawn">>;
  /** Number of the issued certificate that took its place. */
  readonly replaced_by?: string;
}

/** Acts to lives, by number, in the order of their first draft. A new draft makes earlier reviews void. */
export const livesOf = (ledger: Ledger): ReadonlyMap<string, CertificateLife> => {
  const lives = new Map<string, CertificateLife>();
  for (const { entry, utc, seq } of ledger.entries) {
    const life = lives.get(entry.number);
    switch (entry.act) {
      case "drafted":
        lives.set(entry.number, { number: entry.number, state: "draft", drafted: { ...entry, utc, seq } });
        break;
      case "reviewed":
        if (life !== undefined)
          lives.set(entry.number, { ...life, state: "reviewed", reviewed: { ...entry, utc, seq } });
        break;
      case "authorised":
        if (life !== undefined) {
          lives.set(entry.number, { ...life, state: "authorised", authorised: { ...entry, utc, seq } });
        }
        break;
      case "issued": {
        if (life !== undefined) lives.set(entry.number, { ...life, state: "issued", issued: { ...entry, utc, seq } });
        const earlier = entry.replaces === undefined ? undefined : lives.get(entry.replaces);
        if (earlier !== undefined) lives.set(earlier.number, { ...earlier, replaced_by: entry.number });
        break;
      }
      case "withdrawn":
        if (life !== undefined) lives.set(entry.number, { ...life, withdrawn: { ...entry, utc, seq } });
        break;
    }
  }
  return lives;
};

/** From the first certificate of a chain to the one that holds now, walked both ways from any of them. */
export const chainOf = (lives: ReadonlyMap<string, CertificateLife>, number: string): readonly string[] => {
  const chain: string[] = [number];
  for (let earlier = lives.get(number)?.drafted.replaces?.number; earlier !== undefined; ) {
    if (chain.includes(earlier)) break;
    chain.unshift(earlier);
    earlier = lives.get(earlier)?.drafted.replaces?.number;
  }
  for (let later = lives.get(number)?.replaced_by; later !== undefined; later = lives.get(later)?.replaced_by) {
    if (chain.includes(later)) break;
    chain.push(later);
  }
  return chain;
};

/** Every issued certificate that rests on a reference, between two days (YYYY-MM-DD, both included). */
export const restingOn = (
  lives: ReadonlyMap<string, CertificateLife>,
  serial_number: string,
  from = "0000-00-00",
  to = "9999-99-99",
): readonly string[] =>
  [...lives.values()]
    .filter(({ issued }) => issued?.references.includes(serial_number) && issued.day >= from && issued.day <= to)
    .map((life) => life.number);
