import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { RECORD_FORMAT, type RecordedEvent, recordedEventSchema } from "./run-event.ts";

/**
 * The record as text: JSON Lines, UTF-8, one event a line, each line ended by LF. The first event is `run-started`
 * and carries the format (`stillpoint-record 1`).
 */

/** One event as one line, without its line end. An event that the schema refuses (a NaN, a wrong field) is not written. */
export const encodeEvent = (event: RecordedEvent): Result<string, Fault> => {
  const checked = recordedEventSchema.safeParse(event);
  if (!checked.success) {
    return err(
      fault(
        "record",
        "record-write",
        `Event number ${event.seq} cannot be written: ${schemaComplaint(checked.error)}.`,
        {
          means: "It is not in the record.",
          remedy: "Stop the run; this is a mistake in the program, report it with the record.",
        },
      ),
    );
  }
  return ok(JSON.stringify(event));
};

export const encodeRecord = (events: readonly RecordedEvent[]): Result<string, Fault> => {
  const lines: string[] = [];
  for (const event of events) {
    const line = encodeEvent(event);
    if (!line.ok) return line;
    lines.push(`${line.value}\n`);
  }
  return ok(lines.join(""));
};

export interface DecodedRecord {
  readonly events: readonly RecordedEvent[];
  /**
   * Set when the text breaks off inside its last line, as it does when the power goes while a line is written. What
   * was written before it is whole; the broken line is not an event and nothing is guessed from it.
   */
  readonly broken_off: { readonly line: number; readonly text: string } | null;
}

/**
 * Text of a record to its events. Refuses, with the line number: a line that is not JSON, an event that the schema
 * refuses, events that are not numbered on, a format that this version does not know.
 */
export const decodeRecord = (text: string): Result<DecodedRecord, Fault> => {
  const lines = text.split("\n");
  const tail = lines.pop() ?? "";
  const events: RecordedEvent[] = [];
  for (const [index, line] of lines.entries()) {
    const decoded = decodeLine(line, index + 1, events.at(-1));
    if (!decoded.ok) return decoded;
    events.push(decoded.value);
  }
  let brokenOff: DecodedRecord["broken_off"] = null;
  if (tail !== "") {
    const number = lines.length + 1;
    if (parseJson(tail) === undefined) {
      brokenOff = { line: number, text: tail };
    } else {
      const decoded = decodeLine(tail, number, events.at(-1));
      if (!decoded.ok) return decoded;
      events.push(decoded.value);
    }
  }
  return events.length === 0 && brokenOff === null
    ? err(damaged("The record is empty; there is no run in it."))
    : ok({ events, broken_off: brokenOff });
};

const decodeLine = (
  line: string,
  number: number,
  previous: RecordedEvent | undefined,
): Result<RecordedEvent, Fault> => {
  const json = parseJson(line);
  if (json === undefined) {
    return err(damaged(`Line ${number} of the record is not readable: ${excerpt(line)}.`));
  }
  const format = formatOf(json);
  if (format !== undefined && format !== RECORD_FORMAT) {
    return err(
      fault(
        "record",
        "record-damaged",
        `Line ${number} says the format is "${format}"; this version reads "${RECORD_FORMAT}".`,
        {
          means: "The record may be sound, but it is not understood here.",
          remedy: "Open it with the version of the harness that wrote it, or a newer one.",
        },
      ),
    );
  }
  const parsed = recordedEventSchema.safeParse(json);
  if (!parsed.success) {
    return err(damaged(`Line ${number} of the record is not a known event: ${schemaComplaint(parsed.error)}.`));
  }
  const event = parsed.data;
  if (previous === undefined && event.event.kind !== "run-started") {
    return err(damaged(`Line ${number} of the record is "${event.event.kind}" instead of "run-started".`));
  }
  if (previous !== undefined && event.seq !== previous.seq + 1) {
    return err(
      damaged(
        `Line ${number} of the record has number ${event.seq} where ${previous.seq + 1} belongs; lines were lost, doubled or moved.`,
      ),
    );
  }
  return ok(event);
};

/** undefined when the text is not JSON (JSON itself has no undefined). */
const parseJson = (text: string): unknown => {
  try {
    return JSON.parse(text) as unknown;
  } catch {
    return undefined;
  }
};

const formatOf = (json: unknown): string | undefined => {
  if (typeof json !== "object" || json === null || !("event" in json)) return undefined;
  const { event } = json;
  if (typeof event !== "object" || event === null || !("format" in event)) return undefined;
  return String(event.format);
};

interface SchemaError {
  readonly issues: readonly { readonly path: readonly PropertyKey[]; readonly message: string }[];
}

const schemaComplaint = (error: SchemaError): string =>
  error.issues
    .slice(0, 3)
    .map((issue) => `${issue.path.length === 0 ? "the event" : issue.path.map(String).join(".")}: ${issue.message}`)
    .join("; ");

const excerpt = (line: string): string => (line.length > 60 ? `"${line.slice(0, 60)}..."` : `"${line}"`);

const damaged = (message: string): Fault =>
  fault("record", "record-damaged", message, {
    means: "Nothing is taken from a damaged record.",
    remedy: "Fetch the record from its backup; do not mend it by hand.",
  });
