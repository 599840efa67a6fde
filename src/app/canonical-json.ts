/**
 * One value, one text, one digest: RFC 8785 (JSON Canonicalization Scheme). Keys by their UTF-16 units, numbers as
 * ECMAScript writes them, no blanks. What JSON cannot say truly is refused instead of being bent: NaN, infinities,
 * BigInt, undefined members, dates, lone surrogates. Measured values belong in it as decimal texts.
 */
export const canonicalJson = (value: unknown): string => {
  switch (typeof value) {
    case "string":
      if (/\p{Surrogate}/u.test(value)) throw new TypeError("A text with half a character has no canonical form.");
      return JSON.stringify(value);
    case "boolean":
      return String(value);
    case "number":
      if (!Number.isFinite(value)) throw new TypeError(`${value} has no canonical form.`);
      return JSON.stringify(value);
    case "object":
      if (value === null) return "null";
      if (Array.isArray(value)) return `[${value.map(canonicalJson).join(",")}]`;
      if (![Object.prototype, null].includes(Object.getPrototypeOf(value))) {
        throw new TypeError(`An object of ${value.constructor?.name ?? "no class"} has no canonical form.`);
      }
      return `{${Object.keys(value)
        .sort()
        .map((key) => `${canonicalJson(key)}:${canonicalJson((value as Record<string, unknown>)[key])}`)
        .join(",")}}`;
    default:
      throw new TypeError(`A value of type ${typeof value} has no canonical form.`);
  }
};
