import type { CertificateModel } from "../certificate-model.ts";
import type { RoundedStage } from "../rounded-results.ts";

/**
 * The results of a certificate as data for other programs: the very decimal texts of the paper, plain decimals with a
 * point whatever the language. A form for machines beside the full certificate of the same number.
 */
const RESULTS_FORMAT = "stillpoint-certificate-results 1";

const COLUMNS = [
  "stage",
  "ordinal",
  "cycle",
  "direction",
  "nominal_percent",
  "nominal_mA",
  "applied_mA",
  "ideal_kPa",
  "output_kPa",
  "error_kPa",
  "U_kPa",
  "k",
  "limit_kPa",
  "acceptance_kPa",
  "error_percent_span",
  "U_percent_span",
  "verdict",
] as const;

type Row = Readonly<Record<(typeof COLUMNS)[number], string | null>>;

const rowsOf = (stage: RoundedStage | null): readonly Row[] =>
  (stage?.points ?? []).map((p) => ({
    stage: stage?.stage ?? "",
    ordinal: String(p.ordinal),
    cycle: String(p.cycle),
    direction: p.direction,
    nominal_percent: p.nominal_percent,
    nominal_mA: p.nominal_mA,
    applied_mA: p.applied_mA,
    ideal_kPa: p.in_kPa.ideal,
    output_kPa: p.in_kPa.output,
    error_kPa: p.in_kPa.error,
    U_kPa: p.in_kPa.U,
    k: p.k,
    limit_kPa: p.in_kPa.limit,
    acceptance_kPa: p.in_kPa.acceptance,
    error_percent_span: p.error_percent_span,
    U_percent_span: p.U_percent_span,
    verdict: p.word,
  }));

const quoted = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

/** RFC 4180; the first columns repeat in each row which certificate it is and whether it was issued. */
export const resultsCsv = (model: CertificateModel): string => {
  const { as_found, as_left } = model.results;
  const head = ["certificate", "status", ...COLUMNS];
  const rows = [...rowsOf(as_found), ...rowsOf(as_left)].map((row) => [
    model.number,
    model.status,
    ...COLUMNS.map((c) => row[c] ?? ""),
  ]);
  return [head, ...rows].map((cells) => `${cells.map(quoted).join(",")}\r\n`).join("");
};

/** One JSON document; figures are texts, because a number would lose the zeros that say how well it is known. */
export const resultsJson = (model: CertificateModel): string =>
  `${JSON.stringify(
    {
      format: RESULTS_FORMAT,
      certificate: model.number,
      status: model.status,
      simulated: model.simulated,
      laboratory: model.laboratory.name,
      as_found: model.results.as_found,
      as_left: model.results.as_left,
      missing: model.missing,
    },
    null,
    2,
  )}\n`;
