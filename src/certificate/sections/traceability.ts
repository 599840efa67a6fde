import type { Block } from "../block.ts";
import { front, type SectionBuilder } from "./section-context.ts";

export const traceability: SectionBuilder = ({ texts, print, input }) => {
  if (input.references.length === 0) {
    return front("traceability", texts.traceHeading, [{ kind: "paragraph", text: texts.noTrace, tone: "strong" }]);
  }
  const table: Block = {
    kind: "table",
    caption: texts.traceCaption,
    columns: [
      { title: texts.role, unit: null, align: "left", weight: 15.8 },
      { title: texts.instrument, unit: null, align: "left", weight: 18.5 },
      { title: texts.serial, unit: null, align: "left", weight: 12 },
      { title: texts.certificate, unit: null, align: "left", weight: 12.5 },
      { title: texts.calibratedBy, unit: null, align: "left", weight: 22 },
      { title: texts.calibratedOn, unit: null, align: "left", weight: 11.6 },
      { title: texts.due, unit: null, align: "left", weight: 11.6 },
      { title: texts.statedU, unit: null, align: "left", weight: 17.5 },
    ],
    rows: input.references.map((r) => {
      const overdue = r.certificate.due < input.dates.ended;
      return {
        cells: [
          texts.roles[r.role] ?? r.role,
          r.description,
          r.serial_number,
          r.certificate.number,
          r.certificate.route === undefined
            ? r.certificate.laboratory
            : `${r.certificate.laboratory}, ${texts.routes[r.certificate.route]}`,
          r.certificate.date,
          overdue ? `${r.certificate.due} ${texts.overdue}` : r.certificate.due,
          texts.uWithK(statedU(r.certificate.U, print), print.exact(r.certificate.k, "").trim()),
        ],
        strong: overdue,
      };
    }),
  };
  return front("traceability", texts.traceHeading, [table]);
};

/** U as its own certificate wrote it, "0.02 kPa", with the decimal mark and spaces of this one. */
const statedU = (text: string, print: Parameters<SectionBuilder>[0]["print"]): string => {
  const match = /^(\d+(?:\.\d+)?)\s*(\S.*)$/.exec(text);
  return match?.[1] === undefined || match[2] === undefined ? text : print.quantity(match[1], match[2]);
};
