/** Something that only a person, or a bench with the means for it, can do. */
export type BenchAct =
  | { readonly kind: "set-supply"; readonly supply_kPa: number }
  | { readonly kind: "close-valve" }
  | { readonly kind: "open-valve" }
  | { readonly kind: "mount"; readonly position: string }
  | { readonly kind: "change-line"; readonly line: string };

/** One step of a test that explains a unit. Percent is of the output span, as everywhere. */
export type ExamineStep =
  /** Go there gently and wait. */
  | { readonly kind: "rest"; readonly at_percent: number; readonly for_s: number }
  /** One command at once; seen from two seconds before it. */
  | { readonly kind: "jump"; readonly name: string; readonly to_percent: number; readonly watch_s: number }
  /** Stay and watch. */
  | { readonly kind: "watch"; readonly name: string; readonly for_s: number }
  /** Treads of one size, each held as long. */
  | {
      readonly kind: "stairs";
      readonly name: string;
      readonly step_percent: number;
      readonly steps: number;
      readonly dwell_s: number;
    }
  /** A steady rise or fall, ended early when the output has come `until_rise_percent` above where it began. */
  | {
      readonly kind: "sweep";
      readonly name: string;
      readonly to_percent: number;
      readonly rate_percent_per_s: number;
      readonly until_rise_percent?: number;
    }
  | { readonly kind: "act"; readonly act: BenchAct };

export interface Examination {
  readonly test: string;
  readonly title: string;
  readonly steps: readonly ExamineStep[];
  /** About how long it takes, s; without what a person does. */
  readonly about_s: number;
}

/** What the tests need to know of a unit and its bench. */
export interface ExaminationFacts {
  readonly supply_kPa: { readonly lower: number; readonly nominal: number; readonly upper: number };
  /** Longest time in which the unit has to settle, as its file says; s. */
  readonly settling_limit_s: number | null;
}

export interface ExaminationDraft {
  readonly name: string;
  readonly summary: string;
  steps(facts: ExaminationFacts): readonly ExamineStep[];
}

const durationOf = (step: ExamineStep): number => {
  switch (step.kind) {
    case "rest":
      return step.for_s + 5;
    case "jump":
      return step.watch_s + 2;
    case "watch":
      return step.for_s;
    case "stairs":
      return (step.steps + 1) * step.dwell_s;
    case "sweep":
      return 20;
    case "act":
      return 0;
  }
};

export const examinationOf = (draft: ExaminationDraft, facts: ExaminationFacts): Examination => {
  const steps = draft.steps(facts);
  return {
    test: draft.name,
    title: draft.summary,
    steps,
    about_s: steps.reduce((sum, step) => sum + durationOf(step), 0),
  };
};

/** The act in the words a person is asked with. */
export const actText = (act: BenchAct): string => {
  switch (act.kind) {
    case "set-supply":
      return `Set the supply regulator to ${act.supply_kPa.toFixed(0)} kPa`;
    case "close-valve":
      return "Close the valve between the unit and the gauge";
    case "open-valve":
      return "Open the valve between the unit and the gauge again";
    case "mount":
      return `Mount the unit ${act.position}, without touching its screws`;
    case "change-line":
      return `Vent, see the gauge at zero, and connect the gauge by the ${act.line} line`;
  }
};
