import type { DriverWorld, InstrumentOf, Role } from "../../../drivers/driver-entry.ts";
import { serialTiming } from "../../../drivers/frames/rtu-frame.ts";
import { makeLink } from "../../../drivers/links/make-link.ts";
import { readProfile } from "../../../drivers/profiles/read-profile.ts";
import { openInstrument } from "../../../drivers/registry.ts";
import type { DeviceName } from "../../../drivers/simulated/bench-settings.ts";
import { lineBytes, rtuBytes, type ServedBytes, tcpBytes } from "../../../drivers/simulated/served-bytes.ts";
import { createSimulatedBench, type SimulatedBench } from "../../../drivers/simulated/simulated-bench.ts";
import { createVirtualHand } from "../../../drivers/simulated/simulated-hand.ts";
import { wireLines, wireRegisters } from "../../../drivers/simulated/wired-device.ts";
import { benchStreams, type StationInstruments } from "../../../src/app/bench-streams.ts";
import type { Job } from "../../../src/app/prepare-job.ts";
import { type JobOutcome, runJob } from "../../../src/app/run-job.ts";
import { simulatedSettings } from "../../../src/app/simulated-settings.ts";
import type { Link } from "../../../src/ports/link.ts";
import type { Prompter } from "../../../src/ports/prompter.ts";
import type { RunOutput } from "../../../src/run/run-output.ts";
import { spanOf } from "../../../src/vocabulary/signal-range.ts";
import { must } from "../../app/practice-job.ts";
import { type InProcessWire, inProcessWire } from "../in-process-wire.ts";
import { timerScheduler } from "../timer-scheduler.ts";
import { type VirtualTimers, virtualTimers } from "../virtual-timers.ts";

/**
 * The whole way in one process and in virtual time: simulated bench, bytes, wire, lane, driver, streams, run. Only the
 * wire and the clock are fakes.
 */
export interface VirtualStation {
  readonly timers: VirtualTimers;
  readonly model: SimulatedBench;
  /** By name of the link in the bench file. */
  readonly wires: ReadonlyMap<string, InProcessWire>;
  readonly links: ReadonlyMap<string, Link>;
  run(watch?: (output: RunOutput) => void): Promise<JobOutcome>;
}

export interface StationHooks {
  /** Instead of a wire: these instruments are worked by hand, by whoever this is. */
  readonly byHand?: {
    readonly roles: readonly ("source" | "gauge")[];
    readonly prompter: (model: SimulatedBench, timers: VirtualTimers) => Prompter;
    /** How well they can be read, kPa and mA. */
    readonly readability: number;
  };
  /** Instead of what the bench file says. */
  readonly quiet_after_trouble_s?: number;
  /** Puts something between a wire and the instruments behind it; `answer` gives what they say. */
  readonly between?: (
    wire: InProcessWire,
    answer: (request: Uint8Array) => readonly Uint8Array[],
    timers: VirtualTimers,
    framing: "rtu" | "mbap" | "lines",
  ) => (request: Uint8Array) => void;
}

/** What an instrument takes to answer, s. */
const ANSWER_TIME_S = 0.002;

