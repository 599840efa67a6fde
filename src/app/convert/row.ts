/** One line of an answer: what it is, and how much. Texts stand for what is no number, such as a band or hexadecimal. */
export interface Row {
  readonly name: string;
  readonly value: number | string;
  readonly unit: string;
}

export const row = (name: string, value: number | string, unit = ""): Row => ({ name, value, unit });
