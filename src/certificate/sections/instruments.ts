import { body, type SectionBuilder } from "./section-context.ts";

export const instruments: SectionBuilder = ({ input, texts }) => {
  if (input.record.instruments.length === 0) return null;
  return body("instruments", texts.instrumentsHeading, [
    {
      kind: "table",
      caption: texts.instrumentsCaption,
      columns: [
        { title: texts.role, unit: null, align: "left", weight: 18 },
        { title: texts.name, unit: null, align: "left", weight: 15 },
        { title: texts.instrument, unit: null, align: "left", weight: 35 },
        { title: texts.serial, unit: null, align: "left", weight: 18 },
        { title: texts.says, unit: null, align: "left", weight: 14 },
      ],
      rows: input.record.instruments.map((i) => ({
        cells: [
          texts.roles[i.role] ?? i.role,
          i.name,
          `${i.maker} ${i.model}`,
          i.serial_number,
          i.simulated ? texts.isSimulated : texts.isReal,
        ],
      })),
    },
  ]);
};
