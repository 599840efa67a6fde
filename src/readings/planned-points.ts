import { z } from "zod";
import type { Direction } from "../vocabulary/reading.ts";

/** A point as the plan of the record asked for it. */
export interface PlannedPoint {
  readonly ordinal: number;
  readonly cycle: number;
  readonly direction: Direction;
  readonly nominal_percent: number;
  readonly nominal_mA: number;
}

const stepSchema = z.discriminatedUnion("kind", [
  z.object({
    kind: z.literal("point"),
    ordinal: z.number(),
    cycle: z.number(),
    direction: z.enum(["rising", "falling"]),
    nominal_percent: z.number(),
    nominal_mA: z.number(),
  }),
  z.object({ kind: z.literal("exercise") }),
]);

const planSchema = z.object({ steps: z.array(stepSchema) });

/**
 * Points of the plan kept in a record. The plan is kept whole and as it was; only its points are read here.
 * A plan that is not understood gives no points, so nothing is called missing on a guess.
 */
export const plannedPoints = (plan: unknown): readonly PlannedPoint[] => {
  const parsed = planSchema.safeParse(plan);
  if (!parsed.success) return [];
  return parsed.data.steps.flatMap((step): PlannedPoint[] => {
    if (step.kind !== "point") return [];
    const { kind: _, ...point } = step;
    return [point];
  });
};
