import { planText } from "../plan/plan-text.ts";
import { SEQUENCES } from "../plan/sequences/index.ts";
import type { Job } from "./prepare-job.ts";

/** The plan of a job as a person reads it. */
export const planOf = (job: Job): string => planText(job.plan, job.transfer);

export const sequenceList = (): readonly { readonly name: string; readonly summary: string }[] =>
  SEQUENCES.map(({ name, summary }) => ({ name, summary }));
