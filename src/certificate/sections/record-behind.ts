import { body, type SectionBuilder } from "./section-context.ts";

/** Where a file lay on its machine is nobody's business; its digest tells which one it was. */
const baseName = (path: string): string => path.split(/[\\/]/).at(-1) ?? path;

/** What ties the paper to the record: run, software, files as they were used. */
export const recordBehind: SectionBuilder = ({ input, texts }) => {
  const { header, last, event_count } = input.record;
  const time = (utc: string) => `${utc.slice(0, 19).replace("T", " ")} UTC`;
  return body("record-behind", texts.recordHeading, [
    {
      kind: "facts",
      groups: [
        {
          heading: texts.runAndSoftware,
          facts: [
            { label: texts.run, value: header.run_id },
            { label: texts.software, value: texts.softwareText(header.software_version) },
            { label: texts.station, value: header.station },
            { label: texts.agreedRule, value: header.decision_rule },
          ],
        },
        {
          heading: texts.entries,
          facts: [
            { label: texts.began, value: time(header.utc) },
            { label: texts.ended, value: time(last.utc) },
            { label: texts.entries, value: String(event_count) },
          ],
        },
      ],
    },
    ...(input.recordHead === undefined
      ? []
      : [
          {
            kind: "facts" as const,
            groups: [
              { heading: texts.recordHeadHeading, facts: [{ label: texts.recordHead, value: input.recordHead }] },
            ],
          },
        ]),
    {
      kind: "table",
      caption: texts.filesCaption,
      columns: [
        { title: texts.fileRole, unit: null, align: "left", weight: 13 },
        { title: texts.fileName, unit: null, align: "left", weight: 27 },
        { title: texts.sha, unit: null, align: "left", weight: 60 },
      ],
      rows: header.files.map((f) => ({ cells: [texts.fileRoles[f.role], baseName(f.name), f.sha256] })),
    },
  ]);
};
