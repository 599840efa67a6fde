import type { AdjustmentSeen } from "../../vocabulary/adjustment.ts";
import type { Fault } from "../../vocabulary/fault.ts";

export type ReadingSeen = Extract<AdjustmentSeen, { kind: "reading" }>;
export type TurnSeen = Extract<AdjustmentSeen, { kind: "turn" }>;

/** Why adjusting stops short, or the fault that ends the run. */
export type Short =
  | { readonly kind: "short"; readonly why: string }
  | { readonly kind: "ended"; readonly fault: Fault };
