import { expect, it } from "vitest";
import { gaugeZeroOf } from "../../src/readings/gauge-zero.ts";
import type { PreflightOutcome } from "../../src/readings/run-record.ts";

const checked = (check: string, vented_kPa?: number): PreflightOutcome => ({
  check,
  outcome: vented_kPa === undefined ? "skipped" : "passed",
  saw: "",
  seq: 1,
  utc: "2026-03-01T08:00:00.000Z",
  at_s: 0,
  ...(vented_kPa === undefined ? {} : { vented_kPa }),
});

it("takes the first vented reading and that after the run", () => {
  const preflight = [checked("vented-zero", 0.004), checked("vented-zero", 0.3), checked("zero-after", -0.002)];
  expect(gaugeZeroOf({ preflight })).toEqual({ gauge_zero: { before: 0.004, after: -0.002 } });
});

it("says nothing where one of them was not read", () => {
  expect(gaugeZeroOf({ preflight: [checked("vented-zero", 0.004), checked("zero-after")] })).toEqual({});
  expect(gaugeZeroOf({ preflight: [checked("vented-zero"), checked("zero-after", 0.1)] })).toEqual({});
  expect(gaugeZeroOf({ preflight: [] })).toEqual({});
});
