import type { RegisterBank } from "../../../drivers/frames/register-slave.ts";
import { serialTiming } from "../../../drivers/frames/rtu-frame.ts";
import { seconds } from "../../../src/vocabulary/quantities.ts";
import { makeLink, wallTimers } from "./built.ts";
import { type Figure, median, now_s } from "./figures.ts";
import { timedWire } from "./timed-wire.ts";

/** What the simulated instrument takes from the last byte of a question to the first of its answer, s. */
const ANSWER_TIME_S = 0.005;
/** A read of two registers: 8 characters out, 9 back. Source: MODBUS Application Protocol V1.1b3, 6.3. */
const CHARACTERS = 17;
const LINE = { parity: "even", data_bits: 8, stop_bits: 1 } as const;

const bank: RegisterBank = {
  readHolding: (_, count) => new Uint16Array(count),
  readInput: (_, count) => new Uint16Array(count),
  readCoils: () => null,
  writeHolding: () => false,
  writeCoils: () => false,
};

const linkAt = (baud: number) => {
  const timing = serialTiming({ baud, ...LINE });
  const wire = timedWire(timing.character_s, ANSWER_TIME_S, () => bank);
  const link = makeLink(
    {
      name: `line at ${baud}`,
      timers: wallTimers,
      stamp: () => seconds(now_s()),
      answer_deadline_s: 0.5,
      quiet_after_trouble_s: 0.2,
      ...timing,
      after_trouble: "stay-quiet",
    },
    wire.transport,
    "rtu",
  );
  return { link, wire, ...timing };
};

/**
 * One instrument, asked again as soon as it has answered. On a busy machine the wire in the process is late itself, so
 * the cycle is put together from the times of the wire as they ought to be and what the link takes from the last byte of
 * an answer to its next request.
 */
const oneInstrument = async (baud: number, duration_s: number): Promise<readonly Figure[]> => {
  const { link, wire, character_s, gap_s } = linkAt(baud);
  await link.open();
  const station = link.registers({ instrument: "gauge", unit: 1 });
  const until_s = now_s() + duration_s;
  while (now_s() < until_s) {
    const answer = await station.readRegisters("input", 0, 2);
    if (!answer.ok) throw new Error(answer.fault.message);
  }
  await link.close();
  const frames_s = CHARACTERS * character_s + ANSWER_TIME_S;
  const cycle_s = frames_s + median(wire.turnarounds_s);
  return [
    {
      name: `RTU ${baud} Bd, share of the wire's limit (frames, answer time, 3.5 characters of silence)`,
      value: (frames_s + gap_s) / cycle_s,
      unit: "",
      goal: { at: "least", value: 0.9 },
    },
    {
      name: `RTU ${baud} Bd, without the silence that no master may leave out (at best ${(frames_s / (frames_s + gap_s)).toFixed(3)})`,
      value: frames_s / cycle_s,
      unit: "",
    },
    {
      name: `RTU ${baud} Bd, shortest silence before a request, of the ${(1000 * gap_s).toFixed(2)} ms that are due`,
      value: Math.min(...wire.turnarounds_s) / gap_s,
      unit: "",
      goal: { at: "least", value: 1 },
    },
  ];
};

/** Sixteen gauges on one line, each asked again as soon as it has answered. */
const sixteenGauges = async (duration_s: number): Promise<readonly Figure[]> => {
  const GAUGES = 16;
  const { link } = linkAt(19_200);
  await link.open();
  const until_s = now_s() + duration_s;
  const reads = await Promise.all(
    Array.from({ length: GAUGES }, async (_, index) => {
      const station = link.registers({ instrument: `gauge ${index + 1}`, unit: index + 1 });
      let count = 0;
      while (now_s() < until_s) {
        const answer = await station.readRegisters("input", 0, 2);
        if (!answer.ok) throw new Error(answer.fault.message);
        count += 1;
      }
      return count;
    }),
  );
  await link.close();
  const share = reads.reduce((sum, count) => sum + count, 0) / GAUGES;
  return [
    { name: `RTU 19200 Bd, ${GAUGES} gauges, reads of each`, value: share, unit: "reads" },
    {
      name: `RTU 19200 Bd, ${GAUGES} gauges, farthest from an equal share`,
      value: Math.max(...reads.map((count) => (100 * Math.abs(count - share)) / share)),
      unit: "%",
      goal: { at: "most", value: 5 },
    },
  ];
};

export const rtuWire = async (quick: boolean): Promise<readonly Figure[]> => {
  const figures: Figure[] = [];
  for (const baud of [9600, 19_200, 115_200]) figures.push(...(await oneInstrument(baud, quick ? 2 : 10)));
  figures.push(...(await sixteenGauges(quick ? 8 : 20)));
  return figures;
};
