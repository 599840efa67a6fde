/**
 * Numbers of about 32 digits, held as an unevaluated sum of two doubles. Used where a fit or a sum of squares would
 * lose digits in plain arithmetic.
 * Source of the error-free steps: Dekker, Numer. Math. 18 (1971) 224; Knuth, The Art of Computer Programming, vol. 2, 4.2.2.
 */
export interface DoubleDouble {
  readonly hi: number;
  readonly lo: number;
}

const SPLITTER = 2 ** 27 + 1;

export const dd = (hi: number, lo = 0): DoubleDouble => ({ hi, lo });
export const ZERO = dd(0);
export const toNumber = (a: DoubleDouble): number => a.hi + a.lo;

const quickTwoSum = (a: number, b: number): DoubleDouble => {
  const s = a + b;
  return { hi: s, lo: b - (s - a) };
};

const twoSum = (a: number, b: number): DoubleDouble => {
  const s = a + b;
  const t = s - a;
  return { hi: s, lo: a - (s - t) + (b - t) };
};

/** Product with its rounding error. Arguments beyond about 1e300 overflow the split. */
const twoProduct = (a: number, b: number): DoubleDouble => {
  const p = a * b;
  const ta = SPLITTER * a;
  const ah = ta - (ta - a);
  const al = a - ah;
  const tb = SPLITTER * b;
  const bh = tb - (tb - b);
  const bl = b - bh;
  return { hi: p, lo: ah * bh - p + ah * bl + al * bh + al * bl };
};

export const add = (a: DoubleDouble, b: DoubleDouble): DoubleDouble => {
  const s = twoSum(a.hi, b.hi);
  const t = twoSum(a.lo, b.lo);
  const u = quickTwoSum(s.hi, s.lo + t.hi);
  return quickTwoSum(u.hi, u.lo + t.lo);
};

export const negate = (a: DoubleDouble): DoubleDouble => ({ hi: -a.hi, lo: -a.lo });
export const subtract = (a: DoubleDouble, b: DoubleDouble): DoubleDouble => add(a, negate(b));

export const multiply = (a: DoubleDouble, b: DoubleDouble): DoubleDouble => {
  const p = twoProduct(a.hi, b.hi);
  return quickTwoSum(p.hi, p.lo + (a.hi * b.lo + a.lo * b.hi));
};

export const divide = (a: DoubleDouble, b: DoubleDouble): DoubleDouble => {
  const q1 = a.hi / b.hi;
  const r1 = subtract(a, multiply(b, dd(q1)));
  const q2 = r1.hi / b.hi;
  const r2 = subtract(r1, multiply(b, dd(q2)));
  const q = quickTwoSum(q1, q2);
  return add(q, dd(r2.hi / b.hi));
};

/** Square root of a value that is not negative. */
export const squareRoot = (a: DoubleDouble): DoubleDouble => {
  if (a.hi <= 0) return ZERO;
  const guess = Math.sqrt(a.hi);
  const rest = subtract(a, twoProduct(guess, guess));
  return add(dd(guess), dd(rest.hi / (2 * guess)));
};

export const sum = (values: readonly DoubleDouble[]): DoubleDouble => {
  let total = ZERO;
  for (const value of values) total = add(total, value);
  return total;
};
