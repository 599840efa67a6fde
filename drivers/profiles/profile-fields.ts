import { z } from "zod";
import { isPressureUnit } from "../../src/vocabulary/pressure-units.ts";

/** Parts that register and line profiles have in common. */

/** What kind of instrument a profile describes, and which readings and commands it has to have for that. */
export const ROLES = {
  "pressure-gauge": { readings: ["pressure"], commands: [] },
  "current-source": { readings: ["commanded"], commands: ["current"] },
  "bench-meter": { readings: [], commands: [] },
  /** Hands and faults of the simulated bench; no instrument of a station. */
  "simulated-service": { readings: [], commands: [] },
} as const;

export type ProfileRole = keyof typeof ROLES;

export const roleField = () =>
  z.enum(Object.keys(ROLES) as [ProfileRole, ...ProfileRole[]]).describe("what kind of instrument this is");

/** The quantity that a named reading is of; its unit has to be one of that quantity. */
const QUANTITY_OF: Readonly<Record<string, "pressure" | "current" | "temperature" | "humidity" | "duration">> = {
  pressure: "pressure",
  air_pressure: "pressure",
  resolution: "pressure",
  current: "current",
  commanded: "current",
  temperature: "temperature",
  humidity: "humidity",
  fallback_after: "duration",
  fallback_current: "current",
};

const UNITS_OF: Readonly<Record<string, (unit: string) => boolean>> = {
  pressure: isPressureUnit,
  current: (unit) => ["mA", "A", "uA"].includes(unit),
  temperature: (unit) => ["degC", "degF", "K"].includes(unit),
  humidity: (unit) => unit === "%RH",
  duration: (unit) => ["s", "ms", "min", "h"].includes(unit),
};

type Blame = (path: readonly (string | number)[], message: string) => void;

/** Checks that units fit their quantities, and that what the role needs is there. */
export const checkMeanings = (
  profile: {
    readonly role: ProfileRole;
    readonly readings: Readonly<Record<string, { readonly unit?: string | undefined }>>;
    readonly commands: Readonly<Record<string, { readonly unit?: string | undefined }>>;
    readonly settings: Readonly<Record<string, { readonly wanted?: string | number | undefined }>>;
  },
  blame: Blame,
): void => {
  if (profile.role === "simulated-service") return;
  for (const group of ["readings", "commands"] as const) {
    for (const name of ROLES[profile.role][group]) {
      if (profile[group][name] === undefined) blame([group], `a ${profile.role} needs "${name}" here`);
    }
    for (const [name, { unit }] of Object.entries(profile[group])) {
      const quantity = QUANTITY_OF[name];
      if (quantity === undefined || UNITS_OF[quantity]?.(unit ?? "") === true) continue;
      blame(
        [group, name, ...(unit === undefined ? [] : ["unit"])],
        unit === undefined ? `"${name}" needs a unit` : `"${unit}" is no unit of ${quantity}`,
      );
    }
  }
  const shown = profile.settings["unit"]?.wanted;
  const read = profile.readings["pressure"]?.unit;
  if (typeof shown === "string" && read !== undefined && shown !== read) {
    blame(["settings", "unit", "wanted"], `the pressure is read as ${read}, so the unit wanted has to be ${read} too`);
  }
};

/** The blame function of a zod refinement. */
export const blameIn =
  (context: z.RefinementCtx): Blame =>
  (path, message) => {
    context.addIssue({ code: "custom", path: [...path], message });
  };
