import type { BenchInstrument } from "../../ports/bench.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import type { RunContext } from "../run-context.ts";
import type { Script } from "../script.ts";
import type { Finding, PreflightCheck } from "./check.ts";
import { gaugeAlive } from "./gauge-alive.ts";
import { gaugeRange } from "./gauge-range.ts";
import { instrumentsAnswer } from "./instruments-answer.ts";
import { leak } from "./leak.ts";
import { loopClosed } from "./loop-closed.ts";
import { machine } from "./machine.ts";
import { referencesInDate } from "./references-in-date.ts";
import { serialNumbers } from "./serial-numbers.ts";
import { settingsAfter } from "./settings-after.ts";
import { simulatedMark } from "./simulated-mark.ts";
import { sourceSafe } from "./source-safe.ts";
import { supplyInBand } from "./supply-in-band.ts";
import { topOfRange } from "./top-of-range.ts";
import { twoPointSanity } from "./two-point-sanity.ts";
import { unitOnBench } from "./unit-on-bench.ts";
import { ventedZero } from "./vented-zero.ts";
import { zeroAfter } from "./zero-after.ts";

/** Every check in the order in which it is made; a new one is one file and one line here. */
const CHECKS: readonly PreflightCheck[] = [
  instrumentsAnswer,
  serialNumbers,
  unitOnBench,
  simulatedMark,
  gaugeRange,
  referencesInDate,
  machine,
  gaugeAlive,
  supplyInBand,
  sourceSafe,
  ventedZero,
  loopClosed,
  twoPointSanity,
  topOfRange,
  leak,
  settingsAfter,
  zeroAfter,
];

/** Names of the checks in their order. */
export const checkNames = (): readonly string[] => CHECKS.map(({ name }) => name);

/** Records a finding; true when it stands in the way. */
const recordFinding = (context: RunContext, check: string, finding: Finding): boolean => {
  const override = finding.outcome === "failed" ? context.request.overrides?.[check] : undefined;
  context.record({
    kind: "preflight-check",
    check,
    ...finding,
    ...(override === undefined ? {} : { overridden_by: override }),
  });
  return finding.outcome === "failed" && override === undefined;
};

/**
 * Makes the checks of one phase. Looking goes on after a failure, so that a person hears of everything at once; driving
 * stops at the first, and so do the checks after the run. Gives the fault that ends the run, or null.
 */
export function* preflight(
  context: RunContext,
  instruments: readonly BenchInstrument[],
  phase: PreflightCheck["phase"],
): Script<Fault | null> {
  const bad: { readonly name: string; readonly finding: Finding }[] = [];
  for (const check of CHECKS.filter((c) => c.phase === phase)) {
    context.live({ kind: "checking", check: check.name });
    const finding = yield* check.run({ context, instruments });
    if (!recordFinding(context, check.name, finding)) continue;
    bad.push({ name: check.name, finding });
    if (phase !== "look") break;
  }
  const [worst] = bad;
  if (worst === undefined) return null;
  return fault(
    "preflight",
    "preflight-failed",
    `${phase === "after" ? "Checks after the run" : "Preflight"} failed: ${bad.map(({ name, finding }) => `${name} (${finding.saw})`).join("; ")}.`,
    {
      means: [worst.finding.means, phase === "look" ? "Nothing was driven." : undefined].filter(Boolean).join(" "),
      ...(worst.finding.remedy === undefined ? {} : { remedy: worst.finding.remedy }),
    },
  );
}
