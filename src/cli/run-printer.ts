import { createLogUpdate } from "log-update";
import type { Watched } from "../app/run-watch.ts";
import { eventLine, liveLines, type ViewOf } from "./live-view.ts";
import { type Streams, say } from "./streams.ts";

/** Time between two redraws: fast enough for the eye, slow enough not to flicker. */
const REDRAW_MS = 200;

export interface RunPrinter {
  see(watched: Watched): void;
  /** Puts the moving lines away, so that something else can be written. */
  rest(): void;
}

/** On a terminal the view moves and events stay above it; elsewhere one plain line an event. */
export const createRunPrinter = (streams: Streams, view: Omit<ViewOf, "width">): RunPrinter => {
  const viewOf = (): ViewOf => ({ ...view, width: streams.columns() });
  if (!streams.live) {
    return {
      see: (watched) => {
        const line = eventLine(watched, viewOf());
        if (line !== null) say(streams.talk, line);
      },
      rest: () => {},
    };
  }
  const screen = createLogUpdate(streams.talk as NodeJS.WriteStream);
  let drawn = 0;
  return {
    see: (watched) => {
      const line = eventLine(watched, viewOf());
      if (line !== null) screen.persist(line);
      const now = Date.now();
      if (line === null && now - drawn < REDRAW_MS) return;
      drawn = now;
      screen(liveLines(watched, viewOf()).join("\n"));
    },
    rest: () => screen.clear(),
  };
};
