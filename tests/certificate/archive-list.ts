import { createHash } from "node:crypto";
import { at, everyElement, readXml, textOf as xmlTextOf } from "../../src/certificate/dcc/read-xml.ts";
import {
  dictionary,
  everyDictionary,
  isDictionary,
  nameOf,
  objectOf,
  type PdfFile,
  type PdfValue,
  readPdf,
  resolved,
  streamBytes,
  textOf,
} from "./pdf-objects.ts";

/**
 * A part of what ISO 19005-3:2012 asks of a file, looked up on its bytes. Clauses are from memory of the standard and from
 * the structural summaries named in public notes (PDF Association AN002; Library of Congress fdd000360). It is no
 * validator: glyph widths, the completeness of font programs, extension schemas and much else are not looked at, so
 * nothing that passes it may be called conforming.
 */

const FORBIDDEN_ACTIONS = [
  "Launch",
  "Sound",
  "Movie",
  "ResetForm",
  "ImportData",
  "Hide",
  "SetOCGState",
  "Rendition",
  "Trans",
  "GoTo3DView",
  "JavaScript",
];

const items = (value: PdfValue | undefined): readonly PdfValue[] =>
  Array.isArray(value) ? (value as readonly PdfValue[]) : [];

const header = ({ bytes }: PdfFile, found: string[]): void => {
  const start = Buffer.from(bytes.subarray(0, 20)).toString("latin1");
  if (!/^%PDF-1\.[0-7]\n/.test(start)) found.push("6.1.2: no header of PDF 1.n");
  const comment = bytes.subarray(bytes.indexOf(0x0a) + 1);
  if (comment[0] !== 0x25 || [1, 2, 3, 4].some((i) => (comment[i] ?? 0) < 128)) {
    found.push("6.1.2: no comment of four bytes above 127 behind the header");
  }
  if (!/%%EOF\r?\n?$/.test(Buffer.from(bytes.subarray(-8)).toString("latin1")))
    found.push("6.1.3: something follows %%EOF");
};

const trailer = (file: PdfFile, found: string[]): void => {
  if (items(file.trailer.entries.get("ID")).length !== 2) found.push("6.1.3: no file identifier");
  if (file.trailer.entries.has("Encrypt")) found.push("6.1.3: encrypted");
};

const streams = (file: PdfFile, found: string[]): void => {
  for (const { value, stream } of file.objects.values()) {
    if (stream === null || !isDictionary(value)) continue;
    for (const key of ["F", "FFilter", "FDecodeParms"])
      if (value.entries.has(key)) found.push(`6.1.7: a stream has ${key}`);
    const filters = [value.entries.get("Filter"), ...items(value.entries.get("Filter"))].map(nameOf);
    if (filters.some((f) => f === "LZWDecode" || f === "Crypt")) found.push("6.1.7: a forbidden filter");
  }
};

const outputIntent = (file: PdfFile, catalog: PdfValue, found: string[]): void => {
  const intents = items(dictionary(file, catalog).entries.get("OutputIntents")).map((i) => dictionary(file, i));
  const [intent] = intents.filter((i) => nameOf(i.entries.get("S")) === "GTS_PDFA1");
  if (intents.length !== 1 || intent === undefined) {
    found.push("6.2.3: not one output intent GTS_PDFA1");
    return;
  }
  const profile = objectOf(file, intent.entries.get("DestOutputProfile"));
  const icc = Buffer.from(streamBytes(profile));
  if (icc.toString("latin1", 36, 40) !== "acsp") found.push("6.2.3: the profile is no ICC profile");
  if (icc.readUInt32BE(0) !== icc.length) found.push("6.2.3: the profile is not as long as it says");
  if ((icc[8] ?? 9) > 4) found.push("6.2.3: the profile is newer than ICC 4");
  if (icc.toString("latin1", 16, 20) !== "RGB " || dictionary(file, profile.value).entries.get("N") !== 3) {
    found.push("6.2.3: the profile is not for three colours");
  }
};

