import { isDsiUnit } from "./dsi-unit.ts";
import { at, childOf, childrenOf, everyElement, readXml, textOf } from "./read-xml.ts";
import { isKnownRefType } from "./ref-types.ts";
import type { XmlElement } from "./xml-tree.ts";

/**
 * What a digital certificate has to say beyond what its schema asks: the schema lets through lists of unequal length,
 * units that nobody knows, U of zero, NaN, dates out of order, empty names and results without an uncertainty.
 */
export interface DccRemark {
  /** A wrong document, or one that is only unusual. */
  readonly weight: "wrong" | "unusual";
  /** Names of the elements that lead there, without the root. */
  readonly place: string;
  readonly text: string;
}

type Say = (place: string, text: string, weight?: DccRemark["weight"]) => void;

const tokens = (e: XmlElement | undefined): readonly string[] =>
  textOf(e)
    .trim()
    .split(/\s+/)
    .filter((t) => t !== "");

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;
/** "012" is no number that anybody writes: it is the second half of "1 012". */
const CUT_OFF = /^[+-]?0\d/;

/**
 * Places where a list of its own, whose length nothing beside it confirms, may hold one number in two parts: "1 034.2" reads
 * as 1 and 034.2 or as 1 and 234.2. Only a mixture of whole numbers and decimals tells, so it is a hint and no proof.
 */
const perhapsGrouped = (values: readonly string[]): readonly string[] =>
  values.flatMap((value, i) => {
    const next = values[i + 1] ?? "";
    return /^[+-]?[1-9]\d{0,2}$/.test(value) && /^\d{3}\.\d+$/.test(next) ? [`${value} ${next}`] : [];
  });

const isNumber = (text: string): boolean => NUMBER.test(text);

const hasLength = (list: readonly string[], n: number): boolean => list.length === 1 || list.length === n;

/** Names of the uncertainty elements, new and deprecated, of a list and of a single value. */
const U_NAMES = [
  "si:valueExpandedMUXMLList",
  "si:valueExpandedMU",
  "si:valueStandardMUXMLList",
  "si:valueStandardMU",
  "si:uncertaintyXMLList",
  "si:uncertainty",
  "si:standardUncXMLList",
  "si:standardUnc",
];

const inside = (e: XmlElement, names: readonly string[]): readonly XmlElement[] =>
  everyElement(e)
    .map((f) => f.element)
    .filter((f) => names.includes(f.name));

/** Units named as foreign to the SI beside the quantity, so that a machine does not stumble over them. */
const declaredUnits = (quantity: XmlElement | undefined): readonly string[] =>
  quantity === undefined ? [] : inside(quantity, ["dcc:nonSIUnit"]).map((e) => textOf(e).trim());

const checkValues = (
  e: XmlElement,
  place: string,
  quantity: XmlElement | undefined,
  hybrid: boolean,
  alone: boolean,
  say: Say,
): void => {
  const values = tokens(childOf(e, "si:valueXMLList") ?? childOf(e, "si:value"));
  const n = values.length;
  if (n === 0) say(place, "There is no value.");
  for (const value of values) {
    if (!isNumber(value)) say(place, `"${value}" is not a number.`);
    else if (CUT_OFF.test(value)) say(place, `"${value}" looks like a part of a number that was grouped with a blank.`);
  }
  const confirmed = [...inside(e, U_NAMES), ...inside(e, ["si:unitXMLList"])].some((list) => tokens(list).length === n);
  if (alone && n > 1 && !confirmed) {
    for (const pair of perhapsGrouped(values)) {
      say(place, `"${pair}" may be one number that was grouped with a blank; nothing beside it tells.`, "unusual");
    }
  }
  const units = tokens(childOf(e, "si:unitXMLList") ?? childOf(e, "si:unit"));
  if (!hasLength(units, n)) say(place, `There are ${n} values and ${units.length} units.`);
  const declared = hybrid ? declaredUnits(quantity) : [];
  for (const unit of new Set(units)) {
    if (!isDsiUnit(unit) && !declared.includes(unit)) say(place, `"${unit}" is not a unit of the D-SI.`);
  }
  for (const U of inside(e, U_NAMES)) {
    const sizes = tokens(U);
    if (!hasLength(sizes, n)) say(place, `There are ${n} values and ${sizes.length} uncertainties.`);
    for (const size of sizes) {
      if (!isNumber(size) || !(Number(size) > 0)) say(place, `The uncertainty ${size} is not above zero.`);
    }
  }
  for (const [names, low, high, what] of [
    [["si:coverageFactorXMLList", "si:coverageFactor"], 1, Number.POSITIVE_INFINITY, "coverage factor"],
    [["si:coverageProbabilityXMLList", "si:coverageProbability"], Number.MIN_VALUE, 1, "coverage probability"],
  ] as const) {
    for (const part of inside(e, names)) {
      const list = tokens(part);
      if (!hasLength(list, n)) say(place, `There are ${n} values and ${list.length} of the ${what}.`);
      for (const one of list) {
        if (!isNumber(one) || Number(one) < low || Number(one) > high) say(place, `${one} cannot be a ${what}.`);
      }
    }
  }
};

