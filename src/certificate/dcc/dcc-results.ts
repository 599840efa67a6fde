import { roundToPlace } from "../../uncertainty/rounding.ts";
import { PRESSURE_UNITS } from "../../vocabulary/pressure-units.ts";
import type { PressureTexts, RoundedFigure, RoundedPoint } from "../rounded-results.ts";
import { customerUnit, type SectionContext, type ShownStage } from "../sections/section-context.ts";
import { named, real, realList, worded } from "./dcc-words.ts";
import { DSI, dsiPressure } from "./dsi-unit.ts";
import { element, having, type XmlElement } from "./xml-tree.ts";

/** The list of values, or null when one of them is not there: a list with a gap would shift the others. */
const whole = (values: readonly (string | null)[]): readonly string[] | null =>
  values.some((v) => v === null) ? null : values.filter((v): v is string => v !== null);

const UNIT_OF_FIGURE: Readonly<Record<RoundedFigure["unit"], string>> = {
  "%span": DSI.percent,
  "%input-span": DSI.percent,
  "%ideal-slope": DSI.percent,
  "%reading": DSI.percent,
  kPa: DSI.kPa,
  "kPa/mA": DSI.kPa_per_mA,
  mA: DSI.mA,
  "1": DSI.one,
};

const WORDS: Readonly<Record<RoundedPoint["word"], string | null>> = {
  pass: "pass",
  "conditional-pass": "conditionalPass",
  "conditional-fail": "conditionalFail",
  fail: "fail",
  // The schema has no word for a statement that is withheld.
  "no-statement": null,
};

/** The factor of 0.95 or the like as a fraction; from the text of the coverage in percent, digit by digit. */
const fraction = (percent: string): string => {
  const value = (Number(percent) / 100).toFixed(8).replace(/0+$/, "");
  return value.endsWith(".") ? `${value}0` : value;
};

const expanded = (
  U: readonly (string | null)[],
  points: readonly RoundedPoint[],
  coverage_percent: string | null,
): XmlElement | null => {
  const values = whole(U);
  const factors = whole(points.map((p) => p.k));
  if (values === null || factors === null || coverage_percent === null) return null;
  return element(
    "si:measurementUncertaintyUnivariateXMLList",
    element(
      "si:expandedMUXMLList",
      element("si:valueExpandedMUXMLList", values.join(" ")),
      element("si:coverageFactorXMLList", factors.join(" ")),
      element("si:coverageProbabilityXMLList", fraction(coverage_percent)),
    ),
  );
};

interface Quantity {
  readonly name: string;
  readonly refType?: string;
  readonly metaData?: readonly XmlElement[];
}

const quantity = ({ name, refType, metaData = [] }: Quantity, context: SectionContext, value: XmlElement): XmlElement =>
  having(
    { refType },
    element(
      "dcc:quantity",
      named(name, context.input.language),
      value,
      metaData.length === 0 ? null : element("dcc:measurementMetaData", metaData),
    ),
  );

/** A pressure at every point: the SI value, and the customer's unit beside it when that is another one. */
const pressures = (
  what: Quantity,
  context: SectionContext,
  shown: ShownStage,
  of: (texts: PressureTexts) => string | null,
  withU = false,
): XmlElement | null => {
  const { points, coverage_percent } = shown.rounded;
  const inUnit = (pick: (p: RoundedPoint) => PressureTexts | null, unit: string): XmlElement | null => {
    const texts = points.map(pick);
    const values = whole(texts.map((t) => (t === null ? null : of(t))));
    if (values === null) return null;
    const U = withU
      ? expanded(
          texts.map((t) => t?.U ?? null),
          points,
          coverage_percent,
        )
      : null;
    return realList(values, unit, U);
  };
  const si = inUnit((p) => p.in_kPa, DSI.kPa);
  if (si === null) return null;
  const symbol = customerUnit(context.input);
  const own = inUnit((p) => p.in_customer_unit, dsiPressure(symbol) ?? symbol);
  if (own === null) return quantity(what, context, si);
  const definition = element(
    "dcc:metaData",
    element("dcc:nonSIDefinition", `1 ${symbol} = ${roundToPlace(PRESSURE_UNITS[symbol].pascal / 1e3, -6)} kPa`),
    element("dcc:nonSIUnit", symbol),
  );
  const metaData = [...(what.metaData ?? []), ...(dsiPressure(symbol) === null ? [definition] : [])];
  return quantity({ ...what, metaData }, context, element("si:hybrid", si, own));
};

const currents = (what: Quantity, context: SectionContext, values: readonly string[]): XmlElement =>
  quantity(what, context, realList(values, DSI.mA));

