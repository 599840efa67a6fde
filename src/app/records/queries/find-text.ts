import { textTable } from "../../text-table.ts";
import type { FoundRun, FoundRuns } from "./find-runs.ts";

/** Found runs under each other. */

const minute = (utc: string): string => utc.slice(0, 16).replace("T", " ");

const certificatesText = ({ certificates }: FoundRun): string =>
  certificates.map(({ number, state }) => (state === "issued" ? number : `${number} (${state})`)).join(", ");

const verdictText = ({ verdict, kind, ending }: FoundRun): string => {
  const word =
    verdict === null ? (kind === "examination" ? "examined" : "-") : verdict.replaceAll("-", " ").toUpperCase();
  return ending === "finished" ? word : `${word} (${ending})`;
};

const errorText = ({ largest_error_percent: error }: FoundRun): string => (error === null ? "" : error.toFixed(2));

export const foundText = ({ runs, more }: FoundRuns): readonly string[] => {
  if (runs.length === 0) return ["No run."];
  const rows = runs.map((run) => [
    run.simulated === 1 ? "SIMULATED" : "",
    minute(run.started_utc),
    run.unit_serial,
    run.unit_tag,
    run.unit_model,
    run.customer,
    run.batch,
    verdictText(run),
    errorText(run),
    certificatesText(run),
    run.run_id,
  ]);
  const head = [
    "",
    "started, UTC",
    "serial",
    "tag",
    "model",
    "customer",
    "batch",
    "verdict",
    "error, %",
    "certificate",
    "run",
  ];
  // What no run has takes no room.
  const used = head.map((_, i) => rows.some((row) => row[i] !== ""));
  const shown = [head, ...rows].map((row) => row.filter((_, i) => used[i]));
  return [
    ...textTable(shown, head.length),
    `${runs.length} ${runs.length === 1 ? "run" : "runs"}${more ? ", and there are more: name more, or raise --limit" : ""}.`,
  ];
};

/** For a reference that was found bad: every certificate that rests on it, and what became of it. */
export const traceText = ({ runs }: FoundRuns, reference: string): readonly string[] => {
  const certificates = runs.flatMap((run) => run.certificates.map((c) => ({ ...c, run })));
  const without = runs.filter((run) => run.certificates.length === 0).length;
  return [
    "",
    certificates.length === 0
      ? `No certificate rests on ${reference} in these runs.`
      : `Certificates that rest on ${reference}:`,
    ...textTable(
      certificates.map(({ number, state, utc, run }) => [
        number,
        state,
        utc.slice(0, 10),
        run.customer,
        run.unit_serial,
      ]),
      5,
    ),
    ...(without > 0 && certificates.length > 0 ? [`${without} of these runs have no certificate.`] : []),
  ];
};
