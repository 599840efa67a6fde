import { type Fault, fault } from "../vocabulary/fault.ts";
import type { Stage } from "../vocabulary/reading.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { plannedPoints } from "./planned-points.ts";
import type { PointRecord, RecordedEvent } from "./run-event.ts";
import type {
  AdjustmentReading,
  AdjustmentRecord,
  CapturedPoint,
  Deviation,
  EventBody,
  ExaminationRecord,
  FrozenAsFound,
  InRecord,
  LiftOffFound,
  PreflightOutcome,
  RecordedInstrument,
  RecordedTrouble,
  Resumption,
  RunEnding,
  RunRecord,
  ScrewTurn,
  SourceLeft,
  StageRecord,
  UnsettledPoint,
} from "./run-record.ts";

interface OpenStage {
  stage: Stage;
  started: InRecord;
  completed: InRecord | null;
  points: CapturedPoint[];
  unsettled: UnsettledPoint[];
  lift_off: LiftOffFound | null;
}

interface OpenAdjustment {
  started: InRecord;
  readings: AdjustmentReading[];
  turns: ScrewTurn[];
  lift_offs: LiftOffFound[];
  outlook: AdjustmentRecord["outlook"];
  noticed: AdjustmentRecord["noticed"][number][];
  interplay: AdjustmentRecord["interplay"];
  ending: AdjustmentRecord["ending"];
}

const openAdjustment = (started: InRecord): OpenAdjustment => ({
  started,
  readings: [],
  turns: [],
  lift_offs: [],
  outlook: null,
  noticed: [],
  interplay: null,
  ending: null,
});

interface OpenExamination {
  test: string;
  title: string;
  started: InRecord;
  traces: ExaminationRecord["traces"][number][];
  asked: ExaminationRecord["asked"][number][];
  ending: ExaminationRecord["ending"];
}

const bodyOf = <E extends { readonly kind: string }>(event: E): Omit<E, "kind"> => {
  const { kind: _, ...body } = event;
  return body;
};

const pointName = (p: PointRecord): string => `point ${p.ordinal} (${p.nominal_percent} % of span, ${p.direction})`;

/**
 * Folds the events of one run into a view. Pure; the same events always give the same view.
 * Refuses a record that does not begin with `run-started`, that begins twice, or whose events are not numbered on.
 */