/** Verdict at every point; in words of our own where one of them is withheld. */
const verdictWords = (context: SectionContext, shown: ShownStage): XmlElement[] => {
  const words = whole(shown.rounded.points.map((p) => WORDS[p.word]));
  if (words !== null) return [];
  return [
    quantity(
      { name: context.texts.verdict },
      context,
      element("dcc:charsXMLList", shown.rounded.points.map((p) => p.word).join(" ")),
    ),
  ];
};

const conformity = (context: SectionContext, shown: ShownStage): readonly XmlElement[] => {
  const words = whole(shown.rounded.points.map((p) => WORDS[p.word]));
  if (words === null) return [];
  const text = `${context.texts.limit}: ${shown.rounded.points[0]?.in_kPa.limit ?? "-"} kPa. ${shown.result.verdict.rule_text}`;
  return [
    having(
      { refId: "decision-rule", refType: "basic_conformity" },
      element(
        "dcc:metaData",
        worded("dcc:description", text, context.input.language),
        element("dcc:conformityXMLList", words.join(" ")),
      ),
    ),
  ];
};

const figureList = (context: SectionContext, shown: ShownStage): XmlElement | null => {
  const { texts, input } = context;
  const defined = new Map(shown.result.analysis.figures.map((f) => [f.id, f] as const));
  const quantities = shown.rounded.figures.flatMap((f) => {
    const own = defined.get(f.id);
    if (f.value === null || own === undefined) return [];
    const words = texts.figureDefinition(f.id, own.definition, own.source);
    const name = texts.figureName(f.id, own.name);
    return [
      element(
        "dcc:quantity",
        named(f.unit.startsWith("%") ? `${name} (${f.unit.replace("%", "% ")})` : name, input.language),
        worded("dcc:description", words, input.language),
        real(f.value, UNIT_OF_FIGURE[f.unit]),
      ),
    ];
  });
  return quantities.length === 0 ? null : element("dcc:list", named(texts.figuresHeading, input.language), quantities);
};

/** The instant at which each reading was kept, UTC. */
const instants = (context: SectionContext, shown: ShownStage): XmlElement | null => {
  const stage = context.input.record.stages.findLast((s) => s.stage === shown.stage);
  const utc = whole(
    shown.rounded.points.map((p) => stage?.points.find((read) => read.ordinal === p.ordinal)?.utc ?? null),
  );
  return utc === null ? null : element("dcc:dateTimeXMLList", utc.join(" "));
};

/**
 * Everything that was found in one stage, in the very texts that stand on paper. Values belong together by their place:
 * the second of one list to the second of every other.
 */
export const stageData = (context: SectionContext, shown: ShownStage): XmlElement => {
  const { texts, input } = context;
  const { points, coverage_percent } = shown.rounded;
  const mode = texts.modes[input.unit.output.mode];
  const percentU = expanded(
    points.map((p) => p.U_percent_span),
    points,
    coverage_percent,
  );
  const results = element(
    "dcc:list",
    named(texts.results(shown.title), input.language),
    instants(context, shown),
    quantity(
      { name: texts.cycle },
      context,
      realList(
        points.map((p) => String(p.cycle)),
        DSI.one,
      ),
    ),
    quantity({ name: texts.direction }, context, element("dcc:charsXMLList", points.map((p) => p.direction).join(" "))),
    currents(
      { name: texts.nominalCurrent, refType: "basic_nominalValue" },
      context,
      points.map((p) => p.nominal_mA),
    ),
    currents(
      { name: texts.appliedCurrent },
      context,
      points.map((p) => p.applied_mA),
    ),
    pressures({ name: `${texts.ideal} (${mode})`, refType: "basic_referenceValue" }, context, shown, (t) => t.ideal),
    pressures({ name: `${texts.output} (${mode})`, refType: "basic_measuredValue" }, context, shown, (t) => t.output),
    pressures(
      {
        name: `${texts.error} (${mode})`,
        refType: "basic_measurementError",
        metaData: conformity(context, shown),
      },
      context,
      shown,
      (t) => t.error,
      true,
    ),
    quantity(
      { name: `${texts.error}, ${texts.ofSpan}` },
      context,
      realList(
        points.map((p) => p.error_percent_span),
        DSI.percent,
        percentU,
      ),
    ),
    pressures({ name: texts.limit }, context, shown, (t) => t.limit),
    pressures({ name: texts.acceptance, refType: "basic_acceptanceLimitUpper" }, context, shown, (t) => t.acceptance),
    verdictWords(context, shown),
  );
  return element("dcc:data", results, figureList(context, shown));
};
