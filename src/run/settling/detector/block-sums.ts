/** Block means of the readings that a decision looks at; times are relative to the last reading, levels about their mean. */
export interface Blocks {
  readonly time: Float64Array;
  readonly level: Float64Array;
  readonly weight: Float64Array;
}

/** Centred sums of a straight line in time (per second). */
export interface LineSums {
  readonly ee: number;
  readonly ey: number;
  /** Mean time of the blocks that make up the reading. */
  readonly reading: number;
}

export function lineSums({ time, level, weight }: Blocks, n: number, readingFrom: number): LineSums {
  let s = 0;
  let total = 0;
  for (let i = 0; i < n; i++) {
    total += weight[i] ?? 0;
    s += (weight[i] ?? 0) * (time[i] ?? 0);
  }
  const centre = s / total;
  let ee = 0;
  let ey = 0;
  let reading = 0;
  let readingWeight = 0;
  for (let i = 0; i < n; i++) {
    const w = weight[i] ?? 0;
    const t = (time[i] ?? 0) - centre;
    ee += w * t * t;
    ey += w * t * (level[i] ?? 0);
    if (i < readingFrom) continue;
    reading += w * (time[i] ?? 0);
    readingWeight += w;
  }
  return { ee, ey, reading: reading / readingWeight };
}

/** Centred sums of a damped cosine and sine that are 1 and 0 at the last reading. */
export interface RingSums {
  readonly cc: number;
  readonly ss: number;
  readonly cs: number;
  readonly yc: number;
  readonly ys: number;
  /** Means of both over the blocks that make up the reading. */
  readonly readingC: number;
  readonly readingS: number;
}

export function ringSums(
  { time, level, weight }: Blocks,
  n: number,
  readingFrom: number,
  period: number,
  envelope: number,
): RingSums {
  const turn = (2 * Math.PI) / period;
  let total = 0;
  let c1 = 0;
  let s1 = 0;
  let y1 = 0;
  let cc = 0;
  let ss = 0;
  let cs = 0;
  let yc = 0;
  let ys = 0;
  let rc = 0;
  let rs = 0;
  let rw = 0;
  for (let i = 0; i < n; i++) {
    const t = time[i] ?? 0;
    const w = weight[i] ?? 0;
    const y = level[i] ?? 0;
    const e = Math.exp(Math.min(40, -t / envelope));
    const c = e * Math.cos(turn * t);
    const s = e * Math.sin(turn * t);
    total += w;
    c1 += w * c;
    s1 += w * s;
    y1 += w * y;
    cc += w * c * c;
    ss += w * s * s;
    cs += w * c * s;
    yc += w * c * y;
    ys += w * s * y;
    if (i < readingFrom) continue;
    rc += w * c;
    rs += w * s;
    rw += w;
  }
  return {
    cc: cc - (c1 * c1) / total,
    ss: ss - (s1 * s1) / total,
    cs: cs - (c1 * s1) / total,
    yc: yc - (c1 * y1) / total,
    ys: ys - (s1 * y1) / total,
    readingC: rc / rw,
    readingS: rs / rw,
  };
}
