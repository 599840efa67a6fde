import { failed, look, passed } from "./check.ts";

/** Every reference has a certificate that still holds on the day of the run. */
export const referencesInDate = look("references-in-date", ({ context }) => {
  const { references, today } = context.request.preflight;
  const bad = references.flatMap(({ name, certificate, due }) => {
    if (certificate === null || due === null) return [`${name} has no certificate in the bench file`];
    return due < today ? [`${name}: certificate ${certificate} was due on ${due}, today is ${today}`] : [];
  });
  return bad.length === 0
    ? passed(references.map((r) => `${r.name}: ${r.certificate}, due ${r.due}`).join("; ") || "no references named")
    : failed(
        bad.join("; "),
        "Results would not be traceable.",
        "Have the reference calibrated and enter its certificate in the bench file.",
      );
});
