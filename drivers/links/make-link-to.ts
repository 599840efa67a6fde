import type { Link } from "../../src/ports/link.ts";
import type { Timers } from "../../src/ports/timers.ts";
import type { Second } from "../../src/vocabulary/quantities.ts";
import { serialTiming } from "../frames/rtu-frame.ts";
import { makeLink } from "./make-link.ts";
import { type SerialSettings, serialTransport } from "./serial-transport.ts";
import { tcpTransport } from "./tcp-transport.ts";
import { wallTimers } from "./wall-timers.ts";

export interface LinkTiming {
  readonly answer_deadline_s: number;
  /** Silence kept after a late or broken answer; longer than the slowest answer of any instrument on the link. */
  readonly quiet_after_trouble_s: number;
}

export type LinkPlace =
  | ({ readonly kind: "serial" } & SerialSettings)
  | { readonly kind: "tcp"; readonly host: string; readonly port: number };

export interface LinkWorld {
  /** Instant on the run's clock, for the stamps of readings. */
  readonly stamp: () => Second;
  /** The clock on the wall unless another is handed in. */
  readonly timers?: Timers;
}

/** Makes a link; nothing is opened before `open` or the first request. */
export const makeLinkTo = (name: string, place: LinkPlace, timing: LinkTiming, world: LinkWorld): Link => {
  const common = { name, ...timing, stamp: world.stamp, timers: world.timers ?? wallTimers };
  if (place.kind === "serial") {
    const wire = { ...common, ...serialTiming(place), after_trouble: "stay-quiet" } as const;
    return makeLink(wire, serialTransport(place), "rtu");
  }
  const wire = { ...common, gap_s: 0, character_s: 0, after_trouble: "open-anew" } as const;
  return makeLink(wire, tcpTransport(place), "mbap");
};
