import type { FigureId } from "../../analysis/analysis.ts";

/** German names of the figures; a figure without one keeps its English name. */
export const figureNamesDe: Partial<Record<FigureId, string>> = {
  "zero-error": "Nullpunktabweichung",
  "zero-error-lift-off": "Nullpunktabweichung aus dem Abhebepunkt",
  "zero-error-lift-off-current": "Nullpunktabweichung aus dem Abhebepunkt, als Strom",
  "span-error": "Spannenabweichung",
  "gain-error": "Steigungsabweichung",
  sensitivity: "Steigung",
  "measured-accuracy-positive": "Größte positive Abweichung",
  "measured-accuracy-negative": "Größte negative Abweichung",
  inaccuracy: "Ungenauigkeit",
  "maximum-measured-error": "Größte mittlere Abweichung",
  "hysteresis-plus-dead-band": "Hysterese mit Totband",
  "hysteresis-mean": "Hysterese mit Totband, Mittel der Zyklen",
  hysteresis: "Hysterese",
  "zero-deviation": "Nullpunktunterschied eines Zyklus",
  "dead-band": "Totband",
  "linearity-independent": "Linearität, unabhängig",
  "linearity-terminal": "Linearität, Grenzpunkte",
  "linearity-zero-based": "Linearität, Anfangspunkt",
  "deviation-least-squares": "Abweichung von der Ausgleichsgeraden",
  repeatability: "Wiederholbarkeit",
  "return-to-zero": "Nullpunktrückkehr",
  "static-error-band": "Statisches Fehlerband",
};

/** German definitions, short; a figure without one keeps the English words of the analysis. */
export const figureDefinitionsDe: Partial<Record<FigureId, string>> = {
  "zero-error": "Abweichung bei 0\u00A0% der Ausgangsspanne, Mittel der steigenden und fallenden Werte aller Zyklen",
  "span-error": "Abweichung bei 100\u00A0% minus Abweichung bei 0\u00A0% der Ausgangsspanne, Mittel beider Richtungen",
  "gain-error":
    "Steigung der Ausgleichsgeraden durch die Punkte (Mittel der steigenden und fallenden Werte aller Zyklen) geteilt durch die Sollsteigung, minus 1, in Prozent der Sollsteigung",
  sensitivity:
    "Steigung der Ausgleichsgeraden des Ausgangs über dem Eingangsstrom (Mittel der steigenden und fallenden Werte aller Zyklen)",
  "measured-accuracy-positive":
    "größte positive Abweichung eines einzelnen Werts, beide Richtungen; 0, wenn keine positiv ist",
  "measured-accuracy-negative":
    "größte negative Abweichung eines einzelnen Werts, beide Richtungen; 0, wenn keine negativ ist",
  inaccuracy:
    "Abweichung des einzelnen Werts, der am weitesten vom Ideal liegt, mit Vorzeichen, alle Zyklen und beide Richtungen",
  "maximum-measured-error":
    "dem Betrag nach größte mittlere Abweichung; gemittelt an jedem Punkt über die Zyklen, steigende und fallende Werte getrennt, mit Vorzeichen",
  "return-to-zero": "letzter fallender Wert bei 0\u00A0% der Ausgangsspanne minus erster steigender Wert dort",
  "static-error-band":
    "größte Abweichung eines einzelnen Werts, steigend oder fallend, von der Geraden, die am idealen Anfangspunkt beginnt und diese Abweichung so klein wie möglich macht",
  "dead-band":
    "Eingang, bei dem sich der Ausgang eben bewegt hatte, minus Eingang, bei dem er sich nach dem Umkehren eben wieder bewegt hatte, ohne Vorzeichen; der größte aller Versuche, in Prozent der Eingangsspanne",
  "hysteresis-mean":
    "an jedem Punkt das Mittel der Unterschiede zwischen fallendem und steigendem Wert über die Zyklen, ohne Vorzeichen; der größte davon",
  "zero-deviation":
    "Wert bei 0\u00A0% der Ausgangsspanne am Ende eines Zyklus minus Wert dort an seinem Anfang, ohne Vorzeichen; der größte aller Zyklen, in Prozent der Ausgangsspanne",
  hysteresis: "Hysterese mit Totband minus dem Totband aus eigenem Versuch; nicht kleiner als 0",
  "linearity-independent":
    "größte Abweichung des Mittels der steigenden und fallenden Werte aller Zyklen von der Geraden, die so liegt, dass diese Abweichung am kleinsten ist, in Prozent der Ausgangsspanne",
  "linearity-terminal":
    "größte Abweichung des Mittels der steigenden und fallenden Werte aller Zyklen von der Geraden durch den untersten und den obersten Punkt dieses Mittels, in Prozent der Ausgangsspanne",
  "linearity-zero-based":
    "größte Abweichung des Mittels der steigenden und fallenden Werte aller Zyklen von der Geraden, die am Punkt des kleinsten Ausgangs beginnt und diese Abweichung so klein wie möglich macht, in Prozent der Ausgangsspanne",
  "deviation-least-squares":
    "größte Abweichung des Mittels der steigenden und fallenden Werte aller Zyklen von der Ausgleichsgeraden, jeder Punkt einfach gezählt (keine der drei Geraden darüber), in Prozent der Ausgangsspanne",
};
