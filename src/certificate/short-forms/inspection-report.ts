import type { Block, PlacedSection } from "../block.ts";
import type { CertificateModel } from "../certificate-model.ts";
import { textsFor } from "../texts/index.ts";

/** Rows of a table that leave room for the rest of one page. */
const MOST_ROWS = 18;

const resultsOnly = (section: PlacedSection, notes: (left: number) => string): PlacedSection => ({
  ...section,
  page: "first",
  blocks: section.blocks
    .filter((b): b is Extract<Block, { kind: "table" }> => b.kind === "table")
    .slice(0, 1)
    .map((table) => ({
      ...table,
      rows: table.rows.slice(0, MOST_ROWS),
      notes: table.rows.length > MOST_ROWS ? [notes(table.rows.length - MOST_ROWS)] : [],
    })),
});

/**
 * One page for incoming inspection and the repair shop: item, verdict, the results that stand now, who answers for them.
 * It has the number of the full certificate and says that this is a part of it (ISO/IEC 17025:2017, 7.8.1.3).
 */
export const inspectionReport = (model: CertificateModel): CertificateModel => {
  const texts = textsFor(model.language);
  const find = (id: string): PlacedSection[] => model.sections.filter((s) => s.id === id);
  const last = model.sections.filter((s) => s.id.startsWith("results-")).at(-1);
  return {
    ...model,
    title: model.status === "specimen" ? model.title : texts.inspectionTitle,
    subtitle: texts.inspectionSubtitle(model.number),
    sections: [
      ...find("replaces"),
      ...find("verdict"),
      ...find("item-and-work"),
      ...(last === undefined ? [] : [resultsOnly(last, texts.inspectionRest)]),
      {
        id: "short-form",
        heading: null,
        page: "first",
        blocks: [{ kind: "paragraph", text: texts.inspectionNote(model.number), tone: "small" }],
      },
      ...find("signatures"),
    ],
  };
};
