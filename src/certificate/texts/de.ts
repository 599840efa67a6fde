import type { DecisionRule } from "../../decision/verdict.ts";
import type { Texts } from "./en.ts";
import { figureDefinitionsDe, figureNamesDe } from "./figures-de.ts";
import { verdictReasonDe } from "./reasons-de.ts";
import { stageRemarkDe, uncertaintyRemarkDe } from "./remarks-de.ts";

/** Axes and curves of the further tests; what is not here keeps the words of the evaluation. */
const FURTHER_DE: Readonly<Record<string, string>> = {
  "time, s": "Zeit, s",
  "output, % of span": "Ausgang, % der Spanne",
  "input, % of span": "Eingang, % der Spanne",
  "error, % of span": "Abweichung, % der Spanne",
  "supply, kPa": "Zuluft, kPa",
  readings: "Messwerte",
  "volume and restriction": "Volumen und Drossel",
};

const EQUALS = "\u00A0=\u00A0";
const percent = (share: number): string => `${String(Number((100 * share).toPrecision(6))).replace(".", ",")}\u00A0%`;
const factor = (share: number): string => (share === 1 ? "U" : `${String(share).replace(".", ",")}\u00A0U`);

const ruleText = (rule: DecisionRule): string => {
  switch (rule.rule) {
    case "simple":
      return "einfache Annahme (ILAC-G8:09/2019, 4.2.1): Ein Punkt ist bestanden, wenn seine Abweichung innerhalb der Grenze liegt. An der Grenze wird mit einer Wahrscheinlichkeit bis 50\u00A0% zu Unrecht angenommen.";
    case "guarded":
      return `Annahme mit Schutzband ${factor(rule.share_of_U)} (ILAC-G8:09/2019, 4.2.2): Ein Punkt ist bestanden, wenn seine Abweichung innerhalb der um das Schutzband verkleinerten Grenze liegt, sonst nicht bestanden. Eine Abweichung genau auf der Grenze liegt innerhalb (JCGM 106:2012).`;
    case "four-words":
      return `vier Aussagen mit Schutzband ${factor(rule.share_of_U)} (ILAC-G8:09/2019, 4.2.3): bestanden, bedingt bestanden, bedingt nicht bestanden, nicht bestanden. Eine Abweichung genau auf der Grenze liegt innerhalb (JCGM 106:2012).`;
    case "target-risk":
      return `Annahme, solange die Wahrscheinlichkeit einer falschen Annahme an jedem Punkt höchstens ${percent(rule.risk)} beträgt (JCGM 106:2012).`;
  }
};

const points = (ordinals: readonly string[]): string =>
  `${ordinals.length === 1 && !ordinals[0]?.includes("–") ? "Punkt" : "Punkte"} ${ordinals.join(", ")}`;

