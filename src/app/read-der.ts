/** One value of DER (ITU-T X.690), as far as a CMS signature needs it: definite lengths and single-byte tags only. */
export interface DerValue {
  readonly tag: number;
  /** Tag, length and content as they stand. */
  readonly whole: Uint8Array;
  readonly content: Uint8Array;
}

/** The value that begins at `at`; null when the bytes are none. */
export const readDer = (bytes: Uint8Array, at = 0): DerValue | null => {
  const tag = bytes[at];
  const first = bytes[at + 1];
  if (tag === undefined || first === undefined || (tag & 0x1f) === 0x1f) return null;
  let length = first;
  let from = at + 2;
  if (first >= 0x80) {
    const digits = first & 0x7f;
    if (digits === 0 || digits > 4) return null;
    length = 0;
    for (let i = 0; i < digits; i += 1) length = length * 256 + (bytes[from + i] ?? 0);
    from += digits;
  }
  if (from + length > bytes.length) return null;
  return { tag, whole: bytes.subarray(at, from + length), content: bytes.subarray(from, from + length) };
};

/** The values inside another, in order; empty when they do not fill it exactly. */
export const derChildren = ({ content }: Pick<DerValue, "content">): readonly DerValue[] => {
  const found: DerValue[] = [];
  for (let at = 0; at < content.length; ) {
    const next = readDer(content, at);
    if (next === null) return [];
    found.push(next);
    at += next.whole.length;
  }
  return found;
};

/** An object identifier in dotted form. */
export const objectIdentifier = ({ content }: DerValue): string => {
  const arcs: number[] = [];
  let value = 0;
  for (const byte of content) {
    value = value * 128 + (byte & 0x7f);
    if (byte < 0x80) {
      arcs.push(value);
      value = 0;
    }
  }
  const [head = 0, ...rest] = arcs;
  const root = Math.min(2, Math.floor(head / 40));
  return [root, head - 40 * root, ...rest].join(".");
};
