import type { FigureId } from "../../analysis/analysis.ts";

/** German names of the figures; a figure without one keeps its English name. */
export const figureNamesDe: Partial<Record<FigureId, string>> = {
  "zero-error": "Nullpunktabweichung",
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
  "measured-accuracy-positive":
    "größte positive Abweichung eines einzelnen Werts, beide Richtungen; 0, wenn keine positiv ist",
  "measured-accuracy-negative":
    "größte negative Abweichung eines einzelnen Werts, beide Richtungen; 0, wenn keine negativ ist",
};
