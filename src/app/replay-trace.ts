import { z } from "zod";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import type { NamedWait, ReplaySource } from "./replay-source.ts";

/** One line of a trace file: the gauge after one command, in % of output span, and the truth where the trace is made up. */
const traceLine = z
  .object({
    id: z.string(),
    kind: z.string().optional(),
    plant: z.string(),
    seq: z.number(),
    role: z.enum(["exercise", "point"]),
    from: z.number(),
    setpoint: z.number(),
    resolution: z.number().positive().optional(),
    sample_times_s: z.array(z.number()),
    readings: z.array(z.number().nullable()),
    truth: z.object({ ref_lo: z.number(), ref_hi: z.number(), settles: z.boolean() }).optional(),
  })
  .refine((line) => line.sample_times_s.length === line.readings.length, "as many times as readings are needed");
type TraceLine = z.infer<typeof traceLine>;

const waitOf = (line: TraceLine): NamedWait => ({
  name: `${line.id}${line.kind === undefined ? "" : ` (${line.kind})`}, ${line.from} % to ${line.setpoint} %`,
  unit: line.plant,
  start: { at_s: 0, from: line.from, to: line.setpoint, role: line.role },
  samples: line.sample_times_s.map((time_s, i) => ({ time_s, value: line.readings[i] ?? null })),
  resolution_percent: line.resolution ?? null,
  ...(line.truth === undefined
    ? {}
    : { truth: { low: line.truth.ref_lo, high: line.truth.ref_hi, settles: line.truth.settles } }),
});

const parse = (text: string): unknown => {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
};

/** Text of a trace file, one JSON object a line. Lines of one unit are put in the order of their `seq`. */
export const readTraces = (text: string, name: string): Result<ReplaySource, Fault> => {
  const lines: TraceLine[] = [];
  for (const [index, written] of text.split("\n").entries()) {
    if (written.trim() === "") continue;
    const line = traceLine.safeParse(parse(written));
    if (!line.success) {
      const [first] = line.error.issues;
      return err(
        fault(
          "refused",
          "bad-file",
          `${name}, line ${index + 1}, is no trace: ${first?.path.join(".") || "the line"}: ${first?.message}.`,
          {
            means: "Nothing was replayed.",
            remedy: "Give a run record (*.record.jsonl) or a file with one trace a line (*.jsonl, *.jsonl.gz).",
          },
        ),
      );
    }
    lines.push(line.data);
  }
  if (lines.length === 0) return err(fault("refused", "bad-file", `${name} is empty; there is nothing to replay.`));
  const units = new Map<string, TraceLine[]>();
  for (const line of lines) units.set(line.plant, [...(units.get(line.plant) ?? []), line]);
  return ok({
    waits: [...units.values()].flatMap((unit) => unit.toSorted((a, b) => a.seq - b.seq).map(waitOf)),
    // Nobody knows the truth of a real unit.
    simulated: lines.some((line) => line.truth !== undefined),
    settling: null,
    remarks: [],
  });
};
