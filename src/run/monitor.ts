import { type Observable, Subject, Subscription } from "rxjs";
import type { Bench, Sampled } from "../ports/bench.ts";
import type { CurrentReading, HumidityReading, PressureReading, TemperatureReading } from "../vocabulary/reading.ts";

/** The room is looked back on at each point; nobody watches it move. */
const kept = (): void => undefined;

/** How much is kept to look back on; a point longer than this keeps its last part. */
const LOOK_BACK_S = 900;

/** The last samples of one stream, with the instant each one arrived on the run's clock. */
class Track<R extends { readonly at_s: number }> {
  readonly sampled$ = new Subject<Sampled<R>>();
  #samples: { readonly at_s: number; readonly sample: Sampled<R> }[] = [];

  take(at_s: number, sample: Sampled<R>): void {
    const stamped = { at_s: sample.ok ? sample.value.at_s : at_s, sample };
    this.#samples.push(stamped);
    const oldest = this.#samples[0];
    if (oldest !== undefined && oldest.at_s < at_s - 2 * LOOK_BACK_S)
      this.#samples = this.#samples.filter((s) => s.at_s >= at_s - LOOK_BACK_S);
    this.sampled$.next(sample);
  }

  /** Samples from `from_s` on. Looked for from the end, where nearly everything that is asked for lies. */
  since(from_s: number): readonly { readonly at_s: number; readonly sample: Sampled<R> }[] {
    return this.#samples.slice(this.#samples.findLastIndex((s) => s.at_s < from_s) + 1);
  }

  readings(from_s: number, to_s: number): readonly R[] {
    return this.since(from_s).flatMap(({ at_s, sample }) => (sample.ok && at_s <= to_s ? [sample.value] : []));
  }
}

/** Listens to all streams of the bench for the whole run, so that any part of it can look back at what was seen. */
export class Monitor {
  readonly pressure = new Track<PressureReading>();
  readonly current: Track<CurrentReading> | null;
  readonly supply: Track<PressureReading> | null;
  readonly ambient: Track<TemperatureReading> | null;
  readonly humidity: Track<HumidityReading> | null;
  readonly airPressure: Track<PressureReading> | null;
  readonly #bench: Bench;
  readonly #subscription = new Subscription();

  constructor(bench: Bench) {
    this.#bench = bench;
    this.current = bench.current$ === null ? null : new Track();
    this.supply = bench.supply$ === null ? null : new Track();
    this.ambient = bench.ambient$ === null ? null : new Track();
    this.humidity = bench.humidity$ ? new Track() : null;
    this.airPressure = bench.airPressure$ ? new Track() : null;
  }

  /** `onSample` sees every sample after it was kept. A stream that errors is a bug and fails whoever listens. */
  start(now_s: () => number, onSample: MonitorListener): void {
    const follow = <R extends { readonly at_s: number }>(
      sample$: Observable<Sampled<R>> | null,
      track: Track<R> | null,
      heard: (sample: Sampled<R>) => void,
    ): void => {
      if (sample$ === null || track === null) return;
      this.#subscription.add(
        sample$.subscribe({
          next: (sample) => {
            track.take(now_s(), sample);
            heard(sample);
          },
          error: (thrown) => {
            track.sampled$.error(thrown);
            onSample.broken(thrown);
          },
        }),
      );
    };
    follow(this.#bench.pressure$, this.pressure, onSample.pressure);
    follow(this.#bench.current$, this.current, onSample.current);
    follow(this.#bench.supply$, this.supply, onSample.supply);
    follow(this.#bench.ambient$, this.ambient, onSample.ambient);
    follow(this.#bench.humidity$ ?? null, this.humidity, kept);
    follow(this.#bench.airPressure$ ?? null, this.airPressure, kept);
  }

  stop(): void {
    this.#subscription.unsubscribe();
  }
}

export interface MonitorListener {
  pressure(sample: Sampled<PressureReading>): void;
  current(sample: Sampled<CurrentReading>): void;
  supply(sample: Sampled<PressureReading>): void;
  ambient(sample: Sampled<TemperatureReading>): void;
  broken(thrown: unknown): void;
}
