import { VirtualTimeScheduler } from "rxjs";
import { describe, expect, it } from "vitest";
import { checkNames } from "../../src/run/preflight/index.ts";
import type { RunRequest } from "../../src/run/run-request.ts";
import { fault } from "../../src/vocabulary/fault.ts";
import { mA } from "../../src/vocabulary/quantities.ts";
import { type FakeSettings, fakeBench, silence } from "./fake-bench.ts";
import { QUICK, requestFor, runFake } from "./run-fake.ts";

/** The preflight facts of a sound bench, changed. */
const facts = (more: Partial<RunRequest["preflight"]>): Partial<RunRequest> => {
  const scheduler = new VirtualTimeScheduler();
  const { preflight } = requestFor(scheduler, fakeBench(scheduler), QUICK, {});
  return { adjust: "never", preflight: { ...preflight, ...more } };
};

const run = (fake: FakeSettings, more: Partial<RunRequest["preflight"]> = {}, request: Partial<RunRequest> = {}) =>
  runFake({ fake, request: { ...facts(more), ...request } }).flush();

const outcomes = (r: ReturnType<typeof run>) =>
  Object.fromEntries(r.of("preflight-check").map((e) => [e.check, e.outcome]));

describe("preflight", () => {
  it("makes every check once on a sound bench, and says what it saw", () => {
    const checks = run({}).of("preflight-check");
    expect(checks.map((e) => e.check)).toEqual([
      "instruments-answer",
      "serial-numbers",
      "unit-on-bench",
      "simulated-mark",
      "gauge-range",
      "references-in-date",
      "machine",
      "gauge-alive",
      "supply-in-band",
      "source-safe",
      "vented-zero",
      "loop-closed",
      "two-point-sanity",
      "top-of-range",
      "leak",
      "settings-after",
      "zero-after",
    ]);
    expect(checks.map((e) => e.check)).toEqual(checkNames());
    const skipped = ["unit-on-bench", "machine", "leak"];
    expect(checks.map((e) => e.outcome)).toEqual(checks.map((e) => (skipped.includes(e.check) ? "skipped" : "passed")));
    for (const e of checks) expect(e.saw.length).toBeGreaterThan(10);
    // The two vented readings of the gauge stand as numbers, for the drift of its zero.
    const vented = checks.filter((e) => e.vented_kPa !== undefined);
    expect(vented.map((e) => e.check)).toEqual(["vented-zero", "zero-after"]);
    for (const e of vented) expect(e.saw).toContain(`reads ${e.vented_kPa?.toFixed(3)} kPa`);
    expect(checks.find((e) => e.check === "simulated-mark")?.saw).toContain("SIMULATED");
  });

  const looking: readonly [string, FakeSettings, Partial<RunRequest["preflight"]>, RegExp][] = [
    ["serial-numbers", { serial: () => "G-999" }, {}, /gauge-1 says G-999, the bench file says G-200/u],
    [
      "gauge-range",
      {},
      { gauge: { range: null, mode: "absolute", U_kPa: 0.02 as never } },
      /absolute pressure.*gauge pressure/u,
    ],
    [
      "gauge-range",
      {},
      { gauge: { range: { lower_kPa: 0 as never, upper_kPa: 60 as never }, mode: "gauge", U_kPa: 0.02 as never } },
      /gauge 0\.0 to 60\.0 kPa, unit 20\.0 to 100\.0 kPa/u,
    ],
    [
      "references-in-date",
      {},
      { references: [{ name: "gauge-1", certificate: "K-77", due: "2026-02-28" }] },
      /due on 2026-02-28, today is 2026-03-01/u,
    ],
    ["references-in-date", {}, { references: [{ name: "gauge-1", certificate: null, due: null }] }, /no certificate/u],
    ["gauge-alive", { trouble: () => silence }, {}, /0 of \d+ polls/u],
    ["gauge-alive", { trouble: (t) => (Math.round(t * 4) % 3 === 0 ? silence : null) }, {}, /of 12 polls/u],
    [
      "machine",
      {},
      {
        machine: { free_MB: 12, utc: "2026-03-01T08:00:00Z", not_before: { utc: "2025-01-01", what: "this program" } },
      },
      /12 MB free.*; 100 MB are wanted/u,
    ],
    [
      "machine",
      {},
      {
        machine: {
          free_MB: 5000,
          utc: "1970-01-01T00:03:00Z",
          not_before: { utc: "2026-02-11T10:00:00Z", what: "the last record" },
        },
      },
      /clock 1970-01-01T00:03:00Z, but the last record is of 2026-02-11/u,
    ],
    ["supply-in-band", { supply_kPa: 110 }, {}, /supply 110\.0 kPa, rated 130\.0 to 150\.0 kPa/u],
    ["supply-in-band", { supply_kPa: 200 }, {}, /supply 200\.0 kPa/u],
  ];
  it.each(looking)("%s fails before anything is driven (%#)", (check, fake, more, saw) => {
    const r = run(fake, more);
    const failed = r.of("preflight-check").filter((e) => e.outcome === "failed");
    expect(failed).toMatchObject([{ check }]);
    expect(failed[0]?.saw).toMatch(saw);
    expect(failed[0]?.means).toBeTruthy();
    expect(failed[0]?.remedy).toBeTruthy();
    expect(r.of("run-ended")).toMatchObject([
      { ending: "fault", fault: { kind: "preflight", code: "preflight-failed" } },
    ]);
    expect(r.of("cautions-accepted")).toEqual([]);
    // The only command is the safe one at the end.
    expect(r.bench.commands).toEqual([4]);
  });

  const driving: readonly [string, FakeSettings, Partial<RunRequest["preflight"]>, RegExp][] = [
    ["vented-zero", { disturb: () => 2 }, {}, /vented, the gauge reads 1\.6\d\d kPa, limit 0\.520 kPa/u],
    ["loop-closed", { loopLoss_mA: 0.4 }, {}, /commanded 12\.000 mA, measured 11\.600 mA/u],
    ["two-point-sanity", { direct: false }, { vent_mA: null }, /moves the other way/u],
    ["two-point-sanity", { disturb: (_, p) => -p }, { vent_mA: null }, /does not follow/u],
    ["two-point-sanity", { zeroError: -25, spanError: 25 }, { vent_mA: null }, /not the range that was expected/u],
    // A 0-20 mA unit taken for one of 4-20 mA.
    ["two-point-sanity", { zeroError: 20, spanError: -20 }, { vent_mA: null }, /not the range that was expected/u],
    ["top-of-range", { spanError: -20 }, {}, /8[34]\.\d\d kPa where 100\.00 kPa is ideal/u],
  ];
  it.each(driving)("%s fails and nothing further is driven (%#)", (check, fake, more, saw) => {
    const r = run(fake, more);
    const failed = r.of("preflight-check").filter((e) => e.outcome === "failed");
    expect(failed).toMatchObject([{ check }]);
    expect(failed[0]?.saw).toMatch(saw);
    expect(r.of("stage-started").map((e) => e.stage)).toEqual(["preflight"]);
    expect(r.bench.commands.at(-1)).toBe(4);
  });

  it("hears of everything that is wrong at once while only looking", () => {
    const r = run({ supply_kPa: 110, serial: () => "G-999" });
    expect(r.of("run-ended")[0]?.fault?.message).toMatch(/serial-numbers.*supply-in-band/u);
  });

  it("tells a factor between units by its name", () => {
    // What shows is psi: 6.894757 times less than the kPa that are taken for it (NIST SP 811, B.8).
    const psi = (_: number, p: number) => {
      const pressure_kPa = 20 + 0.8 * p;
      return (pressure_kPa / 6.894757 - pressure_kPa) / 0.8;
    };
    const failed = run({ disturb: psi }, { vent_mA: null })
      .of("preflight-check")
      .find((e) => e.outcome === "failed");
    expect(failed).toMatchObject({ check: "two-point-sanity" });
    expect(failed?.remedy).toMatch(/the gauge may show psi where kPa is taken/u);
  });

  it("finds a gauge that was zeroed in the middle of the run, and ends without a result", () => {
    const r = run({ disturb: (t) => (t > 80 ? 2 : 0) });
    expect(r.of("stage-completed")).toHaveLength(1);
    const failed = r.of("preflight-check").find((e) => e.outcome === "failed");
    expect(failed?.check).toBe("zero-after");
    expect(failed?.saw).toMatch(/at the start; limit of the difference/u);
    expect(r.of("run-ended")).toMatchObject([{ ending: "fault", fault: { code: "preflight-failed" } }]);
    expect(r.of("run-ended")[0]?.fault?.message).toMatch(/^Checks after the run failed: zero-after/u);
    expect(r.bench.commands.at(-1)).toBe(4);
  });

  it("finds an instrument that is another one at the end", () => {
    const r = run({ serial: (t) => (t > 80 ? "G-999" : "G-200") });
    const failed = r.of("preflight-check").find((e) => e.outcome === "failed");
    expect(failed).toMatchObject({ check: "settings-after", saw: "gauge-1 says G-999, at the start it was G-200" });
  });

  it("goes on after an override, with name and reason in the record", () => {
    const overrides = { "supply-in-band": { name: "R. Brandt", reason: "regulator gauge read instead" } };
    const r = run({ supply_kPa: 110 }, {}, { overrides });
    expect(r.of("preflight-check").find((e) => e.outcome === "failed")).toMatchObject({
      check: "supply-in-band",
      overridden_by: overrides["supply-in-band"],
    });
    expect(r.of("run-ended")).toMatchObject([{ ending: "finished" }]);
  });

  it("skips what the bench cannot see, and says so", () => {
    expect(outcomes(run({}, { vent_mA: null, supply: null }))).toMatchObject({
      "vented-zero": "skipped",
      "supply-in-band": "skipped",
    });
  });

  it("ends when the source refuses during a check", () => {
    const refused = fault("device", "device-refused", "source-1 refused.");
    const r = run({ onCommand: (current) => (current === mA(0) ? refused : null) });
    expect(r.of("preflight-check").at(-1)).toMatchObject({ check: "vented-zero", outcome: "failed" });
    expect(r.of("run-ended")[0]?.ending).toBe("fault");
  });
});
