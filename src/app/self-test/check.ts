/** One figure of a published case: what was wanted, what came out, how far apart they may be. */
export interface Check {
  readonly what: string;
  readonly expected: number | string;
  readonly got: number | string;
  /** Largest distance allowed, or the rule in words. */
  readonly tolerance: number | string;
  readonly passed: boolean;
}

export interface CaseResult {
  readonly area: string;
  readonly id: string;
  readonly source: string;
  /** How sure the source is: printed there, or remembered. */
  readonly status: string;
  readonly checks: readonly Check[];
  readonly passed: boolean;
}

/** Collects the checks of one case. */
export interface Recorder {
  /** Passes when |got - expected| is at most `tolerance`. */
  readonly near: (
    what: string,
    got: number | null | undefined,
    expected: number | undefined,
    tolerance: number,
  ) => void;
  /** Lists of the same length, each member within `tolerance`. */
  readonly nearAll: (what: string, got: readonly number[], expected: readonly number[], tolerance: number) => void;
  readonly same: (what: string, got: string, expected: string) => void;
  readonly below: (what: string, got: number, bound: number) => void;
  readonly result: () => CaseResult;
}

/** The last bits of a printed decimal are no disagreement. */
const LAST_BITS = 1e-12;

export const recordCase = (about: Pick<CaseResult, "area" | "id" | "source" | "status">): Recorder => {
  const checks: Check[] = [];
  const near: Recorder["near"] = (what, got, expected, tolerance) => {
    const computed = got ?? Number.NaN;
    const wanted = expected ?? Number.NaN;
    const allowed = Math.max(tolerance, LAST_BITS * Math.abs(wanted));
    checks.push({
      what,
      expected: wanted,
      got: computed,
      tolerance,
      passed: Math.abs(computed - wanted) <= allowed,
    });
  };
  return {
    near,
    nearAll: (what, got, expected, tolerance) => {
      if (got.length !== expected.length || expected.length === 0) {
        checks.push({
          what,
          expected: `${expected.length} figures`,
          got: `${got.length} figures`,
          tolerance: "as many, and not none",
          passed: false,
        });
        return;
      }
      expected.forEach((wanted, i) => {
        near(`${what} ${i + 1}`, got[i], wanted, tolerance);
      });
    },
    same: (what, got, expected) =>
      checks.push({ what, expected, got, tolerance: "the same", passed: got === expected }),
    below: (what, got, bound) =>
      checks.push({ what, expected: bound, got, tolerance: "at most", passed: got <= bound * (1 + LAST_BITS) }),
    // A case without a check has shown nothing.
    result: () => ({ ...about, checks, passed: checks.length > 0 && checks.every((c) => c.passed) }),
  };
};
