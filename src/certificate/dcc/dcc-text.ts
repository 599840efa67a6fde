import { certificateContext } from "../certificate-context.ts";
import type { CertificateInput, ReferenceInUse } from "../certificate-input.ts";
import { type ConditionRange, conditionRanges } from "../condition-ranges.ts";
import type { SectionContext, ShownStage } from "../sections/section-context.ts";
import { coverageText } from "../sections/statements.ts";
import { administrativeData } from "./dcc-administration.ts";
import { stageData } from "./dcc-results.ts";
import { identification, named, realList, token, worded } from "./dcc-words.ts";
import { DSI } from "./dsi-unit.ts";
import { element, having, type XmlElement, xmlText } from "./xml-tree.ts";

/** Release of the schema that is written; readers of other releases are told apart by it. */
export const DCC_VERSION = "3.3.0";

const methods = (context: SectionContext): XmlElement => {
  const { input, texts, shown } = context;
  const { method } = input.laboratory;
  const rule = shown[0]?.result.verdict;
  const used = (
    attributes: Readonly<Record<string, string | undefined>>,
    name: string,
    description: string | null,
    more: { readonly norm?: string; readonly reference?: string } = {},
  ): XmlElement =>
    having(
      attributes,
      element(
        "dcc:usedMethod",
        named(name, input.language),
        description === null ? null : worded("dcc:description", description, input.language),
        more.norm === undefined ? null : element("dcc:norm", more.norm),
        more.reference === undefined ? null : element("dcc:reference", token(more.reference)),
      ),
    );
  return element(
    "dcc:usedMethods",
    used({}, method.title ?? texts.method, null, { reference: texts.methodText(method.id, method.revision) }),
    used(
      { refType: "basic_methodMeasurementUncertainty" },
      texts.uncertaintyHeading,
      [coverageText(context) ?? texts.noUncertainty, texts.notIncluded].join(" "),
      { norm: "JCGM 100:2008" },
    ),
    rule === undefined
      ? null
      : used(
          { id: "decision-rule", refType: "basic_methodConformity" },
          texts.agreedRule,
          texts.decisionRule(texts.ruleText(rule.rule, rule.rule_text)),
          { norm: "ILAC-G8:09/2019" },
        ),
  );
};

const equipment = (context: SectionContext, reference: ReferenceInUse): XmlElement => {
  const { input, texts } = context;
  const { certificate } = reference;
  const stated = texts.uWithK(certificate.U, String(certificate.k));
  return element(
    "dcc:measuringEquipment",
    named(`${texts.roles[reference.role] ?? reference.role}: ${reference.description}`, input.language),
    element(
      "dcc:certificate",
      worded("dcc:referral", `${texts.calibratedBy} ${certificate.laboratory}, ${certificate.date}`, input.language),
      element("dcc:referralID", token(certificate.number)),
      // The laboratory knows the certificate of its reference by number and day, not by digest.
      element("dcc:procedure", "none"),
      element("dcc:value", "none"),
      worded(
        "dcc:description",
        [
          `${texts.due} ${certificate.due}; ${texts.statedU} ${stated}`,
          ...(certificate.route === undefined ? [] : [texts.routes[certificate.route]]),
        ].join("; "),
        input.language,
      ),
      element("dcc:inValidityRange", String(certificate.due >= input.dates.ended)),
      element("dcc:traceable", "true"),
    ),
    element(
      "dcc:identifications",
      identification("manufacturer", reference.serial_number, texts.serialNumber, input.language, "basic_serialNumber"),
    ),
  );
};

const UNIT_OF_CONDITION: Readonly<Record<ConditionRange["unit"], string>> = {
  degC: DSI.degC,
  "%": DSI.percent,
  hPa: DSI.hPa,
  kPa: DSI.kPa,
};

const REF_TYPE_OF_CONDITION: Readonly<Record<ConditionRange["id"], string | undefined>> = {
  ambient: "basic_temperature",
  humidity: "basic_humidityRelative",
  "air-pressure": undefined,
  supply: undefined,
};

const surroundings = (context: SectionContext): readonly XmlElement[] => {
  const { input, texts } = context;
  const names = {
    ambient: texts.ambient,
    humidity: texts.humidity,
    "air-pressure": texts.airPressure,
    supply: `${texts.supplyPressure} (${texts.modes.gauge})`,
  };
  return conditionRanges(input).flatMap(({ id, unit, range }) => {
    if (range === null) return [];
    return [
      having(
        { refType: REF_TYPE_OF_CONDITION[id] },
        element(
          "dcc:influenceCondition",
          named(names[id], input.language),
          element(
            "dcc:data",
            element(
              "dcc:quantity",
              named(`${texts.lowest}, ${texts.highest}`, input.language),
              realList([range.lowest, range.highest], UNIT_OF_CONDITION[unit]),
            ),
          ),
        ),
      ),
    ];
  });
};

/** What was found before the screws were turned: a condition of the result that holds now, as the schema has it. */
const foundBefore = (context: SectionContext, shown: ShownStage): XmlElement =>
  having(
    { id: "as-found" },
    element(
      "dcc:influenceCondition",
      named(shown.title, context.input.language),
      element("dcc:status", "beforeAdjustment"),
      stageData(context, shown),
    ),
  );

const results = (context: SectionContext, last: ShownStage): XmlElement => {
  const { input } = context;
  const before = context.shown.filter((s) => s !== last);
  const conditions = [...surroundings(context), ...before.map((s) => foundBefore(context, s))];
  return element(
    "dcc:measurementResults",
    methods(context),
    element(
      "dcc:usedSoftware",
      element("dcc:software", named("Stillpoint"), element("dcc:release", token(input.record.header.software_version))),
    ),
    input.references.length === 0
      ? null
      : element(
          "dcc:measuringEquipments",
          input.references.map((r) => equipment(context, r)),
        ),
    conditions.length === 0 ? null : element("dcc:influenceConditions", conditions),
    having(
      { id: last.stage },
      element(
        "dcc:measurementResult",
        named(last.title, input.language),
        element("dcc:results", element("dcc:result", named(last.title, input.language), stageData(context, last))),
      ),
    ),
  );
};

/**
 * The certificate as a Digital Calibration Certificate, release 3.3.0 of the open schema, with the decimal texts that
 * stand on paper. The stage that was read last is the result; what was found before an adjustment is a condition of it.
 *
 * @returns XML text, or null when no stage has a result: a document without a result cannot be written
 */
export const dccText = (input: CertificateInput): string | null => {
  const { context, missing } = certificateContext(input);
  const { texts, status, shown } = context;
  const last = shown.at(-1);
  if (last === undefined) return null;
  const marks =
    status === "specimen" ? [texts.simulatedSentence] : status === "draft" ? [texts.draftSentence(missing)] : [];
  return xmlText(
    having(
      {
        "xmlns:dcc": "https://ptb.de/dcc",
        "xmlns:si": "https://ptb.de/si",
        "xmlns:xsi": "http://www.w3.org/2001/XMLSchema-instance",
        "xsi:schemaLocation": `https://ptb.de/dcc https://ptb.de/dcc/v${DCC_VERSION}/dcc.xsd`,
        schemaVersion: DCC_VERSION,
      },
      element("dcc:digitalCalibrationCertificate", administrativeData(context, marks), results(context, last)),
    ),
  );
};
