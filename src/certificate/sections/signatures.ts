import { front, type SectionBuilder } from "./section-context.ts";

/** Who measured and who authorised are two fields, even when one person is both. */
export const signatures: SectionBuilder = ({ input, texts, print }) => {
  const { authorisation, record, dates } = input;
  return front("signatures", null, [
    {
      kind: "signatures",
      people: [
        {
          role: texts.measuredBy,
          name: `${record.header.operator}, ${texts.operatorRole}`,
          detail: texts.onDay(print.date(dates.ended)),
        },
        {
          role: texts.authorisedBy,
          name: authorisation === undefined ? texts.notAuthorised : `${authorisation.name}, ${authorisation.role}`,
          detail: authorisation === undefined ? "" : texts.onDay(print.date(dates.issued)),
        },
      ],
    },
  ]);
};
