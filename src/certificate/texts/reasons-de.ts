import { nominalText, type VerdictReason } from "../../decision/verdict-reason.ts";

/** Zahl mit Dezimalkomma; zwischen Zahl und Einheit wird nicht getrennt. */
const figure = (text: string): string => text.replace(".", ",").replaceAll("-", "\u2212").replaceAll(" ", "\u00A0");

const band = ({ error, limit, U }: VerdictReason): string =>
  `Abweichung ${figure(error)}, Grenze ${figure(limit)}, U ${figure(U)}`;

const WHY_DE: Readonly<Record<VerdictReason["kind"], (r: VerdictReason) => string>> = {
  "guard-band": (r) => `innerhalb der Grenze, aber im Schutzband: ${band(r)}`,
  "narrowly-outside": (r) => `um weniger als das Schutzband außerhalb der Grenze: ${band(r)}`,
  outside: (r) => `außerhalb der Grenze: ${band(r)}`,
  "unknown-u": () => "keine Aussage: die Messunsicherheit ist nicht bekannt",
  "at-zero": (r) =>
    `keine Aussage: der Ausgang stand drucklos, die Abweichung von ${figure(r.error)} ist also nicht die ganze`,
  "at-supply": (r) =>
    `keine Aussage: der Ausgang stand an der Zuluft an, die Abweichung von ${figure(r.error)} ist also nicht die ganze`,
  "no-zone": (r) =>
    `keine Aussage: U = ${figure(r.U)} lässt innerhalb der Grenze von ${figure(r.limit)} keinen Bereich für eine Annahme`,
  "no-zone-and-beyond": (r) =>
    `keine Aussage: U = ${figure(r.U)} lässt innerhalb der Grenze von ${figure(r.limit)} keinen Bereich für eine Annahme; die Abweichung von ${figure(r.error)} liegt gleichwohl um mehr als U außerhalb`,
};

/** Why a point did not pass, in German. */
export const verdictReasonDe = (reason: VerdictReason): string =>
  `Punkt ${reason.ordinal} (${figure(nominalText(reason.nominal_percent))}\u00A0% ${reason.direction === "rising" ? "steigend" : "fallend"}, Zyklus ${reason.cycle}): ${WHY_DE[reason.kind](reason)}`;