/** With an intent for red, green and blue, only these and grey may be named without a profile of their own. */
const colours = (file: PdfFile, found: string[]): void => {
  for (const d of everyDictionary(file)) {
    for (const value of d.entries.values()) {
      if ([value, ...items(value)].some((v) => nameOf(v) === "DeviceCMYK")) found.push("6.2.4: DeviceCMYK");
    }
    if (nameOf(d.entries.get("Type")) === "ExtGState") {
      const mode = nameOf(d.entries.get("BM"));
      if (mode !== null && mode !== "Normal") found.push(`6.2.10: blend mode ${mode}`);
      for (const key of ["CA", "ca"]) if ((d.entries.get(key) ?? 1) !== 1) found.push(`6.2.10: ${key} below 1`);
      if (d.entries.has("SMask") && nameOf(d.entries.get("SMask")) !== "None") found.push("6.2.10: a soft mask");
      if (d.entries.has("TR") || d.entries.has("HTP")) found.push("6.2.5: a transfer function or halftone phase");
    }
    if (nameOf(d.entries.get("Subtype")) === "Image" && d.entries.has("SMask"))
      found.push("6.2.10: an image has a soft mask");
  }
};

const content = (file: PdfFile, found: string[]): void => {
  for (const page of everyDictionary(file).filter((d) => nameOf(d.entries.get("Type")) === "Page")) {
    if (!isDictionary(resolved(file, page.entries.get("Resources"))))
      found.push("6.2.2: a page without resources of its own");
    const parts = page.entries.get("Contents");
    for (const part of Array.isArray(parts) ? items(parts) : [parts]) {
      const text = Buffer.from(streamBytes(objectOf(file, part ?? null))).toString("latin1");
      if (/(^|\s)(-?[\d.]+\s+){4}[kK](\s|$)/.test(text)) found.push("6.2.4: a colour of four inks");
      let depth = 0;
      for (const [word] of text.matchAll(/(?<=^|\s)[qQ](?=\s|$)/g)) depth += word === "q" ? 1 : -1;
      if (depth !== 0) found.push("6.2.2: saved and restored states do not pair");
      if (/(^|\s)BI\s/.test(text)) found.push("an inline image, which is not looked at");
    }
  }
};

const fonts = (file: PdfFile, found: string[]): void => {
  const all = everyDictionary(file).filter((d) => nameOf(d.entries.get("Type")) === "Font");
  if (all.length === 0) found.push("6.2.11: no font");
  for (const font of all) {
    const name = nameOf(font.entries.get("BaseFont")) ?? "?";
    const kind = nameOf(font.entries.get("Subtype"));
    if (kind === "Type0") {
      if (!font.entries.has("ToUnicode")) found.push(`6.2.11.7: ${name} does not lead back to characters`);
      const encoding = nameOf(font.entries.get("Encoding"));
      if (encoding !== "Identity-H" && encoding !== "Identity-V")
        found.push(`6.2.11.3: ${name} has the encoding ${encoding}`);
      continue;
    }
    if (kind !== "CIDFontType2" && kind !== "CIDFontType0" && kind !== "TrueType") {
      found.push(`6.2.11: ${name} is of the kind ${kind}, which is not looked at`);
      continue;
    }
    const descriptor = dictionary(file, font, "FontDescriptor");
    const program = ["FontFile", "FontFile2", "FontFile3"].find((key) => descriptor.entries.has(key));
    if (program === undefined) found.push(`6.2.11.4: ${name} is not embedded`);
    else if (streamBytes(objectOf(file, descriptor.entries.get(program))).length < 500)
      found.push(`6.2.11.4: ${name} is empty`);
    if (kind === "CIDFontType2" && !font.entries.has("CIDToGIDMap")) found.push(`6.2.11.3: ${name} has no CIDToGIDMap`);
    if (!/^[A-Z]{6}\+/.test(name)) found.push(`${name} does not say that it is a part`);
  }
};

