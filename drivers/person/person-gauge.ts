import type { PressureGauge } from "../../src/ports/instruments.ts";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { kPa, type PressureMode, type Second } from "../../src/vocabulary/quantities.ts";
import type { PressureReading } from "../../src/vocabulary/reading.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import { measuredValue, type Range } from "../instruments/measured-value.ts";
import { pendingCalls } from "../instruments/pending-calls.ts";
import { type PersonSettings, talkToPerson } from "./person-talk.ts";

export interface PersonGaugeSettings extends PersonSettings {
  readonly range?: Range | undefined;
  readonly mode: PressureMode;
  /** How well it can be read, kPa: two readings of a pressure at rest agree within this. */
  readonly readability_kPa: number;
  readonly stamp: () => Second;
}

/** Readings in a row that may disagree before the pressure is taken for not standing still. */
const PAIRS = 3;

/**
 * A dial or display that a person reads. Each value is read twice; the second one counts, once it agrees with the one
 * before it. `raw` keeps what was typed, with its unit and as many digits as could be read.
 */
export const personGauge = (settings: PersonGaugeSettings): PressureGauge => {
  const { name, range, mode, readability_kPa, stamp } = settings;
  const talk = talkToPerson(settings);
  const calls = pendingCalls(name);

  const ask = async (text: string): Promise<Result<{ kPa: number; typed: string; at_s: Second }, Fault>> => {
    const typed = await talk.quantity("pressure", text, "60.05 kPa");
    if (!typed.ok) return typed;
    const at_s = stamp();
    const value = measuredValue(name, "pressure", { value: typed.value.kPa, unit: "kPa" }, range);
    return value.ok ? ok({ kPa: value.value, typed: typed.value.text, at_s }) : value;
  };

  const read = async (): Promise<Result<PressureReading, Fault>> => {
    let before = await ask(`Read ${name} and type what it shows, with its unit.`);
    for (let pair = 0; pair < PAIRS; pair += 1) {
      if (!before.ok) return before;
      const again = await ask(`Read ${name} once more, to confirm ${before.value.typed}.`);
      if (!again.ok) return again;
      // A hair of slack for decimal fractions that have no exact binary form.
      if (Math.abs(again.value.kPa - before.value.kPa) <= readability_kPa * (1 + 1e-9)) {
        return ok({ value: { kPa: kPa(again.value.kPa), mode }, at_s: again.value.at_s, raw: again.value.typed });
      }
      before = again;
    }
    return err(
      fault("device", "not-a-number", `Two readings of ${name} never agreed within ${readability_kPa} kPa.`, {
        means: "The pressure does not stand still, or one of the readings was mistyped.",
        remedy: "Wait until the pointer rests, then read again.",
      }),
    );
  };

  return {
    name,
    identify: () => calls.run(talk.identify),
    read: () => calls.run(read),
    close: async () => {
      calls.close();
      talk.close();
    },
  };
};
