/** What a bench file may leave unsaid, and which instrument it is about. */
export interface NotStated {
  readonly what: "drift" | "temperature" | "zero" | "height";
  /** Name of the instrument; of the height there is none. */
  readonly of: string | null;
}

/** What is not in U, as a code with its figures, so that each language finds its own words. */
export type UncertaintyRemark =
  | { readonly code: "not-stated"; readonly missing: readonly NotStated[] }
  | { readonly code: "one-cycle" }
  | { readonly code: "no-meter" };

const missingText = ({ what, of }: NotStated): string => {
  switch (what) {
    case "drift":
      return `drift of ${of} since its calibration`;
    case "temperature":
      return `temperature effect on ${of}`;
    case "zero":
      return `zero of ${of} over the run`;
    case "height":
      return "height between gauge and unit";
  }
};

/** In English. */
export const uncertaintyRemarkText = (remark: UncertaintyRemark): string => {
  switch (remark.code) {
    case "not-stated":
      return `Not stated for this bench, so not in U: ${remark.missing.map(missingText).join("; ")}.`;
    case "one-cycle":
      return "Each point was read in one cycle only, so repeatability from cycle to cycle is not in U.";
    case "no-meter":
      return "No independent meter read the loop: the current is what the source says of itself.";
  }
};
