/** XML as a tree, and the tree as text: only elements, attributes and text, which is all that the certificate needs. */
export interface XmlElement {
  /** With its prefix, such as `dcc:item`. */
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: readonly (XmlElement | string)[];
}

/** A child that may be left out is `null`; nothing is written for it. */
export type XmlChild = XmlElement | string | null | readonly XmlChild[];

const flat = (children: readonly XmlChild[]): (XmlElement | string)[] =>
  children.flatMap((child): (XmlElement | string)[] => {
    if (child === null) return [];
    return Array.isArray(child) ? flat(child as readonly XmlChild[]) : [child as XmlElement | string];
  });

export const element = (name: string, ...children: readonly XmlChild[]): XmlElement => ({
  name,
  attributes: {},
  children: flat(children),
});

/** The same element with attributes; those that are undefined are left out. */
export const having = (
  attributes: Readonly<Record<string, string | undefined>>,
  { name, attributes: before, children }: XmlElement,
): XmlElement => ({
  name,
  attributes: {
    ...before,
    ...Object.fromEntries(Object.entries(attributes).filter((e): e is [string, string] => e[1] !== undefined)),
  },
  children,
});

/** What XML 1.0 allows in a text (production 2, Char); anything else becomes the replacement character. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: tab, line feed and carriage return are allowed by name
const FORBIDDEN = /[^\u0009\u000A\u000D\u0020-\uD7FF\uE000-\uFFFD\u{10000}-\u{10FFFF}]/gu;

const escaped = (text: string): string =>
  text
    .replaceAll(FORBIDDEN, "\uFFFD")
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll("\r", "&#13;");

const escapedAttribute = (text: string): string =>
  escaped(text).replaceAll('"', "&quot;").replaceAll("\n", "&#10;").replaceAll("\t", "&#9;");

const lines = (e: XmlElement, indent: string, out: string[]): void => {
  const attributes = Object.entries(e.attributes)
    .map(([key, value]) => ` ${key}="${escapedAttribute(value)}"`)
    .join("");
  const texts = e.children.filter((c): c is string => typeof c === "string");
  if (e.children.length === 0) out.push(`${indent}<${e.name}${attributes}/>`);
  else if (texts.length === e.children.length) {
    out.push(`${indent}<${e.name}${attributes}>${texts.map(escaped).join("")}</${e.name}>`);
  } else {
    out.push(`${indent}<${e.name}${attributes}>`);
    for (const child of e.children) if (typeof child !== "string") lines(child, `${indent}  `, out);
    out.push(`${indent}</${e.name}>`);
  }
};

/** The document as text: UTF-8 by name, one element a line, the same bytes for the same tree. Mixed content is not known. */
export const xmlText = (root: XmlElement): string => {
  const out = ['<?xml version="1.0" encoding="UTF-8"?>'];
  lines(root, "", out);
  return `${out.join("\n")}\n`;
};