const interaction = (file: PdfFile, catalog: PdfValue, found: string[]): void => {
  const root = dictionary(file, catalog);
  for (const key of ["AA", "OpenAction", "Requirements", "NeedsRendering", "OCProperties", "Perms"]) {
    if (root.entries.has(key)) found.push(`6.4 to 6.6, 6.9: the catalogue has ${key}`);
  }
  if (root.entries.has("AcroForm")) {
    const form = dictionary(file, root, "AcroForm");
    for (const key of ["XFA", "NeedAppearances"]) if (form.entries.has(key)) found.push(`6.4.1: the form has ${key}`);
  }
  const names = root.entries.get("Names");
  if (names !== undefined && dictionary(file, names).entries.has("JavaScript")) found.push("6.6: a script");
  for (const d of everyDictionary(file)) {
    const action = nameOf(d.entries.get("S"));
    if (action !== null && FORBIDDEN_ACTIONS.includes(action)) found.push(`6.6.1: an action ${action}`);
    if (d.entries.has("JS") || d.entries.has("XFA")) found.push("6.6.1: a script or a dynamic form");
    if (nameOf(d.entries.get("Type")) === "Annot") {
      if (nameOf(d.entries.get("Subtype")) !== "Widget") found.push("6.3: a note on the page, which is not looked at");
      const flags = Number(d.entries.get("F") ?? 0);
      // Print set; invisible, hidden, no-view and toggle-no-view clear.
      if ((flags & 4) === 0 || (flags & (1 | 2 | 32 | 256)) !== 0) found.push("6.3.2: a field that may be hidden");
      const [a, b, c, e] = items(d.entries.get("Rect"));
      if (!d.entries.has("AP") && (a !== c || b !== e)) found.push("6.3.3: a field that is seen and has no appearance");
    }
    if (d.entries.has("AA")) found.push("6.6.2: an action that an event starts");
  }
};

const dateOf = (text: string | null): string | null => {
  const m = /^D:(\d{4})(\d\d)(\d\d)(\d\d)(\d\d)(\d\d)Z?/.exec(text ?? "");
  return m === null ? null : `${m[1]}-${m[2]}-${m[3]}T${m[4]}:${m[5]}:${m[6]}Z`;
};

const metadata = (file: PdfFile, catalog: PdfValue, found: string[]): void => {
  const root = dictionary(file, catalog);
  if (!root.entries.has("Metadata")) {
    found.push("6.6.2: no metadata");
    return;
  }
  const stream = objectOf(file, root.entries.get("Metadata"));
  if (dictionary(file, stream.value).entries.has("Filter")) found.push("6.6.2: the metadata are filtered");
  const packet = Buffer.from(streamBytes(stream)).toString("utf8");
  if (!/^<\?xpacket begin="\uFEFF" id="W5M0MpCehiHzreSzNTczkc9d"\?>/.test(packet))
    found.push("6.6.2.1: no packet header");
  if (/<\?xpacket begin=[^>]*(bytes|encoding)=/.test(packet))
    found.push("6.6.2.1: bytes or encoding in the packet header");
  const xml = readXml(packet);
  if (!xml.ok) {
    found.push(`6.6.2.1: ${xml.fault.message}`);
    return;
  }
  const one = (name: string): string | null => {
    const hits = everyElement(xml.value).filter((f) => f.element.name === name);
    const inner = hits[0]?.element;
    if (inner === undefined) return null;
    return xmlTextOf(at(inner, "rdf:Alt", "rdf:li") ?? at(inner, "rdf:Seq", "rdf:li") ?? inner).trim();
  };
  if (one("pdfaid:part") !== "3") found.push("6.6.4: part 3 is not named");
  if (!["A", "B", "U"].includes(one("pdfaid:conformance") ?? "")) found.push("6.6.4: no level is named");
  const info = dictionary(file, file.trailer.entries.get("Info") ?? null);
  for (const [key, name] of [
    ["Title", "dc:title"],
    ["Author", "dc:creator"],
    ["Subject", "dc:description"],
    ["Keywords", "pdf:Keywords"],
    ["Creator", "xmp:CreatorTool"],
    ["Producer", "pdf:Producer"],
  ] as const) {
    const said = textOf(resolved(file, info.entries.get(key)));
    if (said !== null && said !== one(name)) found.push(`6.6.3: ${key} "${said}" is "${one(name)}" in the metadata`);
  }
  const created = dateOf(textOf(resolved(file, info.entries.get("CreationDate"))));
  if (created === null || created !== one("xmp:CreateDate")) found.push("6.6.3: two dates of creation");
};

