import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type TrendPoint, trendLine } from "../../src/history/trend-line.ts";
import { studentTQuantile } from "../../src/uncertainty/statistics/student-t.ts";

interface Line {
  readonly id: string;
  readonly x: readonly number[];
  readonly y: readonly number[];
  readonly u: readonly number[] | null;
  readonly segments?: readonly number[];
  readonly confidence: number;
  readonly at: readonly {
    readonly x: number;
    readonly value: number;
    readonly u_line?: number;
    readonly line?: readonly [number, number];
    readonly next: readonly [number, number];
  }[];
  readonly slope?: readonly [number, number];
}
const frozen = JSON.parse(readFileSync(new URL("../published/prediction-from-r.json", import.meta.url), "utf8")) as {
  readonly lines: readonly Line[];
};

const fitted = (
  points: readonly TrendPoint[],
  confidence = 0.95,
  scatter: "residual" | "larger" | "known" = "residual",
) => {
  const line = trendLine(points, { confidence, scatter, studentT: studentTQuantile });
  if (line === null) throw new Error("no line");
  return line;
};
const pointsOf = ({ x, y, u, segments }: Line): readonly TrendPoint[] =>
  x.map((at, i) => ({ x: at, y: y[i] ?? Number.NaN, u: u?.[i] ?? null, segment: segments?.[i] ?? 0 }));
const close = (got: number, wanted: number, scale: number): void =>
  expect(Math.abs(got - wanted)).toBeLessThanOrEqual(1e-11 * scale);

describe("against R 4.2.2, predict.lm, frozen figures", () => {
  it.each(frozen.lines)("$id: line, its interval and that of the next result", (frozenLine) => {
    const line = fitted(pointsOf(frozenLine), frozenLine.confidence);
    for (const at of frozenLine.at) {
      const got = line.at(at.x);
      const scale = Math.max(...at.next.map(Math.abs));
      close(got.value, at.value, scale);
      close(got.value - got.next, at.next[0], scale);
      close(got.value + got.next, at.next[1], scale);
      if (at.u_line !== undefined) close(got.u_line, at.u_line, scale);
      if (at.line !== undefined) {
        close(got.value - got.line, at.line[0], scale);
        close(got.value + got.line, at.line[1], scale);
      }
    }
    if (frozenLine.slope !== undefined) {
      const [low, high] = frozenLine.slope;
      close(line.slope - line.slope_half_width, low, high);
      close(line.slope + line.slope_half_width, high, high);
    }
  });
});

const R = "Rscript";
const present = spawnSync(R, ["--version"]).error === undefined;

describe.skipIf(!present && process.env["CI"] !== "true")("under R at work (needs r-base-core)", () => {
  it("30 made-up histories of 6 to 30 points in up to three segments have the intervals of predict.lm, to 1e-9", () => {
    const random = fc.sample(
      fc.array(
        fc.record({
          x: fc.integer({ min: 0, max: 4000 }),
          y: fc.double({ min: -2, max: 2, noNaN: true }),
          u: fc.double({ min: 0.005, max: 0.1, noNaN: true }),
          segment: fc.integer({ min: 1, max: 3 }),
        }),
        { minLength: 6, maxLength: 30 },
      ),
      { seed: 20_431, numRuns: 80 },
    );
    const cases = random.filter((points) => new Set(points.map((p) => p.x)).size > 2).slice(0, 30);
    expect(cases).toHaveLength(30);
    const list = (values: readonly number[]): string => `c(${values.join(",")})`;
    const program = cases
      .map((points) => {
        const last = points.at(-1)?.u ?? 0;
        return `d <- data.frame(x=${list(points.map((p) => p.x))}, y=${list(points.map((p) => p.y))}, s=${list(points.map((p) => p.segment))})
m <- lm(${new Set(points.map((p) => p.segment)).size > 1 ? "y ~ factor(s) + x" : "y ~ x"}, d, weights=1/${list(points.map((p) => p.u))}^2)
p <- predict(m, data.frame(x=4500, s=${points.at(-1)?.segment}), interval="prediction", weights=1/${last}^2)
q <- predict(m, data.frame(x=4500, s=${points.at(-1)?.segment}), interval="confidence")
cat(format(c(p, q[2:3]), digits=15, trim=TRUE), "\\n")`;
      })
      .join("\n");
    const { status, stdout, stderr } = spawnSync(R, ["--vanilla", "-"], { input: program, encoding: "utf8" });
    expect(stderr).toBe("");
    expect(status).toBe(0);
    const rows = stdout
      .trim()
      .split("\n")
      .map((row) => row.trim().split(" ").map(Number));
    expect(rows).toHaveLength(cases.length);
    cases.forEach((points, i) => {
      const at = fitted(points).at(4500);
      const wanted = rows[i] ?? [];
      const got = [at.value, at.value - at.next, at.value + at.next, at.value - at.line, at.value + at.line];
      const scale = Math.max(1, ...wanted.map(Math.abs));
      got.forEach((value, j) => {
        expect(Math.abs(value - (wanted[j] ?? Number.NaN)), `case ${i}, figure ${j}`).toBeLessThan(1e-9 * scale);
      });
    });
  });
});