export const virtualStation = (job: Job, hooks: StationHooks = {}): VirtualStation => {
  const timers = virtualTimers();
  const scheduler = timerScheduler(timers);
  const settings = must(simulatedSettings(job.bench, job.station, job.unit));
  const model = createSimulatedBench(settings);
  const slots = job.bench.stations[job.station];
  if (slots === undefined) throw new Error("no station");
  const deviceOf = (name: string): DeviceName =>
    name === slots.source ? "source" : name === slots.gauge ? "gauge" : "meter";

  const wires = new Map<string, InProcessWire>();
  const links = new Map<string, Link>();
  for (const [name, link] of Object.entries(job.bench.links)) {
    const hanging = Object.entries(job.bench.instruments).filter(([, instrument]) => instrument.link === name);
    const text = hanging.find(([, { address }]) => address === undefined);
    const framing = text !== undefined ? "lines" : link.kind === "serial" ? "rtu" : "mbap";
    const devices = new Map(
      hanging.map(([each, { address }]) => [address ?? 0, wireRegisters(model, deviceOf(each), 1)] as const),
    );
    const served = (): ServedBytes => {
      if (text !== undefined) return lineBytes(wireLines(model, deviceOf(text[0]) === "source" ? "source" : "gauge"));
      return framing === "rtu" ? rtuBytes(devices) : tcpBytes(devices);
    };
    const answer = (request: Uint8Array): readonly Uint8Array[] => {
      model.advanceTo(timers.now_s());
      // Each request is one burst with silence before it.
      return served().receive(request);
    };
    const wire = inProcessWire(name);
    wire.device =
      hooks.between?.(wire, answer, timers, framing) ??
      ((request) => {
        for (const bytes of answer(request)) timers.after(ANSWER_TIME_S, () => wire.say(bytes));
      });
    wires.set(name, wire);
    links.set(
      name,
      makeLink(
        {
          name,
          timers,
          stamp: timers.stamp,
          answer_deadline_s: link.answer_deadline.s,
          quiet_after_trouble_s: hooks.quiet_after_trouble_s ?? link.quiet_after_trouble.s,
          ...(link.kind === "serial"
            ? { gap_s: serialTiming(link).gap_s, after_trouble: "stay-quiet" as const }
            : { gap_s: 0, after_trouble: "open-anew" as const }),
          // Bytes take no time on this wire.
          character_s: 0,
        },
        wire.transport,
        framing === "mbap" ? "mbap" : "rtu",
      ),
    );
  }

  const prompter = hooks.byHand?.prompter(model, timers);
  const open = <R extends Role>(role: R, name: string): InstrumentOf[R] => {
    const instrument = job.bench.instruments[name];
    if (instrument === undefined) throw new Error(`no ${name}`);
    const profile = instrument.profile === undefined ? undefined : must(readProfile(instrument.profile));
    const world: DriverWorld = { link: links.get(instrument.link ?? ""), timers, stamp: timers.stamp };
    const { pressure, current } = instrument;
    const range =
      role === "source" || role === "current-meter"
        ? current && { lower: current.lower.mA, upper: current.upper.mA }
        : role === "ambient" || role === "humidity" || role === "barometer"
          ? undefined
          : pressure && { lower: pressure.lower.kPa, upper: pressure.upper.kPa };
    if (hooks.byHand?.roles.some((each) => each === role)) {
      const { serial_number } = instrument;
      const setup = { name, serial_number, range, mode: "gauge" as const, resolution: hooks.byHand.readability };
      return must(openInstrument("person", role, setup, { prompter, timers, stamp: timers.stamp }));
    }
    const setup = { name, serial_number: instrument.serial_number, profile, address: instrument.address, range };
    const mode = role === "gauge" || role === "supply-gauge" ? pressure?.mode : undefined;
    return must(openInstrument(instrument.driver, role, { ...setup, mode }, world));
  };

  const instruments: StationInstruments = {
    source: open("source", slots.source),
    gauge: open("gauge", slots.gauge),
    currentMeter: slots.current_meter === undefined ? null : open("current-meter", slots.current_meter),
    supplyGauge: slots.supply_gauge === undefined ? null : open("supply-gauge", slots.supply_gauge),
    ambient: slots.ambient === undefined ? null : open("ambient", slots.ambient),
    humidity: slots.humidity === undefined ? null : open("humidity", slots.humidity),
    barometer: slots.barometer === undefined ? null : open("barometer", slots.barometer),
  };

  return {
    timers,
    model,
    wires,
    links,
    run: async (watch) => {
      const outcome = runJob(job, {
        run_id: "virtual-station",
        bench: benchStreams(instruments, job.safe_mA, scheduler, 0, true),
        hand: createVirtualHand(model, scheduler, { seed: 1, span_kPa: spanOf(job.transfer.output) }),
        clock: { kind: "virtual", factor: 1, scheduler, zero_ms: 0 },
        utc_zero_ms: 0,
        keep: () => null,
        ...(watch === undefined ? {} : { watch }),
      });
      return timers.settle(outcome);
    },
  };
};