const logical = (file: PdfFile, catalog: PdfValue, found: string[]): void => {
  const root = dictionary(file, catalog);
  if (!root.entries.has("MarkInfo") || dictionary(file, root, "MarkInfo").entries.get("Marked") !== true)
    found.push("6.7.2: not marked as tagged");
  if ((textOf(root.entries.get("Lang")) ?? "") === "") found.push("6.7.4: no language");
  if (!root.entries.has("StructTreeRoot")) found.push("6.7.3: no structure");
};

const embeddedFiles = (file: PdfFile, catalog: PdfValue, found: string[]): void => {
  const root = dictionary(file, catalog);
  const associated = items(resolved(file, root.entries.get("AF"))).map((v) => dictionary(file, v));
  const specs = everyDictionary(file).filter((d) => d.entries.has("EF"));
  if (specs.length !== associated.length) found.push("6.8: a file is attached and not associated");
  for (const spec of specs) {
    const name = textOf(spec.entries.get("F")) ?? "?";
    if (textOf(spec.entries.get("UF")) !== name) found.push(`6.8: ${name} has no name in UF`);
    if (
      !["Source", "Data", "Alternative", "Supplement", "Unspecified"].includes(
        nameOf(spec.entries.get("AFRelationship")) ?? "",
      )
    ) {
      found.push(`6.8: ${name} does not say how it belongs`);
    }
    if ((textOf(spec.entries.get("Desc")) ?? "") === "") found.push(`6.8: ${name} is not described`);
    const embedded = objectOf(file, dictionary(file, spec, "EF").entries.get("F"));
    const d = dictionary(file, embedded.value);
    if (!/^[\w.+-]+\/[\w.+-]+$/.test(nameOf(d.entries.get("Subtype")) ?? "")) found.push(`6.8: ${name} has no type`);
    const params = dictionary(file, d, "Params");
    for (const key of ["ModDate", "CreationDate"]) {
      if (dateOf(textOf(params.entries.get(key))) === null) found.push(`6.8: ${name} has no ${key}`);
    }
    const bytes = streamBytes(embedded);
    if (params.entries.get("Size") !== bytes.length) found.push(`${name} is not as long as it says`);
    const sum = params.entries.get("CheckSum");
    const md5 = createHash("md5").update(bytes).digest("hex");
    if (typeof sum !== "object" || sum === null || !("text" in sum) || Buffer.from(sum.text).toString("hex") !== md5) {
      found.push(`ISO 32000-1, 7.11.4: the checksum of ${name} is not its 16 bytes`);
    }
  }
};

/** Limits of ISO 19005-3, 6.1.13. */
const limits = (file: PdfFile, found: string[]): void => {
  const look = (value: PdfValue): void => {
    if (typeof value === "number" && Math.abs(value) > 2 ** 31 - 1) found.push("6.1.13: a number is too large");
    if (nameOf(value) !== null && (nameOf(value)?.length ?? 0) > 127) found.push("6.1.13: a name is too long");
    if (typeof value === "object" && value !== null && "text" in value && value.text.length > 32767)
      found.push("6.1.13: a string is too long");
    if (Array.isArray(value)) for (const item of items(value)) look(item);
    else if (isDictionary(value)) for (const inner of value.entries.values()) look(inner);
  };
  for (const { value } of file.objects.values()) look(value);
  if (file.objects.size > 8388607) found.push("6.1.13: too many objects");
};

/** What these bytes miss of the list, with the clause; empty when nothing of the list is missing. */
export const missingOfArchiveList = (bytes: Uint8Array): readonly string[] => {
  const file = readPdf(bytes);
  const found: string[] = [];
  const catalog = file.trailer.entries.get("Root") ?? null;
  header(file, found);
  trailer(file, found);
  streams(file, found);
  outputIntent(file, catalog, found);
  colours(file, found);
  content(file, found);
  fonts(file, found);
  interaction(file, catalog, found);
  metadata(file, catalog, found);
  logical(file, catalog, found);
  embeddedFiles(file, catalog, found);
  limits(file, found);
  return [...new Set(found)];
};
