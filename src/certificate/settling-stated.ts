/** The rule by which readings were taken, as the plan in the record names it: figures in % of output span and seconds. */
export type StatedSettling =
  | { readonly rule: "detector"; readonly limit: number; readonly allowed: number; readonly least_s: number }
  | { readonly rule: "fixed-dwell"; readonly dwell_s: number; readonly average_s: number }
  | { readonly rule: "band"; readonly band: number; readonly window_s: number }
  | { readonly rule: "slope"; readonly slope_per_min: number; readonly window_s: number };

const objectOf = (value: unknown): Readonly<Record<string, unknown>> =>
  typeof value === "object" && value !== null ? { ...value } : {};

/** Null where the record's plan names no rule, or none of these, or lacks one of its figures. */
export const statedSettling = (plan: unknown): StatedSettling | null => {
  const choice = objectOf(objectOf(plan)["settling"]);
  const figure = (name: string): number => {
    const value = choice[name];
    return typeof value === "number" ? value : Number.NaN;
  };
  const complete = (stated: StatedSettling): StatedSettling | null =>
    Object.values(stated).some((value) => typeof value === "number" && !Number.isFinite(value)) ? null : stated;
  switch (choice["rule"]) {
    case "detector": {
      const limit = figure("limit_percent");
      // A product of two decimal figures, without the tail that binary numbers give it.
      const allowed = Number((limit * figure("gamma")).toPrecision(6));
      return complete({ rule: "detector", limit, allowed, least_s: figure("minimum_dwell_s") });
    }
    case "fixed-dwell":
      return complete({ rule: "fixed-dwell", dwell_s: figure("dwell_s"), average_s: figure("average_s") });
    case "band":
      return complete({ rule: "band", band: figure("band_percent"), window_s: figure("window_s") });
    case "slope":
      return complete({ rule: "slope", slope_per_min: figure("slope_percent_per_min"), window_s: figure("window_s") });
    default:
      return null;
  }
};
