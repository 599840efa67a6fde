import type { CauseEntry } from "./cause.ts";
import { supplyDroop, supplyLow, supplyPulsating, supplySensitive } from "./causes/air-supply.ts";
import { drift, hunting, leak, ringing } from "./causes/behaviour.ts";
import { bentCurve, friction, spanOff, wornLinkage, zeroOff } from "./causes/curve.ts";
import { loopCurrent, reversed, wrongRange } from "./causes/loop.ts";
import { blockedExhaust, cloggedFeed, cloggedRestrictor, longLine } from "./causes/speed.ts";

/** All causes, roots first: one that explains another comes before it. */
export const CAUSES: readonly CauseEntry[] = [
  reversed,
  loopCurrent,
  supplyLow,
  supplyDroop,
  supplyPulsating,
  wrongRange,
  leak,
  hunting,
  ringing,
  longLine,
  drift,
  wornLinkage,
  friction,
  cloggedRestrictor,
  cloggedFeed,
  blockedExhaust,
  supplySensitive,
  bentCurve,
  zeroOff,
  spanOff,
];
