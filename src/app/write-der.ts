/** Writes DER (ITU-T X.690), as much of it as a signature in a PDF is made of. */
export const der = (tag: number, ...parts: readonly Uint8Array[]): Buffer => {
  const content = Buffer.concat(parts);
  if (content.length < 0x80) return Buffer.concat([Buffer.from([tag, content.length]), content]);
  const digits = Math.ceil(content.length.toString(16).length / 2);
  const head = Buffer.alloc(2 + digits);
  head[0] = tag;
  head[1] = 0x80 | digits;
  head.writeUIntBE(content.length, 2, digits);
  return Buffer.concat([head, content]);
};

const NULL = Buffer.from([0x05, 0x00]);

export const derOid = (text: string): Buffer => {
  const [first = 0, second = 0, ...arcs] = text.split(".").map(Number);
  const bytes = [40 * first + second, ...arcs].flatMap((arc) => {
    const base128 = [arc % 128];
    for (let rest = Math.floor(arc / 128); rest > 0; rest = Math.floor(rest / 128))
      base128.unshift(0x80 | (rest % 128));
    return base128;
  });
  return der(0x06, Buffer.from(bytes));
};

/** An algorithm without parameters. */
export const derAlgorithm = (oid: string): Buffer => der(0x30, derOid(oid), NULL);

/** A set in the order that DER asks for (11.6). */
export const derSet = (tag: number, parts: readonly Buffer[]): Buffer => der(tag, ...parts.toSorted(Buffer.compare));

/** UTCTime up to 2049, GeneralizedTime after it (RFC 5652, 11.3). */
export const derTime = (ms: number): Buffer => {
  const digits = new Date(ms).toISOString().replace(/\.\d+/, "").replaceAll(/[-:T]/g, "");
  const year = Number(digits.slice(0, 4));
  return year >= 1950 && year < 2050
    ? der(0x17, Buffer.from(digits.slice(2), "latin1"))
    : der(0x18, Buffer.from(digits, "latin1"));
};
