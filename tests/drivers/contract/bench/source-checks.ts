import type { CurrentSource } from "../../../../src/ports/instruments.ts";
import { faultText } from "../../../../src/vocabulary/fault.ts";
import { type Milliamp, mA, seconds } from "../../../../src/vocabulary/quantities.ts";
import { type BenchCheck, failed, passed } from "./bench-check.ts";

/** What a source owes; made only where outputs were asked for. */

const sourceAt = async (source: CurrentSource, current: Milliamp): Promise<string | null> => {
  const set = await source.set(current);
  if (!set.ok) return faultText(set.fault);
  const back = await source.readBack();
  if (!back.ok) return faultText(back.fault);
  const off = Math.abs(back.value.value.mA - current);
  return off <= 0.01 ? null : `told ${current.toFixed(3)} mA, it says ${back.value.value.mA.toFixed(3)} mA`;
};

/** Small enough to move nothing on the bench, large enough to be seen by the source itself. */
const NUDGE_MA = 0.2;

const setting: BenchCheck = {
  name: "sets and confirms",
  drives: true,
  run: async ({ instrument, output }) => {
    if (output === null) return { outcome: "skipped", saw: "nothing is to be driven" };
    const source = instrument as CurrentSource;
    for (const current of [output, mA(output + NUDGE_MA), output]) {
      const wrong = await sourceAt(source, current);
      if (wrong !== null) return failed(wrong);
    }
    return passed(`${output} mA, ${NUDGE_MA} mA more, and ${output} mA again, as it says itself`);
  },
};

const refusing: BenchCheck = {
  name: "a current beyond its range is refused unsent",
  drives: true,
  run: async ({ instrument, bench, name, output }) => {
    const source = instrument as CurrentSource;
    const upper = bench.instruments[name]?.current?.upper.mA;
    if (upper === undefined || output === null) return { outcome: "skipped", saw: "the bench file gives no range" };
    const set = await source.set(mA(upper + 1));
    if (set.ok) return failed(`${upper + 1} mA was taken`);
    const back = await source.readBack();
    const stays = back.ok && Math.abs(back.value.value.mA - output) <= 0.01;
    return set.fault.code === "out-of-range" && stays ? passed(set.fault.message) : failed(faultText(set.fault));
  },
};

const FALLBACK_AFTER_S = 60;

const fallback: BenchCheck = {
  name: "fallback when nobody speaks to it",
  drives: true,
  run: async ({ instrument, output }) => {
    if (output === null) return { outcome: "skipped", saw: "nothing is to be driven" };
    const armed = await (instrument as CurrentSource).armFallback(seconds(FALLBACK_AFTER_S), output);
    if (!armed.ok) return failed(faultText(armed.fault));
    return armed.value.kind === "armed"
      ? passed(`armed: ${armed.value.current_mA} mA after ${armed.value.after_s} s`)
      : passed("it has none, and says so");
  },
};

/** The last thing said to a source that was driven, whatever went wrong before. */
const leaving: BenchCheck = {
  name: "is left as asked",
  drives: true,
  run: async ({ instrument, output }) => {
    if (output === null) return { outcome: "skipped", saw: "nothing was driven" };
    const wrong = await sourceAt(instrument as CurrentSource, output);
    return wrong === null
      ? passed(`it stands at ${output} mA, as it says itself`)
      : failed(`${wrong} Shut the supply and switch the source off by hand.`);
  },
};

export const SOURCE_CHECKS = [setting, refusing, fallback, leaving];
