import { performance } from "node:perf_hooks";
import { setTimeout as pause } from "node:timers/promises";
import { makeLinkTo } from "../../drivers/links/make-link-to.ts";
import type { Endpoints } from "../../src/app/endpoints.ts";
import { SERVICE_UNIT } from "../../src/app/serve-bench.ts";
import { seconds } from "../../src/vocabulary/quantities.ts";

/**
 * The current that really flows on a simulated bench, from its service registers: asking them does not count as speaking
 * to the source, so that its fallback is not put off. `drivers/profiles/simulated-service-registers.yaml`.
 */
const TRUE_CURRENT = 10;
const SOURCE_SILENT = 2;
const LOOK_EVERY_MS = 20;

export interface LoopCurrent {
  now(): Promise<number>;
  /** Milliseconds until the current is as wanted; Infinity when it is not within `within_ms`. */
  until(wanted: (current_mA: number) => boolean, within_ms: number): Promise<number>;
  /** Lets the source answer, or not, as if unplugged. */
  silenceSource(silent: boolean): Promise<void>;
  close(): Promise<void>;
}

export const watchLoop = async ({ service }: Endpoints): Promise<LoopCurrent> => {
  if (service.kind !== "tcp") throw new Error("the service registers are served over TCP");
  const link = makeLinkTo(
    "service",
    service,
    { answer_deadline_s: 2, quiet_after_trouble_s: 0.1 },
    { stamp: () => seconds(performance.now() / 1000) },
  );
  const opened = await link.open();
  if (!opened.ok) throw new Error(opened.fault.message);
  const registers = link.registers({ instrument: "service registers", unit: SERVICE_UNIT });
  const now = async (): Promise<number> => {
    const answer = await registers.readRegisters("input", TRUE_CURRENT, 2);
    if (!answer.ok) throw new Error(answer.fault.message);
    const bytes = new DataView(new ArrayBuffer(4));
    answer.value.registers.forEach((register, i) => {
      bytes.setUint16(2 * i, register);
    });
    return bytes.getFloat32(0);
  };
  return {
    now,
    until: async (wanted, within_ms) => {
      const start = performance.now();
      for (;;) {
        if (wanted(await now())) return performance.now() - start;
        if (performance.now() - start > within_ms) return Number.POSITIVE_INFINITY;
        await pause(LOOK_EVERY_MS);
      }
    },
    silenceSource: async (silent) => {
      const answer = await registers.writeCoil(SOURCE_SILENT, silent);
      if (!answer.ok) throw new Error(answer.fault.message);
    },
    close: () => link.close(),
  };
};
