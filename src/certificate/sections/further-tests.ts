import type { Block } from "../block.ts";
import { furtherChart } from "../charts/further-chart.ts";
import { body, type SectionBuilder, type SectionContext } from "./section-context.ts";

/** Opinions stand apart from what was measured, marked as what they are. */
const opinionBlocks = ({ input, texts }: SectionContext): readonly Block[] => {
  const { opinions } = input;
  if (opinions === undefined) return [];
  return [
    { kind: "paragraph", text: texts.opinionHeading, tone: "strong" },
    { kind: "paragraph", text: texts.opinionIntro },
    opinions.items.length === 0
      ? { kind: "paragraph", text: texts.noOpinion }
      : { kind: "list", items: opinions.items.map(({ words, figures }) => texts.opinion(words, figures)) },
    ...(opinions.not_looked_at.length === 0
      ? []
      : [{ kind: "paragraph", text: texts.notLookedAt(opinions.not_looked_at), tone: "small" } as const]),
  ];
};

/** Tests that explain the unit, attached when asked for: information, and no part of the verdict. */
export const furtherTests: SectionBuilder = (context) => {
  const { input, texts, print } = context;
  const tests = input.further ?? [];
  if (tests.length === 0 && input.opinions === undefined) return null;
  return body("further-tests", texts.furtherHeading, [
    { kind: "paragraph", text: texts.furtherIntro },
    ...tests.flatMap((test): readonly Block[] => [
      { kind: "paragraph", text: texts.furtherTest(test.title, print.date(test.day), test.run_id), tone: "strong" },
      ...(test.incomplete === null
        ? []
        : [{ kind: "paragraph", text: texts.furtherIncomplete(test.incomplete) } as const]),
      { kind: "list", items: test.findings.map((finding) => texts.finding(finding)) },
      ...test.drawings.map((drawing) => ({ kind: "chart", chart: furtherChart(context, test, drawing) }) as const),
    ]),
    ...opinionBlocks(context),
  ]);
};
