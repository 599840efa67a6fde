import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { canonicalJson } from "../../../../src/app/canonical-json.ts";
import { EMPTY_HEAD, nextHead } from "../../../../src/app/hash-chain.ts";
import { dueRows } from "../../../../src/app/records/queries/due-rows.ts";
import { findRuns, type RunCriteria } from "../../../../src/app/records/queries/find-runs.ts";
import { latestReferences } from "../../../../src/app/records/queries/latest-references.ts";
import { type MadeUpRun, madeUpRun } from "../made-up-runs.ts";
import { skipsPostgres } from "../postgres-cluster.ts";
import { keepMadeUp } from "../shared-shop.ts";
import { type EitherDatabase, KINDS, openKind } from "./both-databases.ts";

const ODD_CUSTOMER = "Barm & Söhne 100% \\ under_line";

/** Made-up runs, some of them odd; every expectation below is worked out from this list in plain words. */
const RUNS: readonly MadeUpRun[] = Array.from({ length: 120 }, (_, n) => {
  // Far apart, so that they lie in many months and use several gauges.
  const made = madeUpRun(n * 97, 2, { units: 25, simulated: n % 10 === 9 });
  const run = {
    ...made.run,
    ...(n % 17 === 3 ? { kind: "examination" as const, verdict: null, verdict_found: null, next_due: null } : {}),
    ...(n % 13 === 5 ? { ending: "stopped", next_due: null } : {}),
    ...(n === 40
      ? { customer: ODD_CUSTOMER, search_text: `${made.run.search_text} ${ODD_CUSTOMER.toLowerCase()}` }
      : {}),
  };
  return { ...made, run };
});

const byNewest = (a: MadeUpRun, b: MadeUpRun): number =>
  a.run.started_utc < b.run.started_utc ? 1 : a.run.started_utc > b.run.started_utc ? -1 : 0;
const where = (wanted: (made: MadeUpRun) => boolean): readonly string[] =>
  RUNS.filter(wanted)
    .toSorted(byNewest)
    .map((m) => m.run.run_id);
const some = RUNS[60]?.run ?? RUNS[0]?.run;
if (some === undefined) throw new Error("no run");

const CASES: Readonly<Record<string, readonly [RunCriteria, (made: MadeUpRun) => boolean]>> = {
  everything: [{}, () => true],
  "a serial number": [{ serial: some.unit_serial }, (m) => m.run.unit_serial === some.unit_serial],
  "the beginning of a serial number": [{ serial: "2000*" }, (m) => m.run.unit_serial.startsWith("2000")],
  "a tag": [{ tag: some.unit_tag }, (m) => m.run.unit_tag === some.unit_tag],
  "a model": [{ model: "HC-15" }, (m) => m.run.unit_model === "HC-15"],
  "models that begin alike": [{ model: "HC-*" }, (m) => m.run.unit_model.startsWith("HC-")],
  "a customer": [{ customer: "Keg line" }, (m) => m.run.customer === "Keg line"],
  "a customer in other letters": [{ customer: "keg line" }, () => false],
  "a batch": [{ batch: some.batch }, (m) => m.run.batch === some.batch],
  "an operator": [{ operator: "B. Fitter" }, (m) => m.run.operator === "B. Fitter"],
  "a verdict": [{ verdict: "fail" }, (m) => m.run.verdict === "fail"],
  "from a day on": [{ from: some.started_utc.slice(0, 10) }, (m) => m.run.started_utc >= some.started_utc.slice(0, 10)],
  "up to the end of a day": [
    { to: some.started_utc.slice(0, 10) },
    (m) => m.run.started_utc.slice(0, 10) <= some.started_utc.slice(0, 10),
  ],
  "up to an instant": [{ to: some.started_utc }, (m) => m.run.started_utc <= some.started_utc],
  "several together": [
    { model: "LT-20", verdict: "pass", from: "2016-06-01" },
    (m) => m.run.unit_model === "LT-20" && m.run.verdict === "pass" && m.run.started_utc >= "2016-06-01",
  ],
  "a reference by its serial number": [
    { reference: "G-2" },
    (m) => m.references.some((r) => r.serial_number === "G-2"),
  ],
  "a reference by its certificate": [
    { reference: "G-2-2026" },
    (m) => m.references.some((r) => r.certificate_number === "G-2-2026"),
  ],
  "a reference of every run in a time": [
    { reference: "M-7", from: "2016-05-01", to: "2016-06-30" },
    (m) => m.run.started_utc >= "2016-05-01" && m.run.started_utc < "2016-07-01",
  ],
  "a reference that nobody used": [{ reference: "G-99" }, () => false],
  "parts of words in any order and case": [
    { text: "  TECHNIC  keg " },
    (m) => m.run.search_text.includes("technic") && m.run.search_text.includes("keg"),
  ],
  "a per cent sign as itself": [{ text: "100%" }, (m) => m.run.customer === ODD_CUSTOMER],
  "a per cent sign that is nowhere": [{ text: "10%0" }, () => false],
  "an underscore as itself": [{ text: "under_l" }, (m) => m.run.customer === ODD_CUSTOMER],
  "a stroke as itself": [{ text: "\\" }, (m) => m.run.customer === ODD_CUSTOMER],
  "letters beyond ASCII": [{ text: "SÖHNE" }, (m) => m.run.customer === ODD_CUSTOMER],
  "a quotation mark does no harm": [{ text: "'; drop table runs; --" }, () => false],
};

