import { failed, look, passed } from "./check.ts";

/** A bench is either real or simulated as a whole; half of each would give numbers that mean nothing. */
export const simulatedMark = look("simulated-mark", ({ instruments }) => {
  const known = instruments.flatMap((i) => (i.identity.ok ? [{ name: i.name, is: i.identity.value.simulated }] : []));
  const simulated = known.filter((i) => i.is).map((i) => i.name);
  if (simulated.length === 0) return passed("no instrument says that it is simulated");
  return simulated.length === known.length
    ? passed("SIMULATED: every instrument says so, and the whole record is marked for ever")
    : failed(
        `SIMULATED: ${simulated.join(", ")}; the other instruments are real`,
        "Real and simulated readings in one run mean nothing together.",
        "Use a bench file that is real throughout, or simulated throughout.",
      );
});
