import { type Language, NO_BREAK_SPACE } from "./print-number.ts";

const MONTHS: Readonly<Record<Language, readonly string[]>> = {
  en: [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
  ],
  de: [
    "Januar",
    "Februar",
    "März",
    "April",
    "Mai",
    "Juni",
    "Juli",
    "August",
    "September",
    "Oktober",
    "November",
    "Dezember",
  ],
};

/** `2031-03-04` as "4 March 2031" or "4. März 2031": a date that cannot be misread. */
export const printDate = (isoDay: string, language: Language): string => {
  const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(isoDay);
  const month = match === null ? undefined : MONTHS[language][Number(match[2]) - 1];
  if (match === null || month === undefined) throw new Error(`"${isoDay}" is not a day written as YYYY-MM-DD`);
  const day = `${Number(match[3])}${language === "de" ? "." : ""}`;
  return [day, month, match[1]].join(NO_BREAK_SPACE);
};
