import type { Identity } from "../../src/ports/instruments.ts";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import type { Dialect, SaidIdentity, SaidSetting, Spoken } from "./dialect.ts";

export interface AssertedSettings {
  readonly name: string;
  /** What the bench file says; the certificate of the reference belongs to this number. */
  readonly serial_number: string;
  /** Settings that the bench file wants otherwise than the profile, such as the mode of a gauge. */
  readonly wanted?: Readonly<Record<string, string>>;
}

/** A dialect whose answers count only while identity and settings are known to be right. */
export interface AssertedDialect {
  readonly dialect: Dialect;
  /** Number of the proof now in force; 0 when identity and settings have to be asked again. */
  readonly proof: number;
  /** Asks identity and settings anew, always. */
  identify(): Promise<Result<Identity, Fault>>;
  /**
   * Does `work` with the right instrument on the line: identity and settings are asked first when the line was opened
   * anew or there was trouble on it; an answer from another era than they were asked in is not taken, and the work is
   * done once more if it may be repeated.
   */
  with<T extends { readonly generation: number }>(
    work: () => Promise<Result<T, Fault>>,
    repeatable: boolean,
  ): Promise<Result<T, Fault>>;
}

/** How often a line may be opened anew under one call before the call gives up. */
const ROUNDS = 3;

const SIMULATED = /^SIMULATED/u;

const checkIdentity = (said: SaidIdentity, { name, serial_number }: AssertedSettings): Result<Identity, Fault> => {
  const { maker, model } = said;
  // IEEE 488.2 writes 0 for a serial number that is not known.
  if (said.serial_number === "" || (said.serial_number === "0" && serial_number !== "0")) {
    return err(
      fault("device", "wrong-identity", `${name} does not say its serial number (${maker} ${model}).`, {
        means: "It cannot be told whether this is the instrument of the certificate.",
        remedy: "Set its serial number if it can be set, or use it as an instrument worked by hand.",
      }),
    );
  }
  if (said.serial_number !== serial_number) {
    return err(
      fault(
        "device",
        "wrong-identity",
        `${name} is serial number ${said.serial_number} (${maker} ${model}); the bench file says ${serial_number}.`,
        {
          means: "Certificate and corrections are of another instrument, so no value of it counts.",
          remedy: "Check which instrument is on this line and address, or correct the bench file.",
        },
      ),
    );
  }
  return ok({ maker, model, serial_number: said.serial_number, simulated: SIMULATED.test(maker) });
};

const checkSettings = (said: readonly SaidSetting[], { name }: AssertedSettings): Fault | null => {
  const wrong = said.filter((setting) => !setting.holds);
  if (wrong.length === 0) return null;
  const list = wrong.map((each) => `${each.name} is ${each.shows}, wanted is ${each.wanted}`).join("; ");
  return fault("device", "wrong-setting", `${name} is set otherwise than it has to be: ${list}.`, {
    means: "Its readings would be taken for something else.",
    remedy: "Set it at the instrument, then start again.",
  });
};

export const assertDialect = (dialect: Dialect, settings: AssertedSettings): AssertedDialect => {
  /** The era in which identity and settings were found right; null after trouble. */
  let provenIn: number | null = null;
  let proofs = 0;
  let proving: Promise<Result<Identity, Fault>> | null = null;

  const prove = async (): Promise<Result<Identity, Fault>> => {
    provenIn = null;
    const said = await dialect.identity();
    if (!said.ok) return said;
    const identity = checkIdentity(said.value, settings);
    if (!identity.ok) return identity;
    const shown = await dialect.settings(settings.wanted ?? {});
    if (!shown.ok) return shown;
    const wrong = checkSettings(shown.value, settings);
    if (wrong !== null) return err(wrong);
    provenIn = said.value.generation;
    proofs += 1;
    return identity;
  };

  const identify = (): Promise<Result<Identity, Fault>> => {
    proving ??= prove().finally(() => {
      proving = null;
    });
    return proving;
  };

  const isProven = (): boolean => provenIn === dialect.generation;

  const reopened = (): Fault =>
    fault("communication", "line-lost", `The line to ${settings.name} was opened anew in the meantime.`, {
      means: "Its answer may be of another instrument and was thrown away.",
    });

  return {
    dialect,
    get proof() {
      return isProven() ? proofs : 0;
    },
    identify,
    with: async (work, repeatable) => {
      for (let round = 0; round < ROUNDS; round += 1) {
        if (!isProven()) {
          const proven = await identify();
          if (!proven.ok) return proven;
          if (!isProven()) continue;
        }
        // Sent in the same breath as the check above, so the line cannot have been opened anew in between.
        const done = await work();
        if (!done.ok) {
          // Asking for the serial number again shows whether the line is still in step before the next value counts.
          if (done.fault.kind === "communication") provenIn = null;
          return done;
        }
        if (done.value.generation === provenIn) return done;
        provenIn = null;
        if (!repeatable) break;
      }
      return err(reopened());
    },
  };
};

/** Alarms of the instrument as a fault; `null` when there is none. */
export const alarmFault = (name: string, spoken: Spoken): Fault | null =>
  spoken.alarms.length === 0
    ? null
    : fault("device", "device-refused", `${name} reports: ${spoken.alarms.join(", ")}.`, {
        means: "Its value does not count.",
        remedy: "Remove the cause at the instrument, then take the reading again.",
      });
