import { roundToPlace, roundUncertainty } from "../../uncertainty/rounding.ts";
import type { Block } from "../block.ts";
import { givenText } from "../given-text.ts";
import { body, type SectionBuilder, type SectionContext, type ShownStage } from "./section-context.ts";

const budget = (context: SectionContext, shown: ShownStage): Block[] => {
  const { texts, print } = context;
  const largest = shown.result.uncertainties.reduce<ShownStage["result"]["uncertainties"][number] | null>(
    (best, u) => (best === null || u.U_kPa > best.U_kPa ? u : best),
    null,
  );
  if (largest === null) return [{ kind: "paragraph", text: texts.noUncertainty, tone: "strong" }];
  const u2 = largest.contributions.reduce((sum, c) => sum + c.u_kPa ** 2, 0);
  const dof = Number.isFinite(largest.degrees_of_freedom)
    ? print.number(roundToPlace(largest.degrees_of_freedom, 0))
    : texts.infinite;
  const rounded = roundUncertainty(largest.U_kPa);
  return [
    {
      kind: "table",
      caption: texts.budgetCaption(String(largest.ordinal), shown.title),
      columns: [
        { title: texts.contribution, unit: null, align: "left", weight: 30 },
        { title: texts.given, unit: null, align: "left", weight: 22 },
        { title: texts.kind, unit: null, align: "centre", weight: 7 },
        { title: texts.distribution, unit: null, align: "left", weight: 13 },
        { title: texts.standardU, unit: { inColumn: texts.unitTitle }, align: "decimal", weight: 10 },
        { title: texts.unitTitle, unit: null, align: "left", weight: 8 },
        { title: texts.sensitivity, unit: `kPa ${texts.perUnit}`, align: "decimal", weight: 13 },
        { title: texts.standardU, unit: "kPa", align: "decimal", weight: 11 },
        { title: texts.share, unit: "%", align: "decimal", weight: 9 },
      ],
      rows: largest.contributions.map((c) => ({
        cells: [
          texts.contributionName(c.id, c.name),
          givenText(c.given, print),
          c.evaluation,
          texts.distributions[c.distribution],
          print.two(c.u_input),
          print.unit(c.unit),
          print.two(c.sensitivity),
          print.two(c.u_kPa),
          u2 > 0 ? print.number(roundToPlace((100 * c.u_kPa ** 2) / u2, 0)) : "–",
        ],
      })),
      notes: [
        texts.combined(
          print.quantity(roundToPlace(largest.u_kPa, rounded.place - 1), "kPa"),
          dof,
          print.number(roundToPlace(largest.k, -2)),
          print.quantity(rounded.text, "kPa"),
        ),
        largest.k_text,
        ...(largest.contributions.some((c) => c.common !== undefined) ? [texts.commonCause] : []),
        ...(largest.floor_kPa === undefined
          ? []
          : [texts.raisedToFloor(print.quantity(roundUncertainty(largest.floor_kPa).text, "kPa"))]),
      ],
    },
  ];
};

/** Sentences that hold for every stage stand once. */
const remarksOf = ({ shown, texts }: SectionContext): readonly string[] => [
  ...new Set(shown.flatMap((s) => s.result.uncertainty_remarks ?? []).map(texts.uncertaintyRemark)),
];

/** One budget is shown in full: that of the point with the largest U in the last stage. U itself stands at every point. */
export const uncertainty: SectionBuilder = (context) => {
  const shown = context.shown.at(-1);
  if (shown === undefined) return null;
  const { texts, print } = context;
  const tur = context.shown
    .filter((s) => s.result.verdict.tur !== null)
    .map((s) => texts.tur(s.title, print.number(roundToPlace(s.result.verdict.tur ?? 0, -1))));
  return body("uncertainty", texts.uncertaintyHeading, [
    ...budget(context, shown),
    { kind: "list", items: [texts.notIncluded, ...remarksOf(context), ...tur] },
  ]);
};
