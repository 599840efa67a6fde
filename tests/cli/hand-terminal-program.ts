import { askTurn } from "../../src/cli/ask-turn.ts";
import { createRunPrinter } from "../../src/cli/run-printer.ts";
import { processStreams } from "../../src/cli/streams.ts";
import { makePlan } from "../../src/plan/make-plan.ts";
import { createRunStateReducer, type RunState } from "../../src/run/run-state.ts";
import { kegLimits, kegLine } from "../plan/units.ts";

/** The view of a turn with its question, on the terminal this runs in; ends with the answer. `zero` sets by lift-off. */
const streams = processStreams();
const plan = makePlan(kegLine, kegLimits, { points: 3 });
if (!plan.ok) throw new Error(plan.fault.message);
const { initial } = createRunStateReducer(plan.value);
const zero = process.argv[2] === "zero";
const wish = zero
  ? { screw: "zero" as const, target_kPa: 0.3, within_kPa: 0.1, lift_off: { floor_kPa: 0.2, sign_kPa: 0.25 } }
  : { screw: "span" as const, target_kPa: 100, within_kPa: 0.02 };
const printer = createRunPrinter(streams, {
  unit: "kPa",
  title: "Keg line converter",
  toPressure: (percent) => 20 + 0.8 * percent,
});

let tick = 0;
const timer = setInterval(() => {
  tick += 1;
  const now_s = tick / 20;
  const pressure = zero ? 0.2 + 0.02 * (tick % 40) : 88 + 0.1 * (tick % 100);
  const state: RunState = {
    ...initial,
    simulated: true,
    stage: "adjusting",
    target_percent: zero ? 0 : 100,
    reading: { kPa: pressure, percent: 1.25 * (pressure - 20), at_s: now_s },
    now_s,
    doing: {
      kind: "waiting-for-hand",
      at_percent: zero ? 0 : 100,
      why: "",
      ...wish,
      cue: zero
        ? pressure > 0.45
          ? { kind: "flow", flow_kPa: pressure - 0.2 }
          : { kind: "no-flow", flow_kPa: pressure - 0.2 }
        : { kind: "turn", way: "up", missing_kPa: 100 - pressure },
    },
  };
  printer.see({ state, doing: "span: turn", output: { type: "live", at_s: now_s, live: { kind: "turn-ended" } } });
}, 50);

const answer = await askTurn(streams, printer, "kPa")(wish, new AbortController().signal);
clearInterval(timer);
printer.rest();
process.stdout.write(`ANSWER ${answer}\n`);
