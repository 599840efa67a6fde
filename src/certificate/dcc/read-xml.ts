import { SaxesParser } from "saxes";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import type { XmlElement } from "./xml-tree.ts";

/** Namespaces that are read, under the prefix by which the program calls them, whatever prefix the document chose. */
const PREFIX: Readonly<Record<string, string>> = {
  "https://ptb.de/dcc": "dcc",
  "https://ptb.de/si": "si",
  "http://www.w3.org/2000/09/xmldsig#": "ds",
};

interface Growing {
  readonly name: string;
  readonly attributes: Record<string, string>;
  readonly children: (XmlElement | string)[];
}

/** Text to tree, with namespaces resolved. A document type declaration is refused: nothing is fetched or expanded. */
export const readXml = (text: string): Result<XmlElement, Fault> => {
  const parser = new SaxesParser({ xmlns: true, position: true });
  const open: Growing[] = [];
  let root: XmlElement | null = null;
  let trouble: string | null = null;
  parser.on("error", (error) => {
    trouble ??= error.message;
  });
  parser.on("doctype", () => {
    trouble ??= "it carries a document type declaration";
  });
  parser.on("opentag", (tag) => {
    const prefix = PREFIX[tag.uri];
    const attributes = Object.fromEntries(Object.values(tag.attributes).map((a) => [a.name, a.value]));
    open.push({ name: prefix === undefined ? tag.name : `${prefix}:${tag.local}`, attributes, children: [] });
  });
  const addText = (piece: string): void => {
    open.at(-1)?.children.push(piece);
  };
  parser.on("text", addText);
  parser.on("cdata", addText);
  parser.on("closetag", () => {
    const done = open.pop();
    if (done === undefined) return;
    const parent = open.at(-1);
    if (parent === undefined) root = done;
    else parent.children.push(done);
  });
  parser.write(text).close();
  if (trouble === null && root !== null) return ok(root);
  return err(
    fault("refused", "bad-file", `The XML cannot be read: ${trouble ?? "there is no element in it"}.`, {
      remedy: "Take the file as it was issued.",
    }),
  );
};

const isElement = (child: XmlElement | string): child is XmlElement => typeof child !== "string";

export const childrenOf = (e: XmlElement, name?: string): readonly XmlElement[] =>
  e.children.filter(isElement).filter((c) => name === undefined || c.name === name);

export const childOf = (e: XmlElement, name: string): XmlElement | undefined => childrenOf(e, name)[0];

export const textOf = (e: XmlElement | undefined): string =>
  e === undefined ? "" : e.children.map((c) => (typeof c === "string" ? c : textOf(c))).join("");

/** The first element that is reached by these names, one level each. */
export const at = (e: XmlElement, ...names: readonly string[]): XmlElement | undefined => {
  const [name, ...rest] = names;
  if (name === undefined) return e;
  const child = childOf(e, name);
  return child === undefined ? undefined : at(child, ...rest);
};

/** All elements below, with the path of names that leads to each. */
export const everyElement = (
  e: XmlElement,
  path: readonly XmlElement[] = [],
): readonly { readonly element: XmlElement; readonly above: readonly XmlElement[] }[] => [
  { element: e, above: path },
  ...childrenOf(e).flatMap((child) => everyElement(child, [...path, e])),
];
