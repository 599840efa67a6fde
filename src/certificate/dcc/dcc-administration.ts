import { roundToPlace } from "../../uncertainty/rounding.ts";
import type { QuantityOf } from "../../vocabulary/quantity-text.ts";
import { exactDecimal } from "../exact-decimal.ts";
import { overallDeviations } from "../sections/deviations.ts";
import type { SectionContext } from "../sections/section-context.ts";
import { content, identification, named, real, token, worded } from "./dcc-words.ts";
import { DSI } from "./dsi-unit.ts";
import { element, having, type XmlElement } from "./xml-tree.ts";

/** Who, what, when and where. */

/** "Unknown or unspecified country" among the user-assigned codes of ISO 3166-1; a draft alone can carry it. */
const NO_COUNTRY = "ZZ";

const MAIL = /[^\s,;<>()]+@[^\s,;<>()]+/;

/** As on paper: exact where it was written in kPa, else converted to three places. */
const inKPa = (q: QuantityOf<"pressure">): string =>
  q.unit === "kPa" ? exactDecimal(q.written, 0) : roundToPlace(q.kPa, -3);

const software = (context: SectionContext): XmlElement =>
  element(
    "dcc:software",
    named("Stillpoint"),
    element("dcc:release", token(context.input.record.header.software_version)),
    element("dcc:type", "application"),
  );

const replaced = ({ input, texts }: SectionContext): readonly XmlElement[] => {
  const { replaces } = input;
  if (replaces === undefined) return [];
  const changes = replaces.changes.map((c) => texts.change(c.what, c.was, c.is));
  return [
    element(
      "dcc:reportAmendedSubstituted",
      element("dcc:typeOfChange", replaces.kind),
      element("dcc:replacedUniqueIdentifier", token(replaces.number)),
    ),
    element(
      "dcc:previousReport",
      worded("dcc:referral", texts.replacesHeading[replaces.kind](replaces.number), input.language),
      element("dcc:referralID", token(replaces.number)),
      element("dcc:procedure", "SHA-256"),
      element("dcc:value", replaces.sha256),
      worded("dcc:description", [texts.replacesReason(replaces.reason), ...changes].join(" "), input.language),
    ),
  ];
};

const coreData = (context: SectionContext): XmlElement => {
  const { input, texts, number } = context;
  const { dates, language, laboratory, record } = input;
  const { received } = input.unit.identity;
  return element(
    "dcc:coreData",
    element("dcc:countryCodeISO3166_1", laboratory.country ?? NO_COUNTRY),
    element("dcc:usedLangCodeISO639_1", language),
    element("dcc:mandatoryLangCodeISO639_1", input.bindingLanguage ?? language),
    element("dcc:uniqueIdentifier", token(number)),
    element(
      "dcc:identifications",
      identification("calibrationLaboratory", record.header.run_id, texts.run, language),
      input.recordHead === undefined
        ? null
        : identification("calibrationLaboratory", input.recordHead, texts.recordHead, language),
    ),
    received === undefined ? null : element("dcc:receiptDate", received),
    element("dcc:beginPerformanceDate", dates.started),
    element("dcc:endPerformanceDate", dates.ended),
    element("dcc:performanceLocation", input.site === undefined ? "laboratory" : "other"),
    element("dcc:issueDate", dates.issued),
    replaced(context),
  );
};

const items = (context: SectionContext): XmlElement => {
  const { input, texts } = context;
  const { identity, input: signal, output, supply } = input.unit;
  const bound = (name: string, value: string, unit: string): XmlElement =>
    element("dcc:itemQuantity", named(name, input.language), real(value, unit));
  const mode = texts.modes[output.mode];
  const ends = [
    bound(`${texts.signalRange}, ${texts.lowest}`, exactDecimal(signal.lower.mA, 0), DSI.mA),
    bound(`${texts.signalRange}, ${texts.highest}`, exactDecimal(signal.upper.mA, 0), DSI.mA),
    bound(`${texts.outputRange} (${mode}), ${texts.lowest}`, inKPa(output.lower), DSI.kPa),
    bound(`${texts.outputRange} (${mode}), ${texts.highest}`, inKPa(output.upper), DSI.kPa),
    bound(`${texts.supply} (${texts.modes.gauge})`, inKPa(supply.nominal), DSI.kPa),
  ];
  const range = `${signal.lower.text} ${texts.to} ${signal.upper.text}, ${output.lower.text} ${texts.to} ${output.upper.text}, ${mode}`;
  return element(
    "dcc:items",
    having(
      { id: "item" },
      element(
        "dcc:item",
        named(`${texts.subtitle}, ${range}`, input.language),
        worded(
          "dcc:description",
          [texts.actions[input.unit.action], texts.positions[input.unit.mounting], identity.condition]
            .filter((part) => part !== undefined)
            .join("; "),
          input.language,
        ),
        element("dcc:manufacturer", named(identity.maker)),
        element("dcc:model", token(identity.model)),
        element(
          "dcc:identifications",
          identification(
            "manufacturer",
            identity.serial_number,
            texts.serialNumber,
            input.language,
            "basic_serialNumber",
          ),
          identity.tag === undefined ? null : identification("customer", identity.tag, texts.tag, input.language),
        ),
        element("dcc:itemQuantities", ends),
      ),
    ),
  );
};

