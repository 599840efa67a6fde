import { type Day, daysBetween } from "../history/calendar-days.ts";
import { DUE_DAYS, SOON_DAYS } from "../history/due-row.ts";
import type { DueItem } from "./due-list.ts";
import { textTable } from "./text-table.ts";

const away = (today: Day, due: Day): string => {
  const days = daysBetween(today, due);
  return days === 0 ? "today" : `${days} d`;
};

const note = (item: DueItem): string =>
  [
    ...(item.simulated ? ["SIMULATED"] : []),
    ...(item.not_accepted ? ["NOT FIT: not accepted at its last calibration"] : []),
    ...(item.kind === "reference"
      ? [`reference, ${item.rests_on}`]
      : [`${item.last} + ${item.interval_months} months (${item.rests_on})`]),
  ].join("; ");

/** The list as columns for a person. */
export const dueText = (items: readonly DueItem[], today: Day, until?: Day): readonly string[] => {
  const range = until === undefined ? "" : `, up to ${until}`;
  if (items.length === 0) return [`On ${today}${range}: nothing is due.`];
  const count = (state: DueItem["state"]): number => items.filter((i) => i.state === state).length;
  return [
    `On ${today}${range}: ${count("overdue")} overdue, ${count("due")} due within ${DUE_DAYS} days, ${count("soon")} within ${SOON_DAYS}, ${count("later")} later`,
    ...textTable(
      [
        ["state", "due", "days", "serial", "model", "tag", "customer", "rests on"],
        ...items.map((i) => [
          i.state,
          i.due,
          away(today, i.due),
          i.serial_number,
          i.model,
          i.tag ?? "-",
          i.customer ?? "-",
          note(i),
        ]),
      ],
      8,
    ),
  ];
};

const csvField = (value: string): string => (/[",\r\n]/u.test(value) ? `"${value.replaceAll('"', '""')}"` : value);

const COLUMNS = [
  "state",
  "due",
  "kind",
  "serial_number",
  "model",
  "tag",
  "customer",
  "last",
  "interval_months",
  "rests_on",
  "not_accepted",
  "simulated",
] as const satisfies readonly (keyof DueItem)[];

/** The list as CSV (RFC 4180: CRLF, marks doubled), a header first; empty where there is nothing. */
export const dueCsv = (items: readonly DueItem[]): string =>
  [COLUMNS, ...items.map((item) => COLUMNS.map((column) => csvField(String(item[column] ?? ""))))]
    .map((fields) => `${fields.join(",")}\r\n`)
    .join("");
