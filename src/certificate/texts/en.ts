import type { FigureId } from "../../analysis/analysis.ts";
import { type StageRemark, stageRemarkText } from "../../analysis/stage-remark.ts";
import type { DecisionRule, PointWord } from "../../decision/verdict.ts";
import { type VerdictReason, verdictReasonText } from "../../decision/verdict-reason.ts";
import { type UncertaintyRemark, uncertaintyRemarkText } from "../../uncertainty/uncertainty-remark.ts";
import type { StatedSettling } from "../settling-stated.ts";

/** An equals sign that never stands at a line end. */
const EQUALS = "\u00A0=\u00A0";

const pointNames = (ordinals: readonly string[]): string =>
  `point${ordinals.length === 1 && !ordinals[0]?.includes("–") ? "" : "s"} ${ordinals.join(", ")}`;

/** Every sentence of the certificate in English. Other languages carry the same keys; a missing one does not compile. */
export const en = {
  languages: { en: "English", de: "German" },
  title: "Calibration certificate",
  specimenTitle: "Specimen, not a certificate",
  subtitle: "Current-to-pressure converter",
  simulatedWord: "SIMULATED",
  simulatedHeader: "SIMULATED – not a certificate",
  simulatedSentence:
    "SIMULATED: no real converter, pressure or current stood behind these numbers. They prove nothing.",
  draftWord: "DRAFT",
  draftHeader: "DRAFT – not released",
  draftSentence: (missing: readonly string[]) =>
    `Draft, not released, number provisional.${missing.length === 0 ? "" : ` Still missing: ${missing.join("; ")}.`}`,
  numberLabel: "Certificate no.",
  logoAlternative: (laboratory: string) => `Logo of ${laboratory}`,
  /** {n} and {total} are filled in when the pages are counted. */
  pageOf: "page {n} of {total}",
  endMark: (number: string) => `End of certificate ${number}`,
  notStated: "not stated",
  notRecorded: "not recorded",
  statedByCustomerMark: "¹",
  statedByCustomerNote: "¹ Stated by the customer; the laboratory did not verify it.",
  continued: "continued",
  to: "to",

  asFound: "As found",
  asLeft: "As left",
  asFoundAndLeft: "As found and as left",
  asFoundAndLeftNote: "No screw was turned: what was found was left.",
  words: {
    pass: "PASS",
    "conditional-pass": "CONDITIONAL PASS",
    "conditional-fail": "CONDITIONAL FAIL",
    fail: "FAIL",
    "no-statement": "NO STATEMENT",
  } satisfies Record<PointWord, string>,
  pointWords: {
    pass: "✓\u00A0pass",
    "conditional-pass": "△\u00A0cond.\u00A0pass",
    "conditional-fail": "▼\u00A0cond.\u00A0fail",
    fail: "✗\u00A0FAIL",
    "no-statement": "–\u00A0none",
  } satisfies Record<PointWord, string>,
  greatestError: (error: string, percent: string, at: string, direction: string) =>
    `Greatest error ${error} (${percent} of span) at ${at}, ${direction}`,
  uncertaintyOfIt: (U: string, k: string) => `with U${EQUALS}${U} (k${EQUALS}${k})`,
  limitLine: (limit: string, percent: string) => `Limit ±${limit} (${percent})`,
  pointsOutside: (ordinals: readonly string[]) => `Not passed: ${pointNames(ordinals)}`,
  pointsWithoutReading: (ordinals: readonly string[]) => `Without a reading: ${pointNames(ordinals)}`,
  noUncertainty: "Without an uncertainty no verdict is given.",
  withoutStatement: (ordinals: readonly string[]) =>
    `No statement at ${pointNames(ordinals)}: the reason stands under the table.`,
  noAsFound: (reason: string) => `No as-found results: ${reason}`,
  noAsFoundWithoutReason: "the record holds no completed as-found readings.",
  noAsLeft:
    "No as-left results: the converter was adjusted, and no readings were completed afterwards. Its present errors are not known.",

  itemHeading: "Converter under test",
  maker: "Maker",
  model: "Type",
  serialNumber: "Serial number",
  tag: "Tag",
  signalRange: "Input signal",
  outputRange: "Output range",
  supply: "Supply, rated",
  action: "Action",
  actions: { direct: "direct: more current, more pressure", reverse: "reverse: more current, less pressure" },
  characteristics: { linear: "linear", "square-root": "square root" },
  tolerance: "Greatest error allowed",
  toleranceFrom: (origin: string) => `set by: ${origin}`,
  condition: "Condition on arrival",
  position: "Position",
  positions: { upright: "upright, as used", horizontal: "horizontal, as used", any: "any position allowed" },
  modes: { gauge: "gauge", absolute: "absolute", differential: "differential" },
  ofSpan: "% of span",
  ofReading: "% of reading",
  ofInputSpan: "% of input span",
  ofIdealSlope: "% of ideal slope",

  workHeading: "Customer and work",
  customer: "Customer",
  contact: "Contact",
  received: "Received",
  worked: "Calibrated",
  issued: "Issued",
  place: "Place of work",
  atLaboratory: "at the laboratory, address above",
  method: "Method",
  methodText: (id: string, revision: string) => `${id}, revision ${revision}`,
  measuredBy: "Measured by",
  reviewedBy: "Reviewed by",
  authorisedBy: "Authorised by",
  notAuthorised: "not yet authorised",
  atInstant: (day: string, time: string) => `on ${day}, ${time} UTC`,
  operatorRole: "technician",
  nextDue: "Next calibration, agreed",
  agreement: (day: string, text: string) => `${day} (agreed: ${text})`,

  traceHeading: "Traceability",
  traceCaption:
    "The results are traceable to the SI through the certificates of these references; each was in date on the day unless marked",
  noTrace: "No reference certificate is on record for this run. These results are not traceable.",
  role: "Used for",
  roles: {
    source: "current, commanded",
    gauge: "output pressure",
    "supply-gauge": "supply pressure",
    "current-meter": "current, measured",
    ambient: "room temperature",
    humidity: "relative humidity of the room",
    barometer: "air pressure of the room",
  } as Readonly<Record<string, string>>,
  instrument: "Instrument",
  serial: "Serial no.",
  certificate: "Certificate",
  calibratedBy: "Calibrated by",
  calibratedOn: "Calibrated",
  due: "Due",
  statedU: "U stated",
  uWithK: (U: string, k: string) => `${U} (k${EQUALS}${k})`,
  overdue: "OVERDUE",
  routes: {
    "national-institute": "national institute",
    "accredited-laboratory": "accredited laboratory",
    "other-with-evidence": "competence shown to us",
  },

  statementsHeading: "Please note",
  onlyThisItemName: "Only this item",
  notInPartName: "Whole copies only",
  onlyThisItem: "The results concern only the item named above, in the state and under the conditions given here.",
  notInPart: "Please do not copy this document in part without the laboratory's leave.",
  coverage: (k: string, p: string) =>
    `U is the expanded uncertainty: the standard uncertainty multiplied by the coverage factor k${EQUALS}${k}. With a probability of about ${p} the value lies within ±U of the result.`,
  coverageVaries: (p: string) =>
    `U is the expanded uncertainty: the standard uncertainty multiplied by the coverage factor k given at each point. With a probability of about ${p} the value lies within ±U of the result.`,
  decisionRule: (own: string) => `Decision rule, agreed before the first reading: ${own}`,
  ruleText: (_rule: DecisionRule, own: string): string => own,
  simpleRisk:
    "Under simple acceptance a result exactly on its limit is wrongly accepted with a probability of up to 50 %.",
  judgedUnrounded: "Verdicts were reached with unrounded figures.",
  sameQuantity: (slope: string) =>
    `Error and uncertainty are both stated as output pressure. Currents were converted with the ideal slope of ${slope}.`,
  sameQuantityCurve:
    "Error and uncertainty are both stated as output pressure. Currents were converted with the slope of the ideal curve at each point.",
  binding: (language: string) => `This certificate exists in two languages; the ${language} version is binding.`,

  inspectionTitle: "Inspection report",
  inspectionSubtitle: (number: string) => `Current-to-pressure converter, short form of certificate no. ${number}`,
  inspectionRest: (n: number) => `${n} more readings stand in the full certificate.`,
  inspectionNote: (number: string) =>
    `Short form, as agreed with whoever ordered the work. Traceability, conditions, budget and deviations stand in the full certificate no. ${number}, which can be had at any time.`,

  replacesHeading: {
    amended: (number: string) => `Amendment to certificate no. ${number}`,
    substituted: (number: string) => `Replaces certificate no. ${number}`,
  },
  replacesReason: (reason: string) => `Reason: ${reason}.`,
  replacesRest:
    "Everything not named here is as it was. The earlier certificate is no longer valid; please mark or return it.",
  replacesResults: "The results are new. The earlier certificate is no longer valid; please mark or return it.",
  replacesDigest: (sha256: string) => `SHA-256 of the earlier document: ${sha256}`,
  change: (what: string, was: string, is: string) => `${what}: "${was}" is now "${is}".`,

  figuresHeading: "Figures from the readings",
  results: (stage: string) => `Results ${stage.toLowerCase()}`,
  resultsCaption: (mode: string) =>
    `Error = output − ideal output at the applied current; pressures are ${mode} pressures`,
  resultsInUnit: (unit: string) => `The same results in ${unit}`,
  factor: (unit: string, factor: string) => `Conversion factor: 1 ${unit} = ${factor}.`,
  point: "No.",
  cycle: "Cycle",
  nominalCurrent: "Nominal current",
  appliedCurrent: "Applied current",
  direction: "Direction",
  directions: { rising: "▲\u00A0rising", falling: "▽\u00A0falling" },
  directionWords: { rising: "rising", falling: "falling" },
  ideal: "Ideal",
  output: "Output",
  error: "Error",
  limit: "Limit\u00A0±",
  acceptance: "Accepted\u00A0±",
  verdict: "Verdict",
  roundingNote: "Each figure is rounded on its own, so sums may differ by one in the last digit.",
  commandedNote: "No meter read the loop current back: the applied current is what the source said that it commanded.",
  moreDigitsNote: (ordinals: string) =>
    `More digits are printed at point ${ordinals}: with fewer, the rounded figures would suggest another verdict.`,
  outsideScopeNote: (ordinals: string) =>
    `‡ Outside the laboratory's scope or below its smallest claimable uncertainty: point ${ordinals}.`,
  clippedNote: (ordinals: string) =>
    `At point ${ordinals} the output stood at a physical stop; the true error there may be larger and is hidden.`,
  liftOffNote: (ordinals: string) =>
    `At point ${ordinals} the output stood at zero pressure; judged there is the error told by lift-off, which stands among the figures.`,
  noResult: (ordinals: string) => `No result at point ${ordinals}; see the deviations.`,
  figuresCaption: "Drawn from the readings above; rounded to the digits of U",
  figure: "Figure",
  unitTitle: "Unit",
  at: "At",
  meaning: "What it means",
  figureName: (_id: FigureId, own: string): string => own,
  figureDefinition: (_id: FigureId, own: string, source: string): string => `${own} (${source})`,
  remark: (stage: string, text: string) => `${stage}: ${text}`,
  stageRemark: (remark: StageRemark): string => stageRemarkText(remark),
  uncertaintyRemark: (remark: UncertaintyRemark): string => uncertaintyRemarkText(remark),
  reason: (own: string): string => own,
  verdictReason: (reason: VerdictReason): string => verdictReasonText(reason),
  recalledNote: "° After the document named, whose own wording was not at hand.",
  moreReasons: (n: number) => `The same kind of reason holds at ${n} more; the last column names each verdict.`,

  errorChart: (stage: string) => `Error over input, ${stage.toLowerCase()}`,
  inputAxis: "input current / mA",
  errorAxis: (unit: string) => `error / ${unit}`,
  errorAxisPercent: "error / % of span",
  limitLegend: "limit",
  guardLegend: "guard band",
  barLegend: "bar: ±U",
  risingLegend: "rising",
  fallingLegend: "falling",
  errorChartAlternative: (stage: string, n: number, worst: string, limit: string) =>
    `Errors of ${n} points over the input current, ${stage.toLowerCase()}: rising points as filled triangles on a solid line, falling points as open triangles on a dashed line, bars for the uncertainty, heavy lines for the limit of ${limit}. The greatest error is ${worst}. The table gives every value.`,
  hysteresisChart: (stage: string) => `Hysteresis: falling minus rising, ${stage.toLowerCase()}`,
  hysteresisAxis: (unit: string) => `difference / ${unit}`,
  hysteresisAxisPercent: "difference / % of span",
  hysteresisLegend: "mean of the cycles",
  differenceLegend: "one cycle",
  hysteresisAlternative: (stage: string, n: number, greatest: string) =>
    `Output while falling minus output while rising at ${n} inputs, ${stage.toLowerCase()}. The greatest difference is ${greatest}.`,

  adjustmentHeading: "Adjustment",
  adjustmentOutcome: {
    "within-aim": "The zero and span screws were adjusted until the errors were within the aim.",
    "not-needed": "No adjustment was needed.",
    impossible: "The converter could not be adjusted to its limit with the zero and span screws.",
    "given-up": "The adjustment was given up.",
  },
  adjustmentRecordSays: (why: string) => `The record says: ${why}`,
  noAdjustment: "No adjustment was made.",
  adjustmentUnfinished: "The adjustment was not finished.",
  turnsByLiftOff:
    "Zero was set by lift-off: its pressures are the output continued below zero pressure, and the current is the one held while the screw was turned.",
  furtherHeading: "Further tests, for information",
  furtherIntro:
    "These tests explain how the item behaves. They are no part of the calibration results and of no statement of conformity; no uncertainty is stated for them beyond what their sentences say.",
  furtherTest: (title: string, day: string, run: string) => `${title} (${day}, run ${run})`,
  furtherIncomplete: (why: string) => `The test was not finished: ${why}`,
  finding: (own: string): string => own,
  furtherChart: (_test: string, drawing: string): string => drawing,
  furtherChartAlternative: (test: string, drawing: string, x: string, y: string) =>
    `Drawing of the test "${test}", ${drawing}: ${y} over ${x}.`,
  furtherAxis: (own: string): string => own,
  furtherSeries: (own: string): string => own,
  opinionHeading: "Opinions and interpretations (ISO/IEC 17025:2017, 7.8.7)",
  opinionIntro:
    "What follows is opinion drawn from the figures beside it. It is no result, and of no statement of conformity; whoever authorises this certificate takes it on.",
  opinion: (words: string, figures: string) => `${words} (${figures})`,
  noOpinion: "No fault found: the item is within its limits in what was tested; look elsewhere in the loop.",
  notLookedAt: (names: readonly string[]) => `Not tested, so nothing is said of it: ${names.join(", ")}.`,
  turnsCaption: "Turns of the two screws, in order; readings here served the adjustment and are not results",
  screw: "Screw",
  screws: { zero: "zero", span: "span" },
  target: "Target",
  before: "Before",
  after: "After",

  conditionsHeading: "Conditions during the readings",
  conditionsCaption: "Smallest and largest value over all readings",
  quantity: "Quantity",
  lowest: "Lowest",
  highest: "Highest",
  from: "From",
  ambient: "Room temperature",
  humidity: "Relative humidity",
  airPressure: "Air pressure",
  supplyPressure: "Supply pressure",
  fromRecord: "recorded at each reading",
  fromRoom: "room instruments",
  exercised: (n: number) =>
    n === 0
      ? "The converter was not exercised before the readings."
      : `Before the readings the converter was moved over its range; ${n} held positions are on record.`,
  settlingRule: (rule: StatedSettling, exact: (value: number, unit: string) => string): string => {
    switch (rule.rule) {
      case "detector": {
        const least = rule.least_s > 0 ? `, and not before ${exact(rule.least_s, "s")}` : "";
        return `Settling rule: a reading was taken when no more than ${exact(rule.allowed, "%")} of span of movement could be left, judged from the readings up to then (accuracy asked for: ${exact(rule.limit, "%")} of span)${least}.`;
      }
      case "fixed-dwell":
        return `Settling rule: each reading is the mean of ${exact(rule.average_s, "s")}, begun ${exact(rule.dwell_s, "s")} after the last change of the input; whether the output stood still was not checked.`;
      case "band":
        return `Settling rule: a reading was taken when all readings of ${exact(rule.window_s, "s")} lay within ${exact(rule.band, "%")} of span.`;
      case "slope":
        return `Settling rule: a reading was taken when the slope over ${exact(rule.window_s, "s")} was surely below ${exact(rule.slope_per_min, "%")} of span a minute.`;
    }
  },
  settled: (longest: string) => `The longest wait for a reading was ${longest}.`,

  instrumentsHeading: "Instruments used",
  instrumentsCaption: "As each instrument identified itself on the line at the start of the run",
  name: "Bench name",
  says: "Says of itself",
  isSimulated: "SIMULATED",
  isReal: "instrument",

  uncertaintyHeading: "Uncertainty",
  budgetCaption: (ordinal: string, stage: string) =>
    `Budget of the error at point ${ordinal}, ${stage.toLowerCase()}, where U is largest`,
  contribution: "Contribution",
  contributionName: (_id: string, own: string): string => own,
  kind: "Type",
  distribution: "Distribution",
  distributions: {
    normal: "normal",
    rectangular: "rectangular",
    triangular: "triangular",
    arcsine: "arcsine",
    t: "t",
  },
  given: "Given",
  sensitivity: "Sensitivity",
  perUnit: "per unit",
  standardU: "u",
  share: "Share of u²",
  combined: (u: string, dof: string, k: string, U: string) =>
    `Combined: u${EQUALS}${u}, effective degrees of freedom ${dof}, k${EQUALS}${k}, U${EQUALS}${U}.`,
  commonCause:
    "Contributions of one cause were combined with their correlation; the shares are of the sum of the single u².",
  infinite: "∞",
  tur: (stage: string, ratio: string) =>
    `Test uncertainty ratio ${stage.toLowerCase()} (limit over U, smallest over the points): ${ratio}.`,
  raisedToFloor: (floor: string) =>
    `U was raised to ${floor}, the smallest uncertainty that the laboratory claims. This decision is on record.`,
  notIncluded:
    "The item's own resolution and short-term scatter are in U. Its behaviour in transport, in other positions or climates and over years is not: the laboratory cannot know it.",

  deviationsHeading: "Additions, deviations and exclusions",
  noDeviations: "None: every planned point was read as planned, and no check was overridden.",
  deviationsCaption: "In the words of the record, in order of time",
  entry: "Entry",
  timeUtc: "Time",
  utc: "UTC",
  what: "What happened",
  notFinished: (ending: string, why: string) => `The run did not finish (${ending}).${why === "" ? "" : ` ${why}`}`,
  endings: { finished: "finished", stopped: "stopped by a person", fault: "ended by a fault" },
  noEnding: "The record stops before the run ended.",
  singleCycle: "Single cycle: repeatability between cycles was not observed.",
  oneDirection: "One direction only: hysteresis was not observed.",
  virtualClock: "The run's clock was calculated and not the one on the wall.",
  fasterClock: (factor: string) => `The run's clock went ${factor} times as fast as the clock on the wall.`,

  caution: "Caution",
  beforeUseHeading: "Before the converter goes back to work",
  cautions: [
    "Its output moves a valve or machine. Isolate, vent and secure what it drives before fitting it, by your site's lock-out rules.",
    "After adjustment the loop behaves differently. Check the loop and its safe position before release.",
    "Local codes, the maker's instructions and licensed practice come first.",
  ],
  sourceUnknown: (reason: string) =>
    `The harness could not make sure that the current source was left safe: ${reason}. Check it at the source.`,
  sourceLeft: (current: string) => `At the end the current source was left at ${current}.`,

  runAndSoftware: "Run and software",
  recordHeading: "Record behind this certificate",
  run: "Run",
  recordHeadHeading: "Bound to the record",
  recordHead: "Head of the record (SHA-256 chain)",
  software: "Software",
  softwareText: (version: string) => `Stillpoint ${version}`,
  began: "Began",
  ended: "Last entry",
  entries: "Entries",
  station: "Station",
  agreedRule: "Rule on record",
  filesCaption: "Files as they were used",
  fileRole: "File",
  fileRoles: { bench: "bench", unit: "converter", laboratory: "laboratory", logo: "logo" },
  fileName: "Name",
  sha: "SHA-256",

  missing: {
    customer: "the customer",
    country: "the laboratory's country, as `country` in its file",
    review: "a review",
    mayReview: (name: string) => `a review by somebody whom the laboratory allows it (${name} is not listed)`,
    onePerson: (name: string) => `another person than ${name} for one of measuring, reviewing and authorising`,
    customerContact: "the customer's address or contact",
    allowed: (name: string) => `an authorisation by somebody whom the laboratory allows it (${name} is not listed)`,
    authorisation: "an authorisation",
    results: "results",
    dates: "dates in the order received, begun, ended, issued",
    overdue: (serials: string) => `a certificate in date for the reference ${serials}`,
    uncertainty: "an uncertainty at every point",
    ending: "a run that came to its end",
    asFoundAfterAdjustment: "as-found readings taken before the first turn of a screw",
    asLeft: "as-left readings after the adjustment",
    personName: "the name of whoever measured",
    pressureReference: "a certificate of the pressure reference",
    currentReference: "a certificate of the current reference",
  },
};

export type Texts = typeof en;