/** Sätze des Scheins auf Deutsch. What the record, the analysis and the budget said in English is printed as it was said. */
export const de: Texts = {
  languages: { en: "englische", de: "deutsche" },
  title: "Kalibrierschein",
  specimenTitle: "Muster, kein Kalibrierschein",
  subtitle: "Strom-Druck-Umformer",
  simulatedWord: "SIMULATED",
  simulatedHeader: "SIMULATED – simuliert, kein Kalibrierschein",
  simulatedSentence:
    "SIMULATED: Hinter diesen Zahlen stand kein wirklicher Umformer, Druck oder Strom. Sie beweisen nichts.",
  draftWord: "ENTWURF",
  draftHeader: "ENTWURF – nicht freigegeben",
  draftSentence: (missing) =>
    `Entwurf, nicht freigegeben, Nummer vorläufig.${missing.length === 0 ? "" : ` Es fehlt noch: ${missing.join("; ")}.`}`,
  numberLabel: "Nummer des Scheins",
  logoAlternative: (laboratory) => `Logo: ${laboratory}`,
  pageOf: "Seite {n} von {total}",
  endMark: (number) => `Ende des Scheins ${number}`,
  notStated: "keine Angabe",
  notRecorded: "nicht aufgezeichnet",
  statedByCustomerMark: "¹",
  statedByCustomerNote: "¹ Angabe des Auftraggebers, vom Labor nicht geprüft.",
  continued: "Fortsetzung",
  to: "bis",

  asFound: "Vorgefunden",
  asLeft: "Hinterlassen",
  asFoundAndLeft: "Vorgefunden und hinterlassen",
  asFoundAndLeftNote: "Es wurde keine Schraube gedreht: Der vorgefundene Zustand ist der hinterlassene.",
  words: {
    pass: "BESTANDEN",
    "conditional-pass": "BEDINGT BESTANDEN",
    "conditional-fail": "BEDINGT NICHT BESTANDEN",
    fail: "NICHT BESTANDEN",
    "no-statement": "KEINE AUSSAGE",
  },
  pointWords: {
    pass: "✓\u00A0best.",
    "conditional-pass": "△\u00A0bed.\u00A0best.",
    "conditional-fail": "▼\u00A0bed.\u00A0NICHT",
    fail: "✗\u00A0NICHT",
    "no-statement": "–\u00A0keine",
  },
  greatestError: (error, share, at, direction) =>
    `Größte Abweichung ${error} (${share} der Spanne) bei ${at}, ${direction}`,
  uncertaintyOfIt: (U, k) => `mit U${EQUALS}${U} (k${EQUALS}${k})`,
  limitLine: (limit, share) => `Grenze ±${limit} (${share})`,
  pointsOutside: (ordinals) => `Nicht bestanden: ${points(ordinals)}`,
  pointsWithoutReading: (ordinals) => `Ohne Messwert: ${points(ordinals)}`,
  noUncertainty: "Ohne Messunsicherheit gibt es keine Aussage.",
  withoutStatement: (ordinals) => `Keine Aussage: ${points(ordinals)}; der Grund steht unter der Tabelle.`,
  noAsFound: (reason) => `Keine vorgefundenen Werte: ${reason}`,
  noAsFoundWithoutReason: "Das Protokoll enthält keine abgeschlossenen Messungen vor dem Abgleich.",
  noAsLeft:
    "Keine hinterlassenen Werte: Der Umformer wurde abgeglichen und danach nicht fertig gemessen. Seine jetzigen Abweichungen sind nicht bekannt.",

  itemHeading: "Gegenstand",
  maker: "Hersteller",
  model: "Typ",
  serialNumber: "Seriennummer",
  tag: "Messstelle",
  signalRange: "Eingangssignal",
  outputRange: "Ausgangsbereich",
  supply: "Zuluft, Nennwert",
  action: "Wirksinn",
  actions: { direct: "steigend: mehr Strom, mehr Druck", reverse: "fallend: mehr Strom, weniger Druck" },
  characteristics: { linear: "linear", "square-root": "radizierend" },
  tolerance: "Größte erlaubte Abweichung",
  toleranceFrom: (origin) => `festgelegt durch: ${origin}`,
  condition: "Zustand bei Eingang",
  position: "Lage",
  positions: { upright: "aufrecht, wie im Betrieb", horizontal: "liegend, wie im Betrieb", any: "jede Lage erlaubt" },
  modes: { gauge: "Überdruck", absolute: "Absolutdruck", differential: "Differenzdruck" },
  ofSpan: "% der Spanne",
  ofReading: "% vom Messwert",
  ofInputSpan: "% der Eingangsspanne",
  ofIdealSlope: "% der Sollsteigung",

  workHeading: "Auftraggeber und Arbeit",
  customer: "Auftraggeber",
  contact: "Anschrift",
  received: "Eingang",
  worked: "Kalibriert",
  issued: "Ausgestellt",
  place: "Ort der Arbeit",
  atLaboratory: "im Labor, Anschrift oben",
  method: "Verfahren",
  methodText: (id, revision) => `${id}, Ausgabe ${revision}`,
  measuredBy: "Gemessen von",
  reviewedBy: "Geprüft von",
  authorisedBy: "Freigegeben von",
  notAuthorised: "noch nicht freigegeben",
  atInstant: (day, time) => `am ${day}, ${time} UTC`,
  operatorRole: "Techniker",
  nextDue: "Nächste Kalibrierung, vereinbart",
  agreement: (day, text) => `${day} (vereinbart: ${text})`,

  traceHeading: "Rückführung",
  traceCaption:
    "Die Ergebnisse sind über die Scheine dieser Normale auf das SI rückgeführt; jeder war am Tag gültig, wenn nicht anders vermerkt",
  noTrace: "Zu diesem Lauf liegt kein Schein eines Normals vor. Diese Ergebnisse sind nicht rückgeführt.",
  role: "Verwendet für",
  roles: {
    source: "Strom, vorgegeben",
    gauge: "Ausgangsdruck",
    "supply-gauge": "Zuluftdruck",
    "current-meter": "Strom, gemessen",
    ambient: "Raumtemperatur",
    humidity: "relative Luftfeuchte im Raum",
    barometer: "Luftdruck im Raum",
  },
  instrument: "Gerät",
  serial: "Serien-Nr.",
  certificate: "Schein",
  calibratedBy: "Kalibriert durch",
  calibratedOn: "Kalibriert",
  due: "Fällig",
  statedU: "U laut Schein",
  uWithK: (U, k) => `${U} (k${EQUALS}${k})`,
  overdue: "ÜBERFÄLLIG",
  routes: {
    "national-institute": "nationales Institut",
    "accredited-laboratory": "akkreditiertes Labor",
    "other-with-evidence": "Kompetenz uns nachgewiesen",
  },

  statementsHeading: "Bitte beachten",
  onlyThisItemName: "Nur dieser Gegenstand",
  notInPartName: "Nur als Ganzes",
  onlyThisItem:
    "Die Ergebnisse gelten nur für den oben genannten Gegenstand, in dem Zustand und unter den Bedingungen, die hier stehen.",
  notInPart: "Bitte dieses Dokument nicht ohne Erlaubnis des Labors auszugsweise vervielfältigen.",
  coverage: (k, p) =>
    `U ist die erweiterte Messunsicherheit: die Standardunsicherheit, multipliziert mit dem Erweiterungsfaktor k${EQUALS}${k}. Der Wert liegt mit einer Wahrscheinlichkeit von etwa ${p} innerhalb von ±U um das Ergebnis.`,
  coverageVaries: (p) =>
    `U ist die erweiterte Messunsicherheit: die Standardunsicherheit, multipliziert mit dem an jedem Punkt angegebenen Erweiterungsfaktor k. Der Wert liegt mit einer Wahrscheinlichkeit von etwa ${p} innerhalb von ±U um das Ergebnis.`,
  decisionRule: (own) => `Entscheidungsregel, vor der ersten Messung vereinbart: ${own}`,
  ruleText: (rule) => ruleText(rule),
  simpleRisk:
    "Bei einfacher Annahme wird ein Ergebnis genau auf der Grenze mit einer Wahrscheinlichkeit bis 50\u00A0% zu Unrecht angenommen.",
  judgedUnrounded: "Entschieden wurde mit ungerundeten Werten.",
  sameQuantity: (slope) =>
    `Abweichung und Unsicherheit sind beide als Ausgangsdruck angegeben. Ströme wurden mit der Sollsteigung ${slope} umgerechnet.`,
  sameQuantityCurve:
    "Abweichung und Unsicherheit sind beide als Ausgangsdruck angegeben. Ströme wurden an jedem Punkt mit der Steigung der Sollkennlinie umgerechnet.",
  binding: (language) => `Dieser Schein besteht in zwei Sprachen; verbindlich ist die ${language} Fassung.`,

  inspectionTitle: "Prüfbericht",
  inspectionSubtitle: (number) => `Strom-Druck-Umformer, Kurzform zum Kalibrierschein Nr. ${number}`,
  inspectionRest: (n) => `${n} weitere Messwerte stehen im vollständigen Kalibrierschein.`,
  inspectionNote: (number) =>
    `Kurzform, wie mit dem Auftraggeber vereinbart. Rückführung, Bedingungen, Unsicherheitsbudget und Abweichungen stehen im vollständigen Kalibrierschein Nr. ${number}, der jederzeit zu haben ist.`,

  replacesHeading: {
    amended: (number) => `Änderung zum Kalibrierschein Nr. ${number}`,
    substituted: (number) => `Ersetzt den Kalibrierschein Nr. ${number}`,
  },
  replacesReason: (reason) => `Grund: ${reason}.`,
  replacesRest:
    "Was hier nicht genannt ist, blieb unverändert. Der frühere Schein gilt nicht mehr; bitte kennzeichnen oder zurückgeben.",
  replacesResults: "Die Ergebnisse sind neu. Der frühere Schein gilt nicht mehr; bitte kennzeichnen oder zurückgeben.",
  replacesDigest: (sha256) => `SHA-256 des früheren Dokuments: ${sha256}`,
  change: (what, was, is) => `${what}: aus „${was}“ wurde „${is}“.`,

  figuresHeading: "Kenngrößen aus den Messwerten",
  results: (stage) => `Ergebnisse: ${stage.toLowerCase()}`,
  resultsCaption: (mode) => `Abweichung = Ausgang − Soll beim anliegenden Strom; Drücke sind angegeben als ${mode}`,
  resultsInUnit: (unit) => `Dieselben Ergebnisse in ${unit}`,
  factor: (unit, value) => `Umrechnung: 1\u00A0${unit}${EQUALS}${value}.`,
  point: "Nr.",
  cycle: "Zyklus",
  nominalCurrent: "Strom, nenn",
  appliedCurrent: "Strom, anliegend",
  direction: "Richtung",
  directions: { rising: "▲\u00A0steigend", falling: "▽\u00A0fallend" },
  directionWords: { rising: "steigend", falling: "fallend" },
  ideal: "Soll",
  output: "Ausgang",
  error: "Abw.",
  limit: "Grenze\u00A0±",
  acceptance: "Annahme\u00A0±",
  verdict: "Aussage",
  roundingNote:
    "Jede Zahl ist für sich gerundet; Summen können deshalb um eins in der letzten Stelle abweichen. Abw. = Abweichung.",
  commandedNote:
    "Kein Messgerät las den Strom zurück: Der anliegende Strom ist der, den die Quelle als vorgegeben meldete.",
  moreDigitsNote: (ordinals) =>
    `An Punkt ${ordinals} stehen mehr Stellen: Mit weniger würden die gerundeten Zahlen eine andere Aussage nahelegen.`,
  outsideScopeNote: (ordinals) =>
    `‡ Außerhalb des Geltungsbereichs des Labors oder unter seiner kleinsten angebbaren Unsicherheit: Punkt ${ordinals}.`,
  clippedNote: (ordinals) =>
    `An Punkt ${ordinals} stand der Ausgang an einem Anschlag; die wahre Abweichung kann dort größer sein und ist verdeckt.`,
  liftOffNote: (ordinals) =>
    `An Punkt ${ordinals} stand der Ausgang bei Druck null; beurteilt ist dort die Abweichung aus dem Abhebepunkt, die bei den Kenngrößen steht.`,
  noResult: (ordinals) => `Kein Ergebnis an Punkt ${ordinals}; siehe die Abweichungen vom Verfahren.`,
  figuresCaption: "Aus den obigen Messwerten; gerundet auf die Stellen von U",
  figure: "Kenngröße",
  unitTitle: "Einheit",
  at: "Bei",
  meaning: "Bedeutung",
  figureName: (id, own) => figureNamesDe[id] ?? own,
  // The German words hold for ends that were read; where the English ones say more, they stay.
  figureDefinition: (id, own, source) =>
    `${(/continued|on the l/.test(own) ? undefined : figureDefinitionsDe[id]) ?? own} (${source})`,
  remark: (stage, text) => `${stage}: ${text}`,
  stageRemark: stageRemarkDe,
  uncertaintyRemark: uncertaintyRemarkDe,
  reason: (own) => `Wortlaut der Auswertung: ${own}`,
  verdictReason: verdictReasonDe,
  recalledNote: "° Nach der genannten Schrift, deren Wortlaut nicht vorlag.",
  moreReasons: (n) => `Ein Grund gleicher Art gilt an ${n} weiteren; die letzte Spalte nennt jede Aussage.`,

  errorChart: (stage) => `Abweichung über dem Eingang, ${stage.toLowerCase()}`,
  inputAxis: "Eingangsstrom / mA",
  errorAxis: (unit) => `Abweichung / ${unit}`,
  errorAxisPercent: "Abweichung / % der Spanne",
  limitLegend: "Grenze",
  guardLegend: "Schutzband",
  barLegend: "Balken: ±U",
  risingLegend: "steigend",
  fallingLegend: "fallend",
  errorChartAlternative: (stage, n, worst, limit) =>
    `Abweichungen von ${n} Punkten über dem Eingangsstrom, ${stage.toLowerCase()}: steigende Punkte als gefüllte Dreiecke auf durchgezogener Linie, fallende als offene Dreiecke auf gestrichelter Linie, Balken für die Unsicherheit, kräftige Linien für die Grenze ${limit}. Die größte Abweichung ist ${worst}. Die Tabelle nennt jeden Wert.`,
  hysteresisChart: (stage) => `Hysterese: fallend minus steigend, ${stage.toLowerCase()}`,
  hysteresisAxis: (unit) => `Differenz / ${unit}`,
  hysteresisAxisPercent: "Differenz / % der Spanne",
  hysteresisLegend: "Mittel der Zyklen",
  differenceLegend: "ein Zyklus",
  hysteresisAlternative: (stage, n, greatest) =>
    `Ausgang bei fallendem minus Ausgang bei steigendem Druck an ${n} Eingängen, ${stage.toLowerCase()}. Die größte Differenz ist ${greatest}.`,

  adjustmentHeading: "Abgleich",
  adjustmentOutcome: {
    "within-aim": "Nullpunkt- und Spannenschraube wurden gedreht, bis die Abweichungen innerhalb des Ziels lagen.",
    "not-needed": "Ein Abgleich war nicht nötig.",
    impossible: "Mit der Nullpunkt- und der Spannenschraube ließ sich der Umformer nicht auf seine Grenze abgleichen.",
    "given-up": "Der Abgleich wurde aufgegeben.",
  },
  adjustmentRecordSays: (why) => `Wortlaut des Protokolls: ${why}`,
  noAdjustment: "Es wurde nicht abgeglichen.",
  adjustmentUnfinished: "Der Abgleich wurde nicht beendet.",
  turnsByLiftOff:
    "Der Nullpunkt wurde am Abhebepunkt eingestellt: seine Drücke sind der unter Druck null fortgesetzte Ausgang, der Strom ist der beim Drehen gehaltene.",
  furtherHeading: "Weitere Prüfungen, zur Information",
  furtherIntro:
    "Diese Prüfungen erklären, wie sich der Gegenstand verhält. Sie gehören weder zu den Kalibrierergebnissen noch zu einer Konformitätsaussage; eine Unsicherheit ist für sie nur angegeben, wo ihre Sätze sie nennen.",
  furtherTest: (title, day, run) => `${title} (${day}, Lauf ${run})`,
  furtherIncomplete: (why) => `Die Prüfung wurde nicht beendet. Wortlaut der Auswertung: ${why}`,
  finding: (own) => `Wortlaut der Auswertung: ${own}`,
  furtherChart: (_test, drawing) => drawing,
  furtherChartAlternative: (test, drawing, x, y) => `Zeichnung der Prüfung „${test}“, ${drawing}: ${y} über ${x}.`,
  furtherAxis: (own) => FURTHER_DE[own] ?? own,
  furtherSeries: (own) => FURTHER_DE[own] ?? own,
  opinionHeading: "Meinungen und Interpretationen (ISO/IEC 17025:2017, 7.8.7)",
  opinionIntro:
    "Was folgt, ist Meinung aus den danebenstehenden Zahlen. Es ist kein Ergebnis und gehört zu keiner Konformitätsaussage; wer diesen Schein freigibt, macht sie sich zu eigen.",
  opinion: (words, figures) => `Wortlaut der Auswertung: ${words} (${figures})`,
  noOpinion:
    "Kein Fehler gefunden: der Gegenstand ist in dem, was geprüft wurde, innerhalb seiner Grenzen; anderswo im Kreis suchen.",
  notLookedAt: (names) => `Nicht geprüft, daher keine Meinung dazu (Wortlaut der Auswertung): ${names.join(", ")}.`,
  turnsCaption:
    "Drehungen der beiden Schrauben, der Reihe nach; die Werte hier dienten dem Abgleich und sind keine Ergebnisse",
  screw: "Schraube",
  screws: { zero: "Nullpunkt", span: "Spanne" },
  target: "Ziel",
  before: "Vorher",
  after: "Nachher",

  conditionsHeading: "Bedingungen während der Messungen",
  conditionsCaption: "Kleinster und größter Wert über alle Messungen",
  quantity: "Größe",
  lowest: "Kleinster",
  highest: "Größter",
  from: "Herkunft",
  ambient: "Raumtemperatur",
  humidity: "Relative Feuchte",
  airPressure: "Luftdruck",
  supplyPressure: "Zuluftdruck",
  fromRecord: "bei jeder Messung aufgezeichnet",
  fromRoom: "Raummessgeräte",
  exercised: (n) =>
    n === 0
      ? "Der Umformer wurde vor den Messungen nicht durchgefahren."
      : `Vor den Messungen wurde der Umformer über seinen Bereich gefahren; ${n} gehaltene Stellungen stehen im Protokoll.`,
  settlingRule: (rule, exact) => {
    switch (rule.rule) {
      case "detector": {
        const least = rule.least_s > 0 ? `, und nicht vor ${exact(rule.least_s, "s")}` : "";
        return `Einschwingregel: Ein Messwert wurde genommen, als nach den Ablesungen bis dahin höchstens ${exact(rule.allowed, "%")} der Spanne an Bewegung noch ausstehen konnten (verlangte Genauigkeit: ${exact(rule.limit, "%")} der Spanne)${least}.`;
      }
      case "fixed-dwell":
        return `Einschwingregel: Jeder Messwert ist das Mittel über ${exact(rule.average_s, "s")}, begonnen ${exact(rule.dwell_s, "s")} nach der letzten Änderung des Eingangs; ob der Ausgang stillstand, wurde nicht geprüft.`;
      case "band":
        return `Einschwingregel: Ein Messwert wurde genommen, als alle Ablesungen von ${exact(rule.window_s, "s")} innerhalb von ${exact(rule.band, "%")} der Spanne lagen.`;
      case "slope":
        return `Einschwingregel: Ein Messwert wurde genommen, als die Steigung über ${exact(rule.window_s, "s")} sicher unter ${exact(rule.slope_per_min, "%")} der Spanne je Minute lag.`;
    }
  },
  settled: (longest) => `Die längste Wartezeit auf einen Messwert war ${longest}.`,

  instrumentsHeading: "Verwendete Geräte",
  instrumentsCaption: "Wie sich jedes Gerät zu Beginn des Laufs selbst auswies",
  name: "Name am Prüfstand",
  says: "Sagt von sich",
  isSimulated: "SIMULATED",
  isReal: "Gerät",

  uncertaintyHeading: "Messunsicherheit",
  budgetCaption: (ordinal, stage) =>
    `Budget der Abweichung an Punkt ${ordinal}, ${stage.toLowerCase()}, wo U am größten ist`,
  contribution: "Beitrag",
  contributionName: (_id, own) => own,
  kind: "Typ",
  distribution: "Verteilung",
  distributions: {
    normal: "normal",
    rectangular: "rechteckig",
    triangular: "dreieckig",
    arcsine: "arcsin",
    t: "t",
  },
  given: "Angabe",
  sensitivity: "Empfindlichkeit",
  perUnit: "je Einheit",
  standardU: "u",
  share: "Anteil an u²",
  combined: (u, dof, k, U) =>
    `Zusammen: u${EQUALS}${u}, effektive Freiheitsgrade ${dof}, k${EQUALS}${k}, U${EQUALS}${U}.`,
  commonCause:
    "Beiträge gleicher Ursache wurden mit ihrer Korrelation verrechnet; die Anteile beziehen sich auf die Summe der einzelnen u².",
  infinite: "∞",
  tur: (stage, ratio) => `Verhältnis Grenze zu U, kleinstes über alle Punkte, ${stage.toLowerCase()}: ${ratio}.`,
  raisedToFloor: (floor) =>
    `U wurde auf ${floor} angehoben, die kleinste Unsicherheit, die das Labor angibt. Diese Entscheidung steht im Protokoll.`,
  notIncluded:
    "Auflösung und kurzzeitige Streuung des Gegenstands sind in U enthalten. Sein Verhalten beim Transport, in anderer Lage, in anderem Klima und über Jahre ist es nicht: Das kann das Labor nicht wissen.",

  deviationsHeading: "Zusätze, Abweichungen vom Verfahren, Auslassungen",
  noDeviations: "Keine: Jeder geplante Punkt wurde wie geplant gemessen, keine Prüfung wurde übergangen.",
  deviationsCaption: "Im Wortlaut des Protokolls, zeitlich geordnet",
  entry: "Eintrag",
  timeUtc: "Zeit",
  utc: "UTC",
  what: "Was geschah",
  notFinished: (ending, why) => `Der Lauf wurde nicht beendet (${ending}).${why === "" ? "" : ` ${why}`}`,
  endings: { finished: "beendet", stopped: "von einer Person angehalten", fault: "durch eine Störung beendet" },
  noEnding: "Das Protokoll hört auf, bevor der Lauf endete.",
  singleCycle: "Ein einziger Zyklus: Die Wiederholpräzision zwischen Zyklen wurde nicht beobachtet.",
  oneDirection: "Nur eine Richtung: Die Hysterese wurde nicht beobachtet.",
  virtualClock: "Die Uhr des Laufs war gerechnet und nicht die an der Wand.",
  fasterClock: (times) => `Die Uhr des Laufs ging ${times}-mal so schnell wie die Uhr an der Wand.`,

  caution: "Vorsicht",
  beforeUseHeading: "Bevor der Umformer wieder arbeitet",
  cautions: [
    "Sein Ausgang bewegt ein Ventil oder eine Maschine. Vor dem Einbau absperren, entlüften und sichern, was er antreibt, nach den Regeln Ihres Betriebs.",
    "Nach dem Abgleich verhält sich der Kreis anders. Kreis und sichere Stellung vor der Freigabe prüfen.",
    "Örtliche Vorschriften, die Anleitung des Herstellers und befugte Fachleute gehen vor.",
  ],
  sourceUnknown: (reason) =>
    `Es ließ sich nicht sicherstellen, dass die Stromquelle sicher hinterlassen wurde: ${reason}. An der Quelle prüfen.`,
  sourceLeft: (current) => `Am Ende stand die Stromquelle auf ${current}.`,

  runAndSoftware: "Lauf und Programm",
  recordHeading: "Protokoll hinter diesem Schein",
  run: "Lauf",
  recordHeadHeading: "An die Aufzeichnung gebunden",
  recordHead: "Kopf der Aufzeichnung (SHA-256-Kette)",
  software: "Programm",
  softwareText: (version) => `Stillpoint ${version}`,
  began: "Beginn",
  ended: "Letzter Eintrag",
  entries: "Einträge",
  station: "Prüfplatz",
  agreedRule: "Regel im Protokoll",
  filesCaption: "Dateien, wie sie verwendet wurden",
  fileRole: "Datei",
  fileRoles: { bench: "Prüfstand", unit: "Umformer", laboratory: "Labor", logo: "Logo" },
  fileName: "Name",
  sha: "SHA-256",

  missing: {
    customer: "der Auftraggeber",
    country: "das Land des Labors, als `country` in seiner Datei",
    review: "eine Prüfung",
    mayReview: (name) => `eine Prüfung durch jemanden, dem das Labor sie erlaubt (${name} ist nicht aufgeführt)`,
    onePerson: (name) => `eine andere Person als ${name} für Messung, Prüfung oder Freigabe`,
    customerContact: "Anschrift des Auftraggebers",
    allowed: (name) => `eine Freigabe durch jemanden, dem das Labor sie erlaubt (${name} steht nicht in der Liste)`,
    authorisation: "eine Freigabe",
    results: "Ergebnisse",
    dates: "Daten in der Reihenfolge Eingang, Beginn, Ende, Ausstellung",
    overdue: (serials) => `ein gültiger Schein des Normals ${serials}`,
    uncertainty: "eine Unsicherheit an jedem Punkt",
    ending: "ein Lauf, der zu seinem Ende kam",
    asFoundAfterAdjustment: "vorgefundene Werte, gemessen vor der ersten Drehung einer Schraube",
    asLeft: "hinterlassene Werte nach dem Abgleich",
    personName: "der Name der messenden Person",
    pressureReference: "ein Schein des Drucknormals",
    currentReference: "ein Schein des Stromnormals",
  },
};
