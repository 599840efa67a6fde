import type { PlainFit } from "../analysis/plain-lines.ts";
import { fQuantile, fUpperTail } from "./statistics/f-distribution.ts";
import { studentTQuantile } from "./statistics/student-t.ts";

/** The fitted value at one place, and what it may be off, twice: as a line, and as the next single value. */
export interface Prediction {
  readonly x: number;
  readonly y: number;
  /** Scatter of a single value that the uncertainties go by: that of the residuals, or the u(y) that was stated. */
  readonly by: "residuals" | "stated u of y";
  /** Of the fitted line itself. */
  readonly u: number;
  readonly U: number;
  /** Of one more value read there. */
  readonly u_next_value: number;
  readonly U_next_value: number;
}

export interface TermJudged {
  readonly term: string;
  readonly t: number | null;
  /** |t| beyond the critical value: the term is there. */
  readonly differs_from_zero: boolean | null;
  readonly U: number | null;
}

export interface FitInference {
  readonly probability: number;
  readonly degrees_of_freedom: number;
  /** Two-sided. */
  readonly t_critical: number;
  readonly terms: readonly TermJudged[];
  readonly lack_of_fit: {
    readonly F: number;
    readonly F_critical: number;
    /** Of an F as large as this without any lack of fit. */
    readonly chance: number;
    readonly rejected: boolean;
  } | null;
  /** Of a straight line with a constant: the mean of x, where the line is known best. */
  readonly x_of_smallest_u: number | null;
  readonly predictions: readonly Prediction[];
}

const powers = (fit: PlainFit, x: number): readonly number[] =>
  fit.terms.map(({ term }) => (term === "1" ? 1 : x ** Number(/\^(\d+)$/u.exec(term)?.[1] ?? 1)));

const cofactorAt = (fit: PlainFit, row: readonly number[]): number =>
  row.reduce((sum, a, i) => sum + row.reduce((s, b, j) => s + a * b * (fit.cofactors[i]?.[j] ?? Number.NaN), 0), 0);

/**
 * What a least-squares fit over one x allows to be said: terms and lack of fit held against t and F, and values read
 * from it with their uncertainty, correlation of the estimates included (JCGM 100:2008, H.3; JCGM GUM-6:2020, 10.6.4).
 * null without degrees of freedom.
 *
 * @param u_y standard uncertainty of each y, where it is known and not taken from the residuals
 */
export const fitInference = (
  fit: PlainFit,
  probability: number,
  at: readonly number[],
  u_y: number | null,
): FitInference | null => {
  const { degrees_of_freedom, residual_sd, lack_of_fit } = fit;
  if (residual_sd === null) return null;
  const t_critical = -studentTQuantile((1 - probability) / 2, degrees_of_freedom);
  const scales = [
    { by: "residuals" as const, s: residual_sd },
    ...(u_y === null ? [] : [{ by: "stated u of y" as const, s: u_y }]),
  ];
  const straight = fit.terms.map((t) => t.term).join(" ") === "1 x";
  return {
    probability,
    degrees_of_freedom,
    t_critical,
    terms: fit.terms.map(({ term, t, standard_error }) => ({
      term,
      t,
      differs_from_zero: t === null ? null : Math.abs(t) > t_critical,
      U: standard_error === null ? null : t_critical * standard_error,
    })),
    lack_of_fit:
      lack_of_fit === null
        ? null
        : (({ F, df_lack_of_fit, df_pure_error }) => {
            const F_critical = fQuantile(probability, df_lack_of_fit, df_pure_error);
            return { F, F_critical, chance: fUpperTail(F, df_lack_of_fit, df_pure_error), rejected: F > F_critical };
          })(lack_of_fit),
    x_of_smallest_u: straight ? -(fit.cofactors[0]?.[1] ?? Number.NaN) / (fit.cofactors[1]?.[1] ?? Number.NaN) : null,
    predictions: at.flatMap((x) => {
      const row = powers(fit, x);
      const y = row.reduce((sum, p, i) => sum + p * (fit.terms[i]?.estimate ?? Number.NaN), 0);
      return scales.map(({ by, s }): Prediction => {
        const u = s * Math.sqrt(cofactorAt(fit, row));
        const u_next_value = Math.hypot(u, s);
        return { x, y, by, u, U: t_critical * u, u_next_value, U_next_value: t_critical * u_next_value };
      });
    }),
  };
};
