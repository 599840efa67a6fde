import { isDay } from "../history/calendar-days.ts";
import type { UseReading } from "../history/methods/proposal.ts";
import { csvFields } from "../readings/csv-fields.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

/** Readings of an hour meter or counter: lines `2026-03-01,1200`; the header names what is counted, as `date,hours`. */
export const parseUseReadings = (
  text: string,
  name: string,
): Result<{ readonly unit: string; readonly readings: readonly UseReading[] }, Fault> => {
  const refuse = (line: number, what: string) =>
    err(
      fault("refused", "bad-file", `${name}:${line}  ${what}`, {
        remedy: "Write date,hours in the first line and one reading a line below, such as 2026-03-01,1200.",
      }),
    );
  const [header = "", ...lines] = text.replace(/^\uFEFF/u, "").split(/\r?\n/u);
  const head = csvFields(header, ",") ?? [];
  const unit = head[1]?.text ?? "";
  if (head.length !== 2 || head[0]?.text !== "date" || unit === "" || !Number.isNaN(Number(unit))) {
    return refuse(1, "The first line does not say date and what is counted.");
  }
  const readings: UseReading[] = [];
  for (const [index, line] of lines.entries()) {
    if (line.trim() === "") continue;
    const [date, count] = (csvFields(line, ",") ?? []).map((f) => f.text);
    const number = Number(count);
    if (date === undefined || !isDay(date)) return refuse(index + 2, `"${date ?? line}" is no day.`);
    if (count === undefined || count === "" || !Number.isFinite(number) || number < 0) {
      return refuse(index + 2, `"${count ?? ""}" is no count.`);
    }
    if (readings.some((r) => r.date === date)) return refuse(index + 2, `${date} is there twice.`);
    readings.push({ date, count: number });
  }
  const sorted = readings.toSorted((a, b) => (a.date < b.date ? -1 : 1));
  const back = sorted.find((r, i) => r.count < (sorted[i - 1]?.count ?? 0));
  if (back !== undefined) {
    return refuse(1, `The count goes back on ${back.date}: a counter that was set back or changed needs a sum.`);
  }
  return ok({ unit, readings: sorted });
};
