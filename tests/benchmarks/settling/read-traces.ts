import { createReadStream } from "node:fs";
import { createInterface } from "node:readline";
import { createGunzip } from "node:zlib";
import { parseTraceLine, type Trace } from "./trace.ts";

/** Yields the records of a trace file, unit by unit, in the order of their sequence. Packed when the name ends in .gz. */
export async function* readUnits(file: string): AsyncGenerator<Trace[]> {
  const raw = createReadStream(file);
  const lines = createInterface({ input: file.endsWith(".gz") ? raw.pipe(createGunzip()) : raw });
  let unit: Trace[] = [];
  for await (const line of lines) {
    if (line.trim() === "") continue;
    const trace = parseTraceLine(line);
    if (unit[0] !== undefined && unit[0].plant !== trace.plant) {
      yield unit.toSorted((a, b) => a.seq - b.seq);
      unit = [];
    }
    unit.push(trace);
  }
  if (unit.length > 0) yield unit.toSorted((a, b) => a.seq - b.seq);
}
