/** Calendar days as `YYYY-MM-DD` (ISO 8601, proleptic Gregorian), counted without a clock or a time zone. */
export type Day = string;

/** Average length of a month and a year of the Gregorian calendar: 146 097 days in 400 years. */
export const DAYS_PER_MONTH = 146_097 / 4800;
export const DAYS_PER_YEAR = 146_097 / 400;

const leap = (year: number): boolean => (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;

const daysIn = (year: number, month: number): number =>
  month === 2 ? (leap(year) ? 29 : 28) : [4, 6, 9, 11].includes(month) ? 30 : 31;

const parts = (day: Day): readonly [year: number, month: number, day: number] => {
  const [year, month, date] = day.split("-").map(Number);
  return [year ?? Number.NaN, month ?? Number.NaN, date ?? Number.NaN];
};

const text = (year: number, month: number, date: number): Day =>
  `${String(year).padStart(4, "0")}-${String(month).padStart(2, "0")}-${String(date).padStart(2, "0")}`;

/** Is the text a day that exists? */
export const isDay = (written: string): boolean => {
  if (!/^\d{4}-\d{2}-\d{2}$/u.test(written)) return false;
  const [year, month, date] = parts(written);
  return month >= 1 && month <= 12 && date >= 1 && date <= daysIn(year, month);
};

/** Days since 1970-01-01. The year is taken to begin in March, so that the leap day comes last. */
export const dayNumber = (day: Day): number => {
  const [year, month, date] = parts(day);
  const y = month > 2 ? year : year - 1;
  const inYear = Math.floor((153 * ((month + 9) % 12) + 2) / 5) + date - 1;
  return 365 * y + Math.floor(y / 4) - Math.floor(y / 100) + Math.floor(y / 400) + inYear - 719_468;
};

/** The day with this number; parts of a day are cut off. */
export const dayOfNumber = (number: number): Day => {
  const shifted = Math.floor(number) + 719_468;
  const era = Math.floor(shifted / 146_097);
  const inEra = shifted - era * 146_097;
  const yearOfEra = Math.floor(
    (inEra - Math.floor(inEra / 1460) + Math.floor(inEra / 36_524) - Math.floor(inEra / 146_096)) / 365,
  );
  const inYear = inEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const shiftedMonth = Math.floor((5 * inYear + 2) / 153);
  const date = inYear - Math.floor((153 * shiftedMonth + 2) / 5) + 1;
  const month = shiftedMonth < 10 ? shiftedMonth + 3 : shiftedMonth - 9;
  return text(yearOfEra + era * 400 + (month <= 2 ? 1 : 0), month, date);
};

export const daysBetween = (from: Day, to: Day): number => dayNumber(to) - dayNumber(from);

/** The same day so many whole months later; the last day of the month where that month is shorter. */
export const addMonths = (day: Day, months: number): Day => {
  const [year, month, date] = parts(day);
  const count = year * 12 + (month - 1) + months;
  const y = Math.floor(count / 12);
  const m = count - y * 12 + 1;
  return text(y, m, Math.min(date, daysIn(y, m)));
};

export const addDays = (day: Day, days: number): Day => dayOfNumber(dayNumber(day) + days);
