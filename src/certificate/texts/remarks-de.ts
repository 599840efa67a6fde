import type { StageRemark } from "../../analysis/stage-remark.ts";
import type { NotStated, UncertaintyRemark } from "../../uncertainty/uncertainty-remark.ts";
import type { Direction } from "../../vocabulary/reading.ts";

const number = (value: number): string =>
  String(Number(value.toFixed(4)))
    .replace(".", ",")
    .replace("-", "\u2212");
const percentList = (percents: readonly number[]): string =>
  `${percents.map(number).join("; ")}\u00A0% der Ausgangsspanne`;

const DIRECTION: Readonly<Record<Direction, string>> = { rising: "steigende", falling: "fallende" };

const ELSEWHERE = "Nullpunkt- und Spannenabweichung, Steigung und Linearität stammen aus den übrigen Punkten.";

/** Was die Kenngrößen nicht sagen können. */
export const stageRemarkDe = (remark: StageRemark): string => {
  switch (remark.code) {
    case "at-zero":
      return remark.lift_off_kPa === null
        ? `Bei ${percentList(remark.percents)} stand der Ausgang auf Druck null und kann nicht weiter fallen: Die angestrebte Abweichung ist die abgelesene oder eine negativere; um wie viel, bleibt verborgen. ${ELSEWHERE}`
        : `Bei ${percentList(remark.percents)} stand der Ausgang auf Druck null: Die Abweichung dort, ${remark.lift_off_kPa.toFixed(3).replace(".", ",").replace("-", "\u2212")}\u00A0kPa, folgt aus dem Abheben. ${ELSEWHERE}`;
    case "at-supply":
      return `Bei ${percentList(remark.percents)} stand der Ausgang auf dem Versorgungsdruck und kann nicht weiter steigen: Die angestrebte Abweichung ist die abgelesene oder eine positivere; um wie viel, bleibt verborgen. ${ELSEWHERE}`;
    case "hidden-at-stop":
      return "Hysterese und Wiederholbarkeit sind an einem Punkt, der an einem Anschlag steht, nicht zu sehen.";
    case "flat-end":
      return `Zwischen ${number(remark.from_percent)} und ${number(remark.to_percent)}\u00A0% der Ausgangsspanne bewegte sich der Ausgang kaum: Er kann an einem Anschlag stehen, der nicht gemessen wurde; die Abweichung am Ende wäre dann verborgen.`;
    case "one-direction":
      return `Es gibt nur ${DIRECTION[remark.direction]} Messwerte: Hysterese und Totband sind in den Kenngrößen nicht enthalten, und die Mittelwerte gelten für diese Richtung allein.`;
    case "readings-missing":
      return `Bei ${percentList([remark.percent])} liegen ${remark.there} von ${remark.of} ${DIRECTION[remark.direction]}n Messwerten vor; Mittelwerte und Spannen an diesem Punkt beruhen auf diesen.`;
    case "too-few-for-line":
      return `Für eine Gerade ${remark.points === 1 ? "taugt nur 1 Punkt" : `taugen nur ${remark.points} Punkte`}; Linearität braucht mindestens 3 und wird nicht angegeben.`;
    case "one-cycle":
      return "Nur ein Zyklus: Wiederholbarkeit kann nicht angegeben werden.";
    case "as-commanded":
      return remark.readings === remark.of
        ? "Der Eingangsstrom ist der an der Quelle eingestellte; kein Messgerät hat ihn gelesen."
        : `Bei ${remark.readings} von ${remark.of} Messwerten ist der Eingangsstrom der an der Quelle eingestellte.`;
    case "root-foot":
      return "Am Fußpunkt einer radizierenden Kennlinie ist die Steigung unbegrenzt: Eine kleine Abweichung des Eingangsstroms ist dort eine große des Ausgangs.";
  }
};

const missing = ({ what, of }: NotStated): string => {
  switch (what) {
    case "drift":
      return `Drift von ${of} seit der Kalibrierung`;
    case "temperature":
      return `Temperatureinfluss auf ${of}`;
    case "zero":
      return `Nullpunkt von ${of} während der Messung`;
    case "height":
      return "Höhe zwischen Manometer und Prüfling";
  }
};

/** Was in U nicht enthalten ist. */
export const uncertaintyRemarkDe = (remark: UncertaintyRemark): string => {
  switch (remark.code) {
    case "not-stated":
      return `Für diesen Prüfstand nicht angegeben und darum nicht in U: ${remark.missing.map(missing).join("; ")}.`;
    case "one-cycle":
      return "Jeder Punkt wurde nur in einem Zyklus gemessen; die Wiederholbarkeit von Zyklus zu Zyklus ist daher nicht in U.";
    case "no-meter":
      return "Kein unabhängiges Messgerät hat den Strom gelesen: Er ist das, was die Quelle von sich sagt.";
  }
};
