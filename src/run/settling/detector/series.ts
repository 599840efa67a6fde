/**
 * The accepted readings of one point in time order, in bounded memory: when full, the oldest quarter
 * is dropped.
 */
export class Series {
  readonly time: Float64Array;
  readonly value: Float64Array;
  length = 0;

  constructor(capacity = 4096) {
    this.time = new Float64Array(capacity);
    this.value = new Float64Array(capacity);
  }

  clear(): void {
    this.length = 0;
  }

  push(time: number, value: number): void {
    if (this.length === this.time.length) {
      const drop = this.length >> 2;
      for (const a of [this.time, this.value]) a.copyWithin(0, drop, this.length);
      this.length -= drop;
    }
    this.time[this.length] = time;
    this.value[this.length] = value;
    this.length++;
  }

  at(i: number): number {
    return this.time[i] ?? Number.NaN;
  }

  valueAt(i: number): number {
    return this.value[i] ?? Number.NaN;
  }

  /** Mean of the last n values (of all, when there are fewer). */
  trailingMean(n: number): number {
    const from = Math.max(0, this.length - n);
    let sum = 0;
    for (let i = from; i < this.length; i++) sum += this.value[i] ?? 0;
    return sum / (this.length - from);
  }

  /** Index of the first reading at or after a time. */
  since(time: number): number {
    let low = 0;
    let high = this.length;
    while (low < high) {
      const mid = (low + high) >> 1;
      if ((this.time[mid] ?? 0) < time) low = mid + 1;
      else high = mid;
    }
    return low;
  }
}
