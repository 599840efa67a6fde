import type { Act } from "../certificate-input.ts";
import { front, type SectionBuilder, type SectionContext } from "./section-context.ts";

/** "on 5 March 2031, 08:55 UTC": name, moment and meaning of a signature stand together (21 CFR 11.50). */
const moment = ({ texts, print }: SectionContext, utc: string | undefined): string =>
  utc === undefined ? "" : texts.atInstant(print.date(utc.slice(0, 10)), utc.slice(11, 16));

const nameAndRole = ({ name, role }: Act): string => (role === "" ? name : `${name}, ${role}`);

/** Who measured, who reviewed and who authorised are fields of their own, even when one person is more than one. */
export const signatures: SectionBuilder = (context) => {
  const { authorisation, review, record } = context.input;
  const { texts } = context;
  return front("signatures", null, [
    {
      kind: "signatures",
      people: [
        {
          role: texts.measuredBy,
          name: `${record.header.operator}, ${texts.operatorRole}`,
          detail: moment(context, record.last.utc),
        },
        ...(review === undefined
          ? []
          : [{ role: texts.reviewedBy, name: nameAndRole(review), detail: moment(context, review.utc) }]),
        {
          role: texts.authorisedBy,
          name: authorisation === undefined ? texts.notAuthorised : nameAndRole(authorisation),
          detail: moment(context, authorisation?.utc),
        },
      ],
    },
  ]);
};
