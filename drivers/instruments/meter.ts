import type { Meter } from "../../src/ports/instruments.ts";
import type { Timers } from "../../src/ports/timers.ts";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import type { Reading } from "../../src/vocabulary/reading.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import { type AssertedDialect, alarmFault } from "./asserted-dialect.ts";
import type { Spoken } from "./dialect.ts";
import { measuredValue, type Range } from "./measured-value.ts";
import { pendingCalls } from "./pending-calls.ts";
import type { MeterQuantity } from "./unit-conversion.ts";
import { pause, whileBusy } from "./while-busy.ts";

export interface MeterSettings<Q> {
  readonly name: string;
  readonly quantity: MeterQuantity;
  /** Name of the reading in the profile. */
  readonly reading: string;
  readonly range?: Range | undefined;
  /** From the number in the internal unit to the value of a reading. */
  readonly wrap: (value: number) => Q;
  readonly timers: Timers;
}

/** A meter of one quantity over any dialect. */
export const makeMeter = <Q>(settings: MeterSettings<Q>, asserted: AssertedDialect): Meter<Reading<Q>> => {
  const { name, quantity, reading, range, wrap, timers } = settings;
  const { dialect } = asserted;
  const calls = pendingCalls(name);
  let lastCount: { readonly count: number; readonly generation: number } | null = null;

  /** Asks until the instrument has a new measurement, when it counts them: one measurement is never two readings. */
  const fresh = async (): Promise<Result<Spoken, Fault>> => {
    const since_s = timers.now_s();
    for (;;) {
      const said = await whileBusy(timers, () => asserted.with(() => dialect.read([reading]), true));
      const count = said.ok ? said.value.values.get("count")?.value : undefined;
      if (!said.ok || count === undefined) return said;
      const { generation } = said.value;
      if (lastCount?.count !== count || lastCount.generation !== generation) {
        lastCount = { count, generation };
        return said;
      }
      const waited_s = timers.now_s() - since_s;
      const limit_s = dialect.staleAfter_s ?? Number.POSITIVE_INFINITY;
      if (waited_s >= limit_s || calls.closed) {
        // A map that is off by one finds a count that never moves: the number itself tells more then.
        const found = said.value.values.get(reading);
        const judged = found === undefined ? null : measuredValue(name, quantity, found, range);
        if (judged !== null && !judged.ok) return judged;
        return err(
          fault("device", "no-new-data", `${name} has measured nothing new for ${waited_s.toFixed(1)} s.`, {
            means: "It shows an old value, which does not count.",
            remedy: "Check that it is not in hold, then switch it off and on.",
          }),
        );
      }
      await pause(timers);
    }
  };

  const read = async (): Promise<Result<Reading<Q>, Fault>> => {
    const said = await fresh();
    if (!said.ok) return said;
    const alarm = alarmFault(name, said.value);
    if (alarm !== null) return err(alarm);
    const found = said.value.values.get(reading);
    if (found === undefined) throw new Error(`the dialect of ${name} left out ${reading}`);
    const value = measuredValue(name, quantity, found, range);
    if (!value.ok) return value;
    return ok({ value: wrap(value.value), at_s: said.value.at_s, raw: said.value.raw });
  };

  return {
    name,
    identify: () => calls.run(asserted.identify),
    read: () => calls.run(read),
    close: async () => {
      calls.close();
      dialect.close();
    },
  };
};
