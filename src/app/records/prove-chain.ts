import { EMPTY_HEAD, nextHead } from "../hash-chain.ts";
import { type ExpectedChain, type Finding, finding, type ProofRow } from "./proof.ts";

/** Finds out what happened to a chain that is not as it has to be. Slow and thorough; whole chains never come here. */

const ownSeq = (body: string): number | null => {
  try {
    const json: unknown = JSON.parse(body);
    return typeof json === "object" && json !== null && "seq" in json && Number.isInteger(json.seq)
      ? (json.seq as number)
      : null;
  } catch {
    return null;
  }
};

const list = (numbers: readonly number[]): string => {
  const [first, last] = [numbers[0], numbers.at(-1)];
  const running = numbers.length > 2 && (last ?? 0) - (first ?? 0) === numbers.length - 1;
  return numbers.length === 1
    ? `event ${first}`
    : running
      ? `events ${first} to ${last}`
      : `events ${numbers.slice(0, 12).join(", ")}${numbers.length > 12 ? " and more" : ""}`;
};

/** What the numbers that the events carry in themselves say. `all` is null where a number cannot be read. */
const byNumbers = (
  all: readonly (number | null)[],
  where: string,
  expected: ExpectedChain | null,
): readonly Finding[] => {
  const findings: Finding[] = [];
  const known = all.filter((n) => n !== null);
  const seen = new Set(known);
  const twice = [...seen].filter((n) => known.indexOf(n) !== known.lastIndexOf(n)).toSorted((a, b) => a - b);
  if (twice.length > 0) findings.push(finding("duplicated", where, `${list(twice)} of ${where} stands there twice.`));
  const unknown = all.length - known.length;
  const last = Math.max(expected?.events ?? 0, 0, ...known);
  const missing = Array.from({ length: last }, (_, i) => i + 1).filter((n) => !seen.has(n));
  // Events that cannot be read any more are not gone.
  if (missing.length > unknown) {
    const highest = Math.max(0, ...known);
    const lowest = known.length === 0 ? last + 1 : Math.min(...known);
    const parts = [
      [missing.filter((n) => n < lowest && lowest <= last), "beginning"],
      [missing.filter((n) => n > lowest && n < highest), "middle"],
      [missing.filter((n) => n > highest), "end"],
    ] as const;
    for (const [gone, part] of parts) {
      if (gone.length > 0)
        findings.push(finding("cut", where, `CUT at its ${part}: ${list(gone)} of ${where} is gone.`));
    }
  }
  const once = known.filter((n, i) => known.indexOf(n) === i);
  const moved = once.find((n, i) => i > 0 && n < (once[i - 1] ?? 0));
  if (moved !== undefined)
    findings.push(finding("reordered", where, `Event ${moved} of ${where} stands in another place.`));
  if (expected?.events != null && all.length > expected.events && twice.length === 0) {
    findings.push(
      finding(
        "changed",
        where,
        `${where} has ${all.length} events, ${expected.by} knows of ${expected.events}: something was added after its end.`,
      ),
    );
  }
  return findings;
};

/** Where the hash that lies beside an event is not what follows from it and the hash before. */
const byLinks = (rows: readonly ProofRow[], where: string): readonly Finding[] => {
  let before = EMPTY_HEAD;
  for (const [i, { seq, body, hash }] of rows.entries()) {
    if (hash === null) return [];
    if (nextHead(before, body) !== hash) {
      // The next link tells whether the hash or the event was touched: it rests on the hash alone.
      const next = rows[i + 1];
      const restsOnIt = next?.hash != null && nextHead(hash, next.body) === next.hash;
      const what = next === undefined || restsOnIt ? `Event ${seq}` : `Event ${seq}, or the hash beside it,`;
      return [finding("changed", where, `${what} of ${where} was changed.`)];
    }
    before = hash;
  }
  return [];
};

const headOf = (rows: readonly ProofRow[]): string => rows.reduce((head, { body }) => nextHead(head, body), EMPTY_HEAD);

/** Everything that is wrong with one chain, the plainest first; none when it is whole and as expected. */
export const proveChain = (
  rows: readonly ProofRow[],
  where: string,
  expected: ExpectedChain | null,
): readonly Finding[] => {
  if (rows.length === 0 && (expected?.events ?? 0) > 0) {
    return [
      finding(
        "cut",
        where,
        `CUT: ${where} is gone as a whole; ${expected?.by} knows ${expected?.events} events of it.`,
      ),
    ];
  }
  const numbers = rows.map(({ body }) => ownSeq(body));
  const order = byNumbers(numbers, where, expected);
  if (order.length > 0) return order;
  const links = byLinks(rows, where);
  if (links.length > 0) return links;
  const misnumbered = rows.find(({ seq }, i) => seq !== i + 1 || numbers[i] !== i + 1);
  if (misnumbered !== undefined) {
    return [finding("changed", where, `The number of event ${misnumbered.seq} of ${where} was changed.`)];
  }
  if (expected === null || headOf(rows) === expected.head) return [];
  return rows.every(({ hash }) => hash !== null)
    ? [
        finding(
          "replaced",
          where,
          `REPLACED: ${where} is whole in itself, but ${expected.by} names another head: it was built anew.`,
        ),
      ]
    : [
        finding(
          "changed",
          where,
          `${where} is not what ${expected.by} names: an event was changed, or all of it was built anew.`,
        ),
      ];
};
