import { stageOf } from "../readings/run-record.ts";
import type { CertificateInput, StageResult } from "./certificate-input.ts";
import type { Texts } from "./texts/en.ts";

const hasUncertaintyEverywhere = (stage: StageResult | undefined): boolean =>
  stage === undefined ||
  stage.analysis.points.every((p) => stage.uncertainties.some((u) => u.ordinal === p.ordinal && u.U_kPa > 0));

/** As found is frozen at the first turn of a screw. */
const asFoundCameFirst = (input: CertificateInput): boolean => {
  const firstTurn = input.record.adjustments.flatMap((a) => a.turns)[0];
  const asFound = stageOf(input.record, "as-found");
  if (input.asFound === undefined || firstTurn === undefined || asFound === undefined) return true;
  return asFound.points.every((p) => p.seq < firstTurn.seq);
};

type Role = CertificateInput["laboratory"]["people"][number]["roles"][number];

/** A laboratory that lists nobody leaves it open who may do what. */
export const may = (laboratory: CertificateInput["laboratory"], name: string, role: Role): boolean =>
  laboratory.people.length === 0 || laboratory.people.some((p) => p.name === name && p.roles.includes(role));

/** Who did more than the laboratory lets one person do for one certificate; null when nobody did. */
export const didTooMuch = (
  laboratory: CertificateInput["laboratory"],
  acts: { readonly measured: string; readonly reviewed: string; readonly authorised: string },
): string | null => {
  if (laboratory.one_person === "everything") return null;
  const { measured, reviewed, authorised } = acts;
  if (measured !== "" && (measured === reviewed || measured === authorised)) return measured;
  return laboratory.one_person === "one-act" && reviewed !== "" && reviewed === authorised ? reviewed : null;
};

/**
 * What still keeps the certificate from being issued, in words of its language. Empty: nothing. Something that is missing
 * is not the same as something left out for a reason: the first stops the issue, the second is stated.
 */
export const missingForIssue = (input: CertificateInput, texts: Texts): readonly string[] => {
  const { missing: words } = texts;
  const { dates, laboratory, references, record } = input;
  const found: string[] = [];
  const need = (there: boolean, what: string): void => {
    if (!there) found.push(what);
  };
  need(input.unit.identity.customer !== undefined, words.customer);
  need(input.unit.identity.customer_contact !== undefined, words.customerContact);
  need(record.header.operator.trim() !== "", words.personName);
  need(laboratory.country !== undefined, words.country);
  const reviewed = input.review?.name.trim() ?? "";
  need(reviewed !== "", words.review);
  need(reviewed === "" || may(laboratory, reviewed, "reviews"), words.mayReview(reviewed));
  const authorised = input.authorisation?.name.trim() ?? "";
  need(authorised !== "", words.authorisation);
  need(authorised === "" || may(laboratory, authorised, "authorises"), words.allowed(authorised));
  const measured = record.header.operator.trim();
  const tooMuch = didTooMuch(laboratory, { measured, reviewed, authorised });
  need(tooMuch === null, words.onePerson(tooMuch ?? ""));
  need(
    references.some((r) => r.role === "gauge"),
    words.pressureReference,
  );
  need(
    references.some((r) => r.role === "source" || r.role === "current-meter"),
    words.currentReference,
  );
  const overdue = references.filter((r) => r.certificate.due < dates.ended).map((r) => r.serial_number);
  need(overdue.length === 0, words.overdue(overdue.join(", ")));
  const order = [input.unit.identity.received ?? dates.started, dates.started, dates.ended, dates.issued];
  need(
    order.every((day, i) => i === 0 || (order[i - 1] ?? "") <= day),
    words.dates,
  );
  need(input.asFound !== undefined || input.asLeft !== undefined, words.results);
  need(hasUncertaintyEverywhere(input.asFound) && hasUncertaintyEverywhere(input.asLeft), words.uncertainty);
  need(record.ending !== null, words.ending);
  need(asFoundCameFirst(input), words.asFoundAfterAdjustment);
  return found;
};
