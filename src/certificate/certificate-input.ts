import type { StageAnalysis } from "../analysis/analysis.ts";
import type { LaboratoryFile } from "../config/laboratory-file.schema.ts";
import type { UnitFile } from "../config/unit-file.schema.ts";
import type { StageVerdict } from "../decision/verdict.ts";
import type { RunRecord } from "../readings/run-record.ts";
import type { PointUncertainty } from "../uncertainty/point-uncertainty.ts";
import type { UncertaintyRemark } from "../uncertainty/uncertainty-remark.ts";
import type { FurtherTest, Opinions } from "./further-test.ts";
import type { Language } from "./print-number.ts";

/** One stage as it was worked out. Nothing in it is rounded yet. */
export interface StageResult {
  readonly analysis: StageAnalysis;
  /** One for each point of the analysis, found by its ordinal. */
  readonly uncertainties: readonly PointUncertainty[];
  /** What is not in U, in plain sentences; printed under the budget. */
  readonly uncertainty_remarks?: readonly UncertaintyRemark[];
  readonly verdict: StageVerdict;
}

/** A reference whose certificate carries the traceability of this work. */
export interface ReferenceInUse {
  readonly role: "source" | "gauge" | "supply-gauge" | "current-meter" | "ambient" | "humidity" | "barometer";
  readonly description: string;
  readonly serial_number: string;
  readonly certificate: {
    readonly number: string;
    readonly laboratory: string;
    /** By what route its calibration may be relied on (ILAC-P10:07/2020, 2); absent where nobody stated it. */
    readonly route?: "national-institute" | "accredited-laboratory" | "other-with-evidence";
    /** Days, YYYY-MM-DD. */
    readonly date: string;
    readonly due: string;
    /** U as its certificate states it, with unit, such as "0.02 kPa", and its k. */
    readonly U: string;
    readonly k: number;
  };
}

export interface Person {
  readonly name: string;
  readonly role: string;
}

/** What one person did about a certificate, and when. */
export interface Act extends Person {
  /** Instant, ISO 8601 in UTC; printed beside the name. */
  readonly utc?: string;
}

/** The issued certificate that this one changes or takes the place of. The old one stays as it was issued. */
export interface Replaces {
  /** `amended`: same readings, other words. `substituted`: other results. */
  readonly kind: "amended" | "substituted";
  readonly number: string;
  /** SHA-256 of the replaced PDF, hexadecimal. */
  readonly sha256: string;
  readonly reason: string;
  readonly changes: readonly { readonly what: string; readonly was: string; readonly is: string }[];
}

/** Days in the laboratory's own time zone, YYYY-MM-DD: handed in, because the certificate knows no clock. */
export interface CertificateDates {
  readonly started: string;
  readonly ended: string;
  readonly issued: string;
}

/** Everything a certificate is made from. There is no field that says whether it is simulated: the record says so. */
export interface CertificateInput {
  readonly number: string;
  readonly language: Language;
  /** Set when the certificate exists in a second language too: which of the two binds. */
  readonly bindingLanguage?: Language;
  readonly record: RunRecord;
  readonly unit: UnitFile;
  /** Method, decision rule, people and address as they stood when the run began. */
  readonly laboratory: LaboratoryFile;
  /** PNG or JPEG picture of the letterhead, as the record of the run keeps it. */
  readonly logo?: Uint8Array;
  /** Where the work was done, when that was not at the laboratory's address. */
  readonly site?: string;
  readonly references: readonly ReferenceInUse[];
  readonly asFound?: StageResult;
  readonly asLeft?: StageResult;
  /** Why there is no as-found result, when the record alone does not say it. */
  readonly noAsFound?: string;
  readonly dates: CertificateDates;
  /** What the thermometer, hygrometer and barometer of the room showed over the run, when the record has no such reading. */
  readonly room?: {
    readonly humidity_percent?: readonly [number, number];
    readonly pressure_hPa?: readonly [number, number];
  };
  /** Further conditions that the method names, one sentence each. */
  readonly conditions?: readonly string[];
  readonly review?: Act;
  readonly authorisation?: Act;
  readonly replaces?: Replaces;
  /** Head of the chain of hashes over the lines of the record, hexadecimal; ties the paper to the record. */
  readonly recordHead?: string;
  /** Tests that explain the unit, and opinions on what they point to, when their place on the certificate was asked for. */
  readonly further?: readonly FurtherTest[];
  readonly opinions?: Opinions;
  /** Day of the next calibration; printed only when the laboratory file holds the agreement it rests on. */
  readonly nextDue?: string;
}