/** How many values a quantity has; null for one that has none. */
const lengthOf = (quantity: XmlElement): number | null => {
  const [list] = inside(quantity, ["si:valueXMLList", "dcc:charsXMLList"]);
  return list === undefined ? null : tokens(list).length;
};

/** Inside a list, what belongs together is found by its place: every list has to have as many values. */
const checkList = (list: XmlElement, place: string, say: Say): void => {
  const lengths = childrenOf(list, "dcc:quantity").map((q) => lengthOf(q));
  const known = lengths.filter((n): n is number => n !== null);
  const n = Math.max(...known, 0);
  if (known.some((other) => other !== n))
    say(place, `The quantities have ${[...new Set(known)].join(" and ")} values.`);
  const instants = tokens(childOf(list, "dcc:dateTimeXMLList"));
  if (n > 0 && instants.length > 0 && instants.length !== n) {
    say(place, `There are ${n} values and ${instants.length} instants.`);
  }
};

const checkWords = (quantity: XmlElement, place: string, say: Say): void => {
  const n = lengthOf(quantity) ?? 1;
  for (const words of inside(quantity, ["dcc:conformityXMLList", "dcc:validXMLList"])) {
    const list = tokens(words);
    if (!hasLength(list, n)) say(place, `There are ${n} values and ${list.length} words of conformity.`);
  }
};

const hasU = (e: XmlElement): boolean => inside(e, U_NAMES).length > 0;

const DATES = ["receiptDate", "beginPerformanceDate", "endPerformanceDate", "issueDate"];

const checkCore = (root: XmlElement, say: Say): void => {
  const core = at(root, "dcc:administrativeData", "dcc:coreData");
  if (core === undefined) {
    say("", "There is no core data.");
    return;
  }
  const dates = DATES.flatMap((name) => {
    const day = textOf(childOf(core, `dcc:${name}`)).trim();
    return day === "" ? [] : [{ name, day }];
  });
  for (const [i, { name, day }] of dates.entries()) {
    const before = dates[i - 1];
    if (before !== undefined && day < before.day) {
      say("administrativeData/coreData", `${name} ${day} lies before ${before.name} ${before.day}.`);
    }
  }
  if (!dates.some((d) => d.name === "issueDate")) {
    say("administrativeData/coreData", "There is no date of issue (ISO/IEC 17025:2017, 7.8.2.1 j).", "unusual");
  }
  const signers = inside(root, ["dcc:mainSigner"]).filter((e) => ["true", "1"].includes(textOf(e).trim()));
  if (signers.length > 1) say("administrativeData/respPersons", "More than one person is the main signer.");
};

/**
 * Text of a digital certificate to what is wrong or unusual in it; an empty list when nothing is. It reads documents of
 * other writers too, with the older names of the uncertainty, and does not replace the schema.
 */
export const checkDcc = (text: string): readonly DccRemark[] => {
  const remarks: DccRemark[] = [];
  const say: Say = (place, what, weight = "wrong") => remarks.push({ weight, place, text: what });
  const read = readXml(text);
  if (!read.ok) return [{ weight: "wrong", place: "", text: read.fault.message }];
  const root = read.value;
  if (root.name !== "dcc:digitalCalibrationCertificate") {
    return [
      { weight: "wrong", place: "", text: `The document is a ${root.name}, not a digital calibration certificate.` },
    ];
  }
  checkCore(root, say);
  for (const { element, above } of everyElement(root)) {
    const place = [...above.slice(1), element].map((e) => e.name.replace(/^\w+:/, "")).join("/");
    const quantity = [...above].reverse().find((e) => e.name.endsWith("uantity"));
    const hybrid = above.at(-1)?.name === "si:hybrid";
    const list = above.findLast((e) => e.name === "dcc:list");
    const alone = list === undefined || childrenOf(list, "dcc:quantity").length < 2;
    switch (element.name) {
      case "si:real":
      case "si:realListXMLList":
        checkValues(element, place, quantity, hybrid, alone, say);
        break;
      case "si:hybrid": {
        const units = childrenOf(element).map((e) => tokens(childOf(e, "si:unitXMLList") ?? childOf(e, "si:unit")));
        if (!units.some((list) => list.every(isDsiUnit))) say(place, "No value is given in a unit of the SI.");
        break;
      }
      case "dcc:list":
        checkList(element, place, say);
        break;
      case "dcc:quantity": {
        checkWords(element, place, say);
        const types = (element.attributes["refType"] ?? "").split(/\s+/);
        if (types.includes("basic_measurementError") && !hasU(element)) {
          say(place, "An error of measurement is given without an uncertainty.");
        }
        break;
      }
      case "dcc:result":
        if (inside(element, ["si:value", "si:valueXMLList"]).length > 0 && !hasU(element)) {
          say(place, "No value of this result has an uncertainty.");
        }
        break;
      case "dcc:content":
      case "dcc:value":
        if (textOf(element).trim() === "") say(place, "A text is empty.");
        break;
    }
    for (const name of (element.attributes["refType"] ?? "").split(/\s+/)) {
      if (name !== "" && !isKnownRefType(name)) say(place, `The vocabulary has no "${name}".`, "unusual");
    }
  }
  return remarks;
};
