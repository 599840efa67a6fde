import type { CurrentSource } from "../../src/ports/instruments.ts";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { type Milliamp, mA, type Second } from "../../src/vocabulary/quantities.ts";
import type { CurrentReading } from "../../src/vocabulary/reading.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import { measuredValue, type Range } from "../instruments/measured-value.ts";
import { pendingCalls } from "../instruments/pending-calls.ts";
import { type PersonSettings, talkToPerson } from "./person-talk.ts";

export interface PersonSourceSettings extends PersonSettings {
  readonly range?: Range | undefined;
  /** How finely it can be set and read, mA. */
  readonly readability_mA: number;
  readonly stamp: () => Second;
}

/** How often a person is asked to set it before the bench is made safe. */
const ATTEMPTS = 2;

const EXAMPLE = "12.00 mA";

/** A hand-held source that a person sets. What it shows afterwards is typed in, and that is what counts as confirmed. */
export const personSource = (settings: PersonSourceSettings): CurrentSource => {
  const { name, range, readability_mA, stamp } = settings;
  const talk = talkToPerson(settings);
  const calls = pendingCalls(name);

  const ask = async (text: string): Promise<Result<{ mA: number; typed: string; at_s: Second }, Fault>> => {
    const typed = await talk.quantity("current", text, EXAMPLE);
    if (!typed.ok) return typed;
    const at_s = stamp();
    const value = measuredValue(name, "current", { value: typed.value.mA, unit: "mA" }, range);
    return value.ok ? ok({ mA: value.value, typed: typed.value.text, at_s }) : value;
  };

  const set = async (current: Milliamp): Promise<Result<{ readonly confirmed: Milliamp }, Fault>> => {
    const fits =
      Number.isFinite(current) && (range === undefined || (current >= range.lower && current <= range.upper));
    if (!fits) {
      return err(
        fault("refused", "out-of-range", `${current} mA lies outside the range of ${name}.`, {
          means: "Nobody was asked to set it; the source stays as it is.",
        }),
      );
    }
    const told = `${current.toFixed(3)} mA`;
    let typed = "";
    for (let attempt = 0; attempt < ATTEMPTS; attempt += 1) {
      // Unlike an instrument on a line, a person who is asked again does no harm: the source is looked at once more.
      const again = attempt === 0 ? "" : `You typed ${typed}, which is not ${told}. `;
      const shown = await ask(`${again}Set ${name} to ${told}, then type what it shows.`);
      if (!shown.ok && shown.fault.code !== "out-of-range") return shown;
      if (shown.ok && Math.abs(shown.value.mA - current) <= readability_mA * (1 + 1e-9)) {
        return ok({ confirmed: mA(shown.value.mA) });
      }
      typed = shown.ok ? shown.value.typed : "a current beyond its range";
    }
    return err(
      fault("communication", "set-not-confirmed", `${name} was to be set to ${told} and shows ${typed}.`, {
        means: "The unit is driven with another current than was planned.",
        remedy: "Set it again, or make the bench safe.",
      }),
    );
  };

  const readBack = async (): Promise<Result<CurrentReading, Fault>> => {
    const shown = await ask(`Type the current that ${name} shows now.`);
    if (!shown.ok) return shown;
    return ok({ value: { mA: mA(shown.value.mA) }, at_s: shown.value.at_s, raw: shown.value.typed });
  };

  return {
    name,
    identify: () => calls.run(talk.identify),
    set: (current) => calls.run(() => set(current)),
    readBack: () => calls.run(readBack),
    armFallback: () => calls.run(async () => ok({ kind: "not-available" })),
    close: async () => {
      calls.close();
      talk.close();
    },
  };
};