export const foldRun = (events: readonly RecordedEvent[]): Result<RunRecord, Fault> => {
  const first = events[0];
  if (first === undefined) return err(damaged("The record is empty; there is no run in it."));
  const { event: start, ...startPlace } = first;
  if (start.kind !== "run-started") {
    return err(damaged(`The record begins with "${start.kind}" instead of "run-started"; its beginning is lost.`));
  }

  const instruments: RecordedInstrument[] = [];
  const preflight: PreflightOutcome[] = [];
  const cautions: (EventBody<"cautions-accepted"> & InRecord)[] = [];
  const exercised: (EventBody<"exercised"> & InRecord)[] = [];
  const stages: OpenStage[] = [];
  const adjustments: OpenAdjustment[] = [];
  const learned: string[] = [];
  const troubles: RecordedTrouble[] = [];
  const deviations: Deviation[] = [];
  const sourceLeft: SourceLeft[] = [];
  const resumed: Resumption[] = [];
  const examinations: OpenExamination[] = [];
  let frozen: FrozenAsFound | null = null;
  let ending: RunEnding | null = null;
  let last: InRecord = startPlace;

  const stageFor = (stage: Stage, place: InRecord): OpenStage => {
    const open = stages.at(-1);
    if (open !== undefined && open.stage === stage && open.completed === null) return open;
    const next: OpenStage = { stage, started: place, completed: null, points: [], unsettled: [], lift_off: null };
    stages.push(next);
    return next;
  };
  const adjustmentFor = (place: InRecord): OpenAdjustment => {
    const open = adjustments.at(-1);
    if (open !== undefined && open.ending === null) return open;
    const next = openAdjustment(place);
    adjustments.push(next);
    return next;
  };
  const deviate = (
    kind: Deviation["kind"],
    place: InRecord,
    text: string,
    at: { readonly stage: Stage; readonly ordinal: number | null } | null = null,
  ): void => {
    deviations.push({ kind, ...place, stage: at?.stage ?? null, ordinal: at?.ordinal ?? null, text });
  };

  for (const [index, recorded] of events.entries()) {
    const { event, ...place } = recorded;
    if (place.seq !== first.seq + index) {
      return err(
        damaged(
          `Event number ${place.seq} stands where number ${first.seq + index} belongs; events were lost, doubled or moved.`,
        ),
      );
    }
    last = place;
    switch (event.kind) {
      case "run-started":
        if (index > 0) return err(damaged(`Event number ${place.seq} starts a second run in the same record.`));
        break;
      case "instrument-identified":
        instruments.push({ ...bodyOf(event), ...place });
        break;
      case "preflight-check": {
        preflight.push({ ...bodyOf(event), ...place });
        const by = event.overridden_by;
        if (by !== undefined) {
          deviate(
            "check-overridden",
            place,
            `${by.name} went on although the check "${event.check}" ${event.outcome}: ${by.reason}`,
          );
        } else if (event.outcome === "skipped") {
          deviate("check-skipped", place, `The check "${event.check}" was left out: ${event.saw}`);
        }
        break;
      }
      case "cautions-accepted":
        cautions.push({ ...bodyOf(event), ...place });
        break;
      case "exercised":
        exercised.push({ ...bodyOf(event), ...place });
        break;
      case "stage-started":
        if (event.stage === "as-found" || event.stage === "as-left") {
          stages.push({
            stage: event.stage,
            started: place,
            completed: null,
            points: [],
            unsettled: [],
            lift_off: null,
          });
        } else if (event.stage === "adjusting") {
          adjustments.push(openAdjustment(place));
        }
        break;
      case "stage-completed":
        stageFor(event.stage, place).completed = place;
        break;
      case "point-started":
      case "commanded":
        break;
      case "approach-repeated":
        deviate(
          "approach-repeated",
          place,
          `${event.point.stage}: ${pointName(event.point)} was approached again, because the output had gone ${event.overshoot_percent} % of span past it.`,
          event.point,
        );
        break;
      case "point-captured": {
        const { point, ...rest } = bodyOf(event);
        stageFor(point.stage, place).points.push({ ...point, ...rest, ...place });
        if (event.approach === "overshot") {
          deviate(
            "approached-wrongly",
            place,
            `${point.stage}: ${pointName(point)} was read although the output had gone past it, so its direction is not clean.`,
            point,
          );
        }
        break;
      }
      case "point-not-settled": {
        const { point, ...rest } = bodyOf(event);
        stageFor(point.stage, place).unsettled.push({ ...point, ...rest, ...place });
        deviate(
          "point-not-settled",
          place,
          `${point.stage}: ${pointName(point)} gave no reading: ${event.fault.message}`,
          point,
        );
        break;
      }
      case "adjustment-reading":
        adjustmentFor(place).readings.push({ ...bodyOf(event), ...place });
        break;
      case "screw-turned":
        adjustmentFor(place).turns.push({ ...bodyOf(event), ...place });
        break;
      case "lift-off-found": {
        const found = { ...bodyOf(event), ...place };
        if (event.stage === "adjusting") adjustmentFor(place).lift_offs.push(found);
        else stageFor(event.stage, place).lift_off = found;
        break;
      }
      case "adjustment-ended":
        adjustmentFor(place).ending = { ...bodyOf(event), ...place };
        break;
      case "adjustment-outlook":
        adjustmentFor(place).outlook = { ...bodyOf(event), ...place };
        break;
      case "hand-noticed":
        adjustmentFor(place).noticed.push({ ...bodyOf(event), ...place });
        break;
      case "interplay-learned":
        adjustmentFor(place).interplay = { ...bodyOf(event), ...place };
        break;
      case "as-found-frozen":
        frozen = { ...bodyOf(event), ...place };
        break;
      case "examination-started":
        examinations.push({ ...bodyOf(event), started: place, traces: [], asked: [], ending: null });
        break;
      case "trace-taken":
        examinations.at(-1)?.traces.push({ ...bodyOf(event), ...place });
        break;
      case "hand-asked":
        examinations.at(-1)?.asked.push({ ...bodyOf(event), ...place });
        break;
      case "examination-ended": {
        const open = examinations.at(-1);
        if (open !== undefined) open.ending = { ...bodyOf(event), ...place };
        break;
      }
      case "learned":
        learned.push(...event.what);
        break;
      case "trouble":
        troubles.push({ ...bodyOf(event), ...place });
        deviate("trouble", place, event.fault.message);
        break;
      case "clock-stepped":
        deviate(
          "clock-stepped",
          place,
          `The computer's clock went ${Math.abs(event.by_s).toFixed(1)} s ${event.by_s < 0 ? "back" : "forward"} at once (it was set, or the computer slept); times of this record go on without the step.`,
        );
        break;
      case "run-resumed":
        resumed.push({ ...bodyOf(event), ...place });
        deviate("run-resumed", place, resumptionText(event.by, event.gap_s, event.touched));
        break;
      case "source-left":
        sourceLeft.push({ ...bodyOf(event), ...place });
        break;
      case "run-ended":
        ending = { ...bodyOf(event), ...place };
        break;
      default:
        return unhandled(event);
    }
  }

  const planned = plannedPoints(start.plan);
  const closedStages = stages.map((open): StageRecord => {
    const { counting, replaced } = lastOfEach(open.points);
    const missing =
      open.completed === null && ending === null
        ? []
        : planned.filter((p) => !counting.some((c) => c.ordinal === p.ordinal));
    for (const point of replaced) {
      deviate(
        "point-taken-again",
        placeOf(point),
        `${open.stage}: ${pointName(point)} was taken again; this reading of ${point.output_kPa} kPa is kept and not used.`,
        point,
      );
    }
    if (missing.length > 0) {
      deviate(
        "point-missing",
        open.completed ?? last,
        `${open.stage}: ${missing.length} of ${planned.length} planned points have no reading: ${missing.map((p) => `${p.ordinal} (${p.nominal_percent} %, ${p.direction})`).join(", ")}.`,
        { stage: open.stage, ordinal: null },
      );
    }
    return {
      stage: open.stage,
      started_at_s: open.started.at_s,
      started_utc: open.started.utc,
      completed_at_s: open.completed?.at_s ?? null,
      completed_utc: open.completed?.utc ?? null,
      points: counting,
      replaced,
      unsettled: open.unsettled,
      missing,
      lift_off: open.lift_off,
    };
  });

  return ok({
    header: { ...bodyOf(start), ...startPlace },
    simulated: start.simulated || instruments.some((i) => i.simulated),
    instruments,
    preflight,
    cautions_accepted: cautions,
    exercised,
    stages: closedStages,
    adjustments: adjustments.map((a) => ({
      started_at_s: a.started.at_s,
      started_utc: a.started.utc,
      outlook: a.outlook,
      noticed: a.noticed,
      interplay: a.interplay,
      readings: a.readings,
      turns: a.turns,
      lift_offs: a.lift_offs,
      ending: a.ending,
    })),
    frozen,
    examinations: examinations.map(({ started, ...rest }) => ({
      ...rest,
      started_at_s: started.at_s,
      started_utc: started.utc,
    })),
    learned,
    troubles,
    deviations: deviations.toSorted((a, b) => a.seq - b.seq),
    resumed,
    source_left: sourceLeft,
    ending,
    event_count: events.length,
    last,
  });
};

