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

/** `name: role`; undefined when nobody is named. */
export const personOf = (text: string | undefined): { readonly name: string; readonly role: string } | undefined => {
  const [name = "", role = ""] = (text ?? "").split(":").map((part) => part.trim());
  return name === "" ? undefined : { name, role };
};
