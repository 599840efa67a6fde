/** Every sample of a run as a row, out of the events that carry them. */

type Row = Readonly<Record<string, unknown>>;

interface Samples {
  readonly at_s: readonly number[];
  readonly pressure_kPa: readonly (number | null)[];
  readonly raw?: readonly (string | null)[];
}

const isSamples = (value: unknown): value is Samples =>
  typeof value === "object" &&
  value !== null &&
  "at_s" in value &&
  Array.isArray(value.at_s) &&
  "pressure_kPa" in value;

/** `events`: rows with `run_id`, `seq`, `kind` and the `event` itself. */
export const sampleRows = (events: readonly Row[]): readonly Row[] =>
  events.flatMap(({ run_id, seq, kind, event }) => {
    const { samples, point, name } = event as { samples?: unknown; point?: Row; name?: unknown };
    if (!isSamples(samples)) return [];
    return samples.at_s.map((at_s, i) => ({
      run_id,
      seq,
      what: point?.["stage"] ?? name ?? kind,
      ordinal: point?.["ordinal"],
      direction: point?.["direction"],
      nominal_percent: point?.["nominal_percent"],
      at_s,
      pressure_kPa: samples.pressure_kPa[i],
      raw: samples.raw?.[i],
    }));
  });
