import type { CurrentSource, FallbackOutcome } from "../../src/ports/instruments.ts";
import type { Timers } from "../../src/ports/timers.ts";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { type Milliamp, mA, type Second, seconds } from "../../src/vocabulary/quantities.ts";
import type { CurrentReading } from "../../src/vocabulary/reading.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import { type AssertedDialect, alarmFault } from "./asserted-dialect.ts";
import type { Spoken } from "./dialect.ts";
import { measuredValue, type Range } from "./measured-value.ts";
import { pendingCalls } from "./pending-calls.ts";
import { fromInternal, toInternal } from "./unit-conversion.ts";
import { whileBusy } from "./while-busy.ts";

export interface SourceSettings {
  readonly name: string;
  /** What it can drive, mA. Nothing beyond it is ever sent. */
  readonly range?: Range | undefined;
  readonly timers: Timers;
}

interface Fallback {
  readonly after: Second;
  readonly current: Milliamp;
}

const ON = 1;

/** After these nobody knows whether the instrument did what it was asked: no answer came, or it is still at it. */
const mayHaveHappened = ({ kind, code }: Fault): boolean =>
  code === "device-busy" || (kind === "communication" && code !== "line-closed" && code !== "internal");

/** A current source over any dialect. */
export const makeSource = ({ name, range, timers }: SourceSettings, asserted: AssertedDialect): CurrentSource => {
  const { dialect } = asserted;
  const calls = pendingCalls(name);
  let wantedFallback: Fallback | null = null;
  /** The proof under which the fallback was armed; an instrument that restarted has lost it. */
  let armedUnder = 0;
  /** One command after the other: two at once would read back each other's value. */
  let last: Promise<unknown> = Promise.resolve();

  const inTurn = <T>(work: () => Promise<T>): Promise<T> => {
    const next = last.then(work, work);
    last = next.catch(() => undefined);
    return next;
  };

  const notConfirmed = (told: string, why: string): Fault =>
    fault("communication", "set-not-confirmed", `${name} was told ${told} and did not confirm it: ${why}`, {
      means: "What it drives now is not known.",
      remedy: "Make the bench safe; if that cannot be confirmed either, switch the source off by hand.",
    });

  /** Reading does no harm, so it is tried twice. */
  const twice = async <T>(read: () => Promise<Result<T, Fault>>): Promise<Result<T, Fault>> => {
    const patient = (): Promise<Result<T, Fault>> => whileBusy(timers, read);
    const once = await patient();
    return once.ok || !mayHaveHappened(once.fault) ? once : patient();
  };

  /**
   * Sends a value and reads it back. A request that got no answer may have been carried out or not: it is not sent again;
   * what the instrument says it is set to decides.
   */
  const commandAndConfirm = async (command: string, value: number, unit: string): Promise<Result<number, Fault>> => {
    const told = `${Number(value.toPrecision(7))} ${unit}`.trim();
    const sent = await asserted.with(() => dialect.send(command, value), false);
    if (!sent.ok && !mayHaveHappened(sent.fault)) return sent;
    const shown = await twice(() => asserted.with(() => dialect.confirm(command), true));
    if (!shown.ok) {
      if (shown.fault.code === "line-closed") return shown;
      return err(notConfirmed(told, (sent.ok ? shown.fault : sent.fault).message));
    }
    const got = shown.value.values.get(command)?.value ?? Number.NaN;
    if (Math.abs(got - value) <= dialect.tolerance(command, value)) return ok(got);
    const why = sent.ok ? "" : ` ${sent.fault.message}`;
    return err(notConfirmed(told, `it says ${Number(got.toPrecision(7))} ${unit}.${why}`));
  };

  const commandQuantity = async (
    command: string,
    quantity: "current" | "duration",
    internal: number,
  ): Promise<Result<number, Fault>> => {
    const unit = dialect.unitOfCommand(command) ?? "";
    const done = await commandAndConfirm(command, fromInternal(quantity, internal, unit), unit);
    return done.ok ? ok(toInternal(quantity, done.value, unit) ?? Number.NaN) : done;
  };

  const arm = async ({ after, current }: Fallback): Promise<Result<FallbackOutcome, Fault>> => {
    // The value first: armed with an old one, the source could fall back to it in between.
    const value = await commandQuantity("fallback_current", "current", current);
    if (!value.ok) return value;
    const { proof } = asserted;
    const delay = await commandQuantity("fallback_after", "duration", after);
    if (!delay.ok) return delay;
    armedUnder = proof === asserted.proof ? proof : 0;
    return ok({ kind: "armed", after_s: seconds(delay.value), current_mA: mA(value.value) });
  };

  const armFallback = async (after: Second, current: Milliamp): Promise<Result<FallbackOutcome, Fault>> => {
    if (!dialect.hasCommand("fallback_after") || !dialect.hasCommand("fallback_current")) {
      return ok({ kind: "not-available" });
    }
    const refused = outOfRange(current);
    if (refused !== null) return err(refused);
    wantedFallback = { after, current };
    return arm(wantedFallback);
  };

  const outOfRange = (current: Milliamp): Fault | null => {
    const fits =
      Number.isFinite(current) && (range === undefined || (current >= range.lower && current <= range.upper));
    return fits
      ? null
      : fault(
          "refused",
          "out-of-range",
          `${current} mA cannot be set: ${name} drives ${range === undefined ? "finite currents" : `${range.lower} to ${range.upper} mA`}.`,
          { means: "Nothing was sent; the source stays as it is.", remedy: "Choose a current in its range." },
        );
  };

  const switchOn = async (): Promise<Fault | null> => {
    if (!dialect.hasCommand("output")) return null;
    const shown = await asserted.with(() => dialect.confirm("output"), true);
    if (!shown.ok) return notConfirmed("to switch its output on", shown.fault.message);
    if (shown.value.values.get("output")?.value === ON) return null;
    const done = await commandAndConfirm("output", ON, "(output on)");
    return done.ok ? null : done.fault;
  };

  const set = async (current: Milliamp): Promise<Result<{ readonly confirmed: Milliamp }, Fault>> => {
    const refused = outOfRange(current);
    if (refused !== null) return err(refused);
    if (wantedFallback !== null && (armedUnder === 0 || armedUnder !== asserted.proof)) {
      const armed = await arm(wantedFallback);
      if (!armed.ok) return armed;
    }
    const confirmed = await commandQuantity("current", "current", current);
    if (!confirmed.ok) return confirmed;
    // The current first, the output after it: switched on with an old value it would jump.
    const stillOff = await switchOn();
    return stillOff === null ? ok({ confirmed: mA(confirmed.value) }) : err(stillOff);
  };

  const readBack = async (): Promise<Result<CurrentReading, Fault>> => {
    const said: Result<Spoken, Fault> = await whileBusy(timers, () =>
      asserted.with(() => dialect.read(["commanded"]), true),
    );
    if (!said.ok) return said;
    const alarm = alarmFault(name, said.value);
    if (alarm !== null) return err(alarm);
    const found = said.value.values.get("commanded");
    if (found === undefined) throw new Error(`the dialect of ${name} left out commanded`);
    const value = measuredValue(name, "current", found, range);
    if (!value.ok) return value;
    return ok({ value: { mA: mA(value.value) }, at_s: said.value.at_s, raw: said.value.raw });
  };

  return {
    name,
    identify: () => calls.run(asserted.identify),
    set: (current) => calls.run(() => inTurn(() => set(current))),
    readBack: () => calls.run(readBack),
    armFallback: (after, current) => calls.run(() => inTurn(() => armFallback(after, current))),
    close: async () => {
      calls.close();
      dialect.close();
    },
  };
};