describe.each(KINDS)("finding in %s", (kind) => {
  describe.skipIf(kind !== "SQLite" && skipsPostgres())("with one code for both", () => {
    let either: EitherDatabase;
    beforeAll(async () => {
      either = await openKind(kind);
      await keepMadeUp(either.writing, RUNS);
    });
    afterAll(() => either?.remove());

    it.each(Object.keys(CASES))("by %s", async (name) => {
      const [criteria, wanted] = CASES[name] ?? [{}, () => false];
      const found = await findRuns(either.reading, criteria);
      expect(found.runs.map((r) => r.run_id)).toEqual(where(wanted));
      expect(found.more).toBe(false);
    });

    it("gives the newest up to a limit, and tells that there are more", async () => {
      const all = where(() => true);
      const some = await findRuns(either.reading, { limit: 7 });
      expect(some.runs.map((r) => r.run_id)).toEqual(all.slice(0, 7));
      expect(some.more).toBe(true);
      expect((await findRuns(either.reading, { limit: all.length })).more).toBe(false);
    });

    it("gives every column as it was kept", async () => {
      const { search_text: _, facts: __, ...run } = some;
      const found = await findRuns(either.reading, { text: run.run_id });
      expect(found.runs).toEqual([{ ...run, certificates: [] }]);
    });

    it("lists what is due: one row a unit, from its latest calibration that states a date", async () => {
      const unitOf = ({ run }: MadeUpRun): string =>
        JSON.stringify([run.unit_maker, run.unit_model, run.unit_serial, run.simulated]);
      const latest = new Map<string, MadeUpRun>();
      for (const made of RUNS.toSorted(byNewest).toReversed()) {
        if (made.run.kind === "calibration" && made.run.next_due !== null) latest.set(unitOf(made), made);
      }
      const expected = [...latest.values()].map((m) => `${m.run.next_due} ${m.run.run_id}`).toSorted();
      const rows = await dueRows(either.reading);
      expect(rows.map((r) => `${r.next_due} ${r.run_id}`).toSorted()).toEqual(expected);
      expect(rows.map((r) => r.next_due)).toEqual(rows.map((r) => r.next_due).toSorted());
      const until = expected[Math.floor(expected.length / 2)]?.slice(0, 10) ?? "";
      const some = await dueRows(either.reading, { until });
      expect(some.map((r) => `${r.next_due} ${r.run_id}`).toSorted()).toEqual(
        expected.filter((e) => e.slice(0, 10) <= until),
      );
    });

    it("lists each reference once, under the certificate that runs out last", async () => {
      const before = { role: "gauge", serial_number: "G-0", certificate_number: "old", due: "2020-01-01" };
      const after = { ...before, certificate_number: "new", due: "2031-01-01" };
      const newest = madeUpRun(50_000, 1);
      await keepMadeUp(either.writing, [
        { ...newest, references: [{ run_id: newest.run.run_id, ...after }] },
        ...[50_001, 50_002].map((n) => {
          const made = madeUpRun(n, 1);
          return { ...made, references: [{ run_id: made.run.run_id, ...before }] };
        }),
      ]);
      const rows = (await latestReferences(either.reading)).map(
        (r) => `${r.serial_number} ${r.certificate_number} ${r.due} ${r.role}`,
      );
      const used = new Set(
        RUNS.flatMap((m) => m.references.map((r) => `${r.serial_number} ${r.certificate_number} ${r.due} ${r.role}`)),
      );
      expect(rows).toEqual([...used, "G-0 new 2031-01-01 gauge"].toSorted());
    });

    it("leads from a bad reference to the certificates that rest on it, and what became of each", async () => {
      const [first, second] = RUNS.filter((m) => m.references.some((r) => r.serial_number === "G-3"));
      if (first === undefined || second === undefined) throw new Error("too few runs");
      const acts = [
        ["K-1", "drafted", first.run.run_id],
        ["K-1", "reviewed", null],
        ["K-2", "drafted", second.run.run_id],
        ["K-1", "authorised", null],
        ["K-1", "issued", null],
        ["K-2", "issued", null],
        ["K-2", "withdrawn", null],
        ["K-3", "drafted", first.run.run_id],
      ] as const;
      let head = EMPTY_HEAD;
      for (const [seq, [number, act, run_id]] of acts.entries()) {
        const body = canonicalJson({ seq, number, act });
        head = nextHead(head, body);
        const utc = `2026-11-${10 + seq}T08:00:00.000Z`;
        await either.writing
          .insertInto("certificate_acts")
          .values({ certificates_id: "shop", seq, number, act, run_id, utc, body, hash: head })
          .execute();
      }
      const { runs } = await findRuns(either.reading, { reference: "G-3" });
      const states = runs.flatMap((r) => r.certificates.map((c) => [r.run_id, c.number, c.state, c.utc.slice(0, 10)]));
      expect(states.toSorted()).toEqual(
        [
          [first.run.run_id, "K-1", "issued", "2026-11-14"],
          [first.run.run_id, "K-3", "draft", "2026-11-17"],
          [second.run.run_id, "K-2", "withdrawn", "2026-11-16"],
        ].toSorted(),
      );
    });
  });
});