const contact = (
  name: string,
  { mail, lines, country }: { readonly mail: string; readonly lines: readonly string[]; readonly country?: string },
): readonly XmlElement[] => {
  const address = MAIL.exec(mail)?.[0];
  return [
    named(name),
    ...(address === undefined ? [] : [element("dcc:eMail", address)]),
    element(
      "dcc:location",
      element(
        "dcc:further",
        lines.map((line) => content(line)),
      ),
      country === undefined ? null : element("dcc:countryCode", country),
    ),
  ];
};

const people = ({ input, texts }: SectionContext): XmlElement => {
  const person = (name: string, role: string, act: string, main: boolean): XmlElement =>
    element(
      "dcc:respPerson",
      element("dcc:person", named(name)),
      element("dcc:role", token(role === "" ? act : `${act}: ${role}`)),
      element("dcc:mainSigner", String(main)),
    );
  const { authorisation, review } = input;
  return element(
    "dcc:respPersons",
    authorisation === undefined ? null : person(authorisation.name, authorisation.role, texts.authorisedBy, true),
    review === undefined ? null : person(review.name, review.role, texts.reviewedBy, false),
    person(input.record.header.operator, texts.operatorRole, texts.measuredBy, false),
  );
};

const statement = (
  context: SectionContext,
  name: string,
  text: string | readonly string[],
  more: { readonly traceable?: boolean; readonly conformity?: string } = {},
): XmlElement => {
  const { language } = context.input;
  const texts = typeof text === "string" ? [text] : text;
  return element(
    "dcc:statement",
    named(name, language),
    more.traceable === undefined ? null : element("dcc:traceable", String(more.traceable)),
    element(
      "dcc:declaration",
      texts.map((t) => content(t, language)),
    ),
    more.conformity === undefined ? null : element("dcc:conformity", more.conformity),
  );
};

const CONFORMITY: Readonly<Record<string, string>> = {
  pass: "pass",
  fail: "fail",
  "conditional-pass": "conditionalPass",
  "conditional-fail": "conditionalFail",
};

const statements = (context: SectionContext, marks: readonly string[]): XmlElement => {
  const { input, texts, shown } = context;
  const deviations = [...overallDeviations(context), ...input.record.deviations.map((d) => d.text)];
  return element(
    "dcc:statements",
    marks.map((mark) => statement(context, texts.statementsHeading, mark)),
    shown.map((s) => {
      const conformity = CONFORMITY[s.rounded.word];
      return statement(
        context,
        `${texts.verdict}: ${s.title}`,
        [texts.words[s.rounded.word], ...s.result.verdict.reasons],
        conformity === undefined ? {} : { conformity },
      );
    }),
    statement(context, texts.onlyThisItemName, texts.onlyThisItem),
    statement(context, texts.notInPartName, texts.notInPart),
    statement(context, texts.traceHeading, input.references.length === 0 ? texts.noTrace : `${texts.traceCaption}.`, {
      traceable: input.references.length > 0,
    }),
    statement(context, texts.place, input.site ?? input.laboratory.address),
    statement(context, texts.deviationsHeading, deviations.length === 0 ? texts.noDeviations : deviations),
    statement(context, texts.tag, texts.statedByCustomerNote),
    statement(context, texts.uncertaintyHeading, texts.notIncluded),
  );
};

export const administrativeData = (context: SectionContext, marks: readonly string[]): XmlElement => {
  const { input, texts } = context;
  const { laboratory } = input;
  const { customer, customer_contact } = input.unit.identity;
  return element(
    "dcc:administrativeData",
    element("dcc:dccSoftware", software(context)),
    element(
      "dcc:refTypeDefinitions",
      element(
        "dcc:refTypeDefinition",
        named("cross-community names of quantities", "en"),
        element("dcc:namespace", "basic"),
        element("dcc:link", "https://digilab.ptb.de/dkd/refType/vocab/"),
      ),
    ),
    coreData(context),
    items(context),
    element(
      "dcc:calibrationLaboratory",
      element(
        "dcc:contact",
        contact(laboratory.name, {
          mail: laboratory.contact,
          lines: [...laboratory.address, laboratory.contact],
          ...(laboratory.country === undefined ? {} : { country: laboratory.country }),
        }),
      ),
    ),
    people(context),
    element(
      "dcc:customer",
      contact(customer ?? texts.notStated, {
        mail: customer_contact ?? "",
        lines: [customer_contact ?? texts.notStated],
      }),
    ),
    statements(context, marks),
  );
};