describe("a trend line", () => {
  const anyPoints = fc
    .uniqueArray(fc.integer({ min: 0, max: 3000 }), { minLength: 3, maxLength: 12 })
    .chain((xs) =>
      fc.tuple(...xs.map((x) => fc.record({ x: fc.constant(x), y: fc.double({ min: -1, max: 1, noNaN: true }) }))),
    )
    .map((points) => points.map((p) => ({ ...p, u: null })));

  it("needs three points, at two places", () => {
    const options = { confidence: 0.95, scatter: "residual", studentT: studentTQuantile } as const;
    const p = (x: number) => ({ x, y: x, u: null });
    expect(trendLine([], options)).toBeNull();
    expect(trendLine([p(0), p(1)], options)).toBeNull();
    expect(trendLine([p(4), p(4), p(4)], options)).toBeNull();
    expect(trendLine([p(4), p(4), p(5)], options)).not.toBeNull();
  });

  it("through exact points has no scatter of its own, but never less than the uncertainty that is stated", () => {
    const exact = [0, 100, 250, 400].map((x) => ({ x, y: 0.1 + 0.002 * x, u: 0.05 }));
    const bare = fitted(exact);
    expect(bare.slope).toBeCloseTo(0.002, 14);
    expect(bare.at(600).value).toBeCloseTo(1.3, 12);
    expect(bare.at(600).next).toBeLessThan(1e-12);
    const careful = fitted(exact, 0.95, "larger");
    expect(careful.scatter).toBeCloseTo(0.05, 14);
    // Two degrees of freedom: t = 4.303 (JCGM 100:2008, Table G.2).
    expect(careful.at(187.5).next).toBeCloseTo(4.303 * 0.05 * Math.sqrt(1 + 1 / 4), 3);
  });

  it("the next result is always less sure than the line, and both least so far away", () => {
    fc.assert(
      fc.property(anyPoints, (points) => {
        const line = fitted(points);
        const [near, far] = [line.at(3000), line.at(6000)];
        expect(near.next).toBeGreaterThanOrEqual(near.line);
        expect(far.line).toBeGreaterThanOrEqual(near.line * (1 - 1e-12));
      }),
    );
  });

  it("goes with the unit of y and of x, and does not mind the order", () => {
    fc.assert(
      fc.property(anyPoints, fc.double({ min: 0.01, max: 100, noNaN: true }), (points, factor) => {
        const line = fitted(points);
        const scaled = fitted(points.map((p) => ({ ...p, y: factor * p.y })));
        const years = fitted(points.map((p) => ({ ...p, x: p.x / 365.2425 })));
        const turned = fitted(points.toReversed());
        const at = line.at(4000);
        const size = Math.abs(at.value) + at.next + 1e-6;
        expect(Math.abs(scaled.at(4000).next - factor * at.next)).toBeLessThan(1e-9 * factor * size);
        expect(Math.abs(years.at(4000 / 365.2425).next - at.next)).toBeLessThan(1e-9 * size);
        expect(Math.abs(turned.at(4000).value - at.value)).toBeLessThan(1e-9 * size);
        expect(Math.abs(turned.at(4000).next - at.next)).toBeLessThan(1e-9 * size);
      }),
    );
  });

  it("equal uncertainties weigh as none", () => {
    const points = [0, 200, 380, 560].map((x, i) => ({ x, y: [0.1, 0.14, 0.21, 0.22][i] ?? 0, u: null }));
    const [bare, equal] = [fitted(points), fitted(points.map((p) => ({ ...p, u: 0.03 })))];
    expect(equal.at(700).next).toBeCloseTo(bare.at(700).next, 13);
    expect(bare.weighted).toBe(false);
    expect(equal.weighted).toBe(true);
  });
});