const TOUCHED_TEXT = {
  nothing: "nothing had been touched",
  connections: "connections, supply or position had been touched, so the stage was begun again",
  screws: "the screws had been touched",
} as const;

const resumptionText = (by: string, gap_s: number, touched: keyof typeof TOUCHED_TEXT): string =>
  `The run broke off and went on ${gap_s < 120 ? `${gap_s.toFixed(0)} s` : `${(gap_s / 60).toFixed(0)} min`} later with a new exercise; ${by} said that ${TOUCHED_TEXT[touched]}.`;

const placeOf = (p: InRecord): InRecord => ({ seq: p.seq, at_s: p.at_s, utc: p.utc });

const lastOfEach = (points: readonly CapturedPoint[]) => {
  const counting = new Map<number, CapturedPoint>();
  const replaced: CapturedPoint[] = [];
  for (const point of points) {
    const before = counting.get(point.ordinal);
    if (before !== undefined) replaced.push(before);
    counting.set(point.ordinal, point);
  }
  return { counting: [...counting.values()].toSorted((a, b) => a.ordinal - b.ordinal), replaced };
};

const damaged = (message: string): Fault =>
  fault("record", "record-damaged", message, {
    means: "No result can be taken from it.",
    remedy: "Fetch the record from its backup; do not mend it by hand.",
  });

/** A new kind of event does not compile until the view handles it. */
const unhandled = (event: never): never => {
  throw new TypeError(`event without a place in the view: ${JSON.stringify(event)}`);
};
