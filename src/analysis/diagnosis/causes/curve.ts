import type { CauseEntry } from "../cause.ts";
import { fixed } from "./sign-text.ts";

export const wornLinkage: CauseEntry = {
  cause: "worn-linkage",
  words: "play between input and output: worn pivots or a loose linkage",
  sign: ({ dead_band_percent }) =>
    dead_band_percent === null
      ? null
      : { strength: dead_band_percent / 0.2, figures: `dead band ${dead_band_percent.toFixed(2)} %` },
  explains: ["friction"],
};

export const friction: CauseEntry = {
  cause: "friction",
  words: "rising and falling differ more than the dead band: friction, dirt, or a tired flexure or diaphragm",
  sign: ({ curve }) =>
    curve === null
      ? null
      : { strength: curve.hysteresis_percent / 0.35, figures: `hysteresis ${curve.hysteresis_percent.toFixed(2)} %` },
  explains: [],
};

export const bentCurve: CauseEntry = {
  cause: "bent-curve",
  words: "the curve is bent: nozzle and flapper out of line, or bellows that were overloaded; no screw removes it",
  sign: ({ curve, tolerance_percent }) =>
    curve === null
      ? null
      : {
          strength: Math.abs(curve.bend_percent) / (0.5 * tolerance_percent),
          figures: `bend ${curve.bend_percent.toFixed(2)} %`,
        },
  explains: [],
};

export const zeroOff: CauseEntry = {
  cause: "zero-off",
  words: "zero is off: adjust zero, then check span",
  sign: ({ curve, tolerance_percent }) =>
    curve === null
      ? null
      : {
          strength: Math.abs(curve.zero_percent) / tolerance_percent,
          figures: `zero error ${fixed(curve.zero_percent)} %`,
        },
  explains: [],
};

export const spanOff: CauseEntry = {
  cause: "span-off",
  words: "span is off: adjust span, then check zero",
  sign: ({ curve, tolerance_percent }) =>
    curve === null
      ? null
      : {
          strength: Math.abs(curve.span_percent) / tolerance_percent,
          figures: `span error ${fixed(curve.span_percent)} %`,
        },
  explains: [],
};
