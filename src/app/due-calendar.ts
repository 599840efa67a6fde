import { createHash } from "node:crypto";
import { addDays } from "../history/calendar-days.ts";
import type { DueItem } from "./due-list.ts";

/**
 * What is due as a calendar (iCalendar, RFC 5545): one all-day event an item. Lines end with CRLF and are folded at 75
 * octets (3.1), text is escaped (3.3.11). Libraries for this want a newer Node.js than the bench does.
 */

/** Backslash, semicolon and comma are escaped, line ends become \n, other control characters are dropped. */
const escaped = (text: string): string =>
  text
    .replaceAll(/[\\;,]/gu, "\\$&")
    .replaceAll(/\r\n|\r|\n/gu, "\\n")
    .replaceAll(/\p{Cc}/gu, "");

const OCTETS = 75;

/** Long lines are continued after CRLF and a blank, never inside a character. */
const folded = (line: string): string => {
  let out = "";
  let used = 0;
  for (const character of line) {
    const size = Buffer.byteLength(character, "utf8");
    if (used + size > OCTETS) {
      out += "\r\n ";
      used = 1;
    }
    out += character;
    used += size;
  }
  return `${out}\r\n`;
};

/** The same item keeps its UID when its date changes, so that a calendar moves it instead of showing it twice. */
const uidOf = ({ kind, serial_number, model, simulated }: DueItem): string => {
  const key = JSON.stringify([kind, serial_number, kind === "unit" ? model : "", simulated]);
  return `${createHash("sha256").update(key).digest("hex").slice(0, 32)}@due.stillpoint.invalid`;
};

/** UTC instant as RFC 5545 wants it. */
const stampOf = (ms: number): string => new Date(ms).toISOString().replaceAll(/[-:]|\.\d{3}/gu, "");

const summaryOf = (item: DueItem): string =>
  `${item.simulated ? "SIMULATED " : ""}Calibration due: ${item.kind === "reference" ? "reference " : ""}${item.model} ${item.serial_number}${item.tag === null ? "" : ` (${item.tag})`}`;

const descriptionOf = (item: DueItem): string =>
  [
    ...(item.last === null ? [] : [`Last calibration: ${item.last}`]),
    ...(item.interval_months === null ? [] : [`Interval: ${item.interval_months} months`]),
    `Rests on: ${item.rests_on}`,
    ...(item.customer === null ? [] : [`Customer: ${item.customer}`]),
    ...(item.not_accepted ? ["NOT FIT: not accepted at its last calibration"] : []),
  ].join("\n");

const basicDay = (day: string): string => day.replaceAll("-", "");

/** `stamp_ms`: instant at which the calendar is made, ms since the epoch. */
export const dueCalendar = (items: readonly DueItem[], stamp_ms: number): string =>
  [
    "BEGIN:VCALENDAR",
    "VERSION:2.0",
    "PRODID:-//Stillpoint//Calibration due//EN",
    "CALSCALE:GREGORIAN",
    ...items.flatMap((item) => [
      "BEGIN:VEVENT",
      `UID:${uidOf(item)}`,
      `DTSTAMP:${stampOf(stamp_ms)}`,
      `DTSTART;VALUE=DATE:${basicDay(item.due)}`,
      `DTEND;VALUE=DATE:${basicDay(addDays(item.due, 1))}`,
      `SUMMARY:${escaped(summaryOf(item))}`,
      `DESCRIPTION:${escaped(descriptionOf(item))}`,
      "TRANSP:TRANSPARENT",
      "END:VEVENT",
    ]),
    "END:VCALENDAR",
  ]
    .map(folded)
    .join("");
