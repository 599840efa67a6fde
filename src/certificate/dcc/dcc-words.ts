import type { Language } from "../print-number.ts";
import { element, having, type XmlElement } from "./xml-tree.ts";

/** Small pieces that every part of the document uses. */

/** The schema wants a text that neither begins nor ends with a blank, and is never empty. */
export const token = (text: string): string => {
  const trimmed = text.replaceAll(/\s+/gu, " ").trim();
  return trimmed === "" ? "-" : trimmed;
};

export const content = (text: string, language?: Language): XmlElement =>
  having({ lang: language }, element("dcc:content", token(text)));

/** `dcc:name` and everything else that holds text in a language. */
export const worded = (name: string, text: string, language?: Language): XmlElement =>
  element(name, content(text, language));

export const named = (text: string, language?: Language): XmlElement => worded("dcc:name", text, language);

export const identification = (
  issuer: "manufacturer" | "calibrationLaboratory" | "customer",
  value: string,
  name: string,
  language: Language,
  refType?: string,
): XmlElement =>
  having(
    { refType },
    element(
      "dcc:identification",
      element("dcc:issuer", issuer),
      element("dcc:value", token(value)),
      named(name, language),
    ),
  );

/** One value that is exact by agreement, or a bound. */
export const real = (value: string, unit: string): XmlElement =>
  element("si:real", element("si:value", value), element("si:unit", unit));

/** Values of one unit in the order of the readings. */
export const realList = (values: readonly string[], unit: string, uncertainty: XmlElement | null = null): XmlElement =>
  element(
    "si:realListXMLList",
    element("si:valueXMLList", values.join(" ")),
    element("si:unitXMLList", unit),
    uncertainty,
  );
