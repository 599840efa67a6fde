import { front, type SectionBuilder } from "./section-context.ts";

/** What this certificate changes of an earlier one: said first, because the reader may hold both. */
export const replaces: SectionBuilder = ({ input, texts }) => {
  const { replaces: earlier } = input;
  if (earlier === undefined) return null;
  return front("replaces", texts.replacesHeading[earlier.kind](earlier.number), [
    {
      kind: "list",
      items: [
        texts.replacesReason(earlier.reason),
        ...earlier.changes.map((c) => texts.change(c.what, c.was, c.is)),
        earlier.kind === "amended" ? texts.replacesRest : texts.replacesResults,
        texts.replacesDigest(earlier.sha256),
      ],
    },
  ]);
};
