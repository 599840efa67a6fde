import { InvalidArgumentError } from "commander";

/** Readers of option values: what is not understood is refused with the value in the message. */
export const positive = (text: string): number => {
  const value = Number(text);
  if (text.trim() === "" || !Number.isFinite(value) || value <= 0)
    throw new InvalidArgumentError("It has to be a number above 0.");
  return value;
};

export const finite = (text: string): number => {
  const value = Number(text);
  if (text.trim() === "" || !Number.isFinite(value)) throw new InvalidArgumentError("It has to be a number.");
  return value;
};

export const wholeNumber = (text: string): number => {
  const value = positive(text);
  if (!Number.isInteger(value)) throw new InvalidArgumentError("It has to be a whole number.");
  return value;
};

/** A day or an instant as ISO 8601 writes them. */
export const dayOrInstant = (text: string): string => {
  if (!/^\d{4}-\d{2}-\d{2}(?:T[\d:.]+Z)?$/u.test(text) || Number.isNaN(Date.parse(text))) {
    throw new InvalidArgumentError("Write a day as YYYY-MM-DD.");
  }
  return text;
};

/** `name: role`; undefined when nobody is named. */
export const personOf = (text: string | undefined): { readonly name: string; readonly role: string } | undefined => {
  const [name = "", role = ""] = (text ?? "").split(":").map((part) => part.trim());
  return name === "" ? undefined : { name, role };
};
