import { crc16 } from "../../drivers/frames/crc16.ts";
import type { Timers } from "../../src/ports/timers.ts";
import type { InProcessWire } from "./in-process-wire.ts";

/** What may happen to an answer on its way. Times in s. */
export const WIRE_FAULTS = [
  "drop",
  "delay",
  "late",
  "duplicate",
  "corrupt",
  "truncate",
  "split",
  "echo",
  "foreign-unit",
  "noise-before",
  "noise-after",
  "garbage",
  "disappear",
] as const;

export type WireFault = (typeof WIRE_FAULTS)[number];

/** Reproducible numbers in 0..1. Mulberry32, public domain. */
export const seededRandom = (seed: number): (() => number) => {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
};

export interface FaultPlan {
  readonly timers: Timers;
  readonly random: () => number;
  /** The fault for the next answer; `null` lets it pass. */
  readonly next: () => WireFault | null;
  readonly answer_deadline_s: number;
  /** Late answers come up to this long after the deadline. */
  readonly latest_s: number;
  /** A duplicate follows within this time. */
  readonly duplicate_within_s: number;
  /** Whether bytes of an old opening are lost with it (a socket) or still arrive (a serial line). */
  readonly carries_over: boolean;
  readonly framing: "rtu" | "mbap" | "lines";
}

export interface FaultProxy {
  /** The device behind the proxy: request bytes in, answers out. */
  readonly device: (request: Uint8Array) => void;
  readonly injected: Readonly<Record<WireFault, number>>;
  readonly total: () => number;
}

const join = (...parts: readonly Uint8Array[]): Uint8Array => Uint8Array.from(parts.flatMap((part) => [...part]));

/** Puts faults between a slave and a wire. */
export const faultProxy = (
  wire: InProcessWire,
  slave: (request: Uint8Array) => readonly Uint8Array[],
  plan: FaultPlan,
): FaultProxy => {
  const injected = Object.fromEntries(WIRE_FAULTS.map((name) => [name, 0])) as Record<WireFault, number>;
  const { timers, random, answer_deadline_s } = plan;
  const below = (limit: number): number => Math.floor(random() * limit);

  let socketFree_s = 0;

  const deliver = (delay_s: number, bytes: Uint8Array): void => {
    const { era } = wire;
    // A socket keeps the order in which bytes were given to it; nothing can slip into the middle of an answer.
    if (!plan.carries_over) socketFree_s = Math.max(socketFree_s, timers.now_s() + delay_s);
    const wait_s = plan.carries_over ? delay_s : socketFree_s - timers.now_s();
    timers.after(wait_s, () => {
      if (plan.carries_over) wire.say(bytes);
      else wire.sayIn(era, bytes);
    });
  };

  /** Unit 9 answers in place of the one that was asked, with everything else in order. */
  const fromAnotherUnit = (answer: Uint8Array): Uint8Array => {
    // Lines have no address: what comes is the answer of something else.
    if (plan.framing === "lines") return Uint8Array.from(Buffer.from("HELLO, READY\n"));
    const other = answer.slice();
    if (plan.framing === "mbap") {
      other[6] = 9;
      return other;
    }
    other[0] = 9;
    const crc = crc16(other.subarray(0, -2));
    other[other.length - 2] = crc & 0xff;
    other[other.length - 1] = crc >>> 8;
    return other;
  };

  /** A stray character on a line of text is none of its characters; see above. */
  const noise = (): number => (plan.framing === "lines" ? 128 + below(32) : below(256));

  const corrupted = (answer: Uint8Array): Uint8Array => {
    const bad = answer.slice();
    if (plan.framing === "lines") {
      // A line of text has no checksum: a digit that turns into another digit cannot be told by any program. What can be
      // told is a character that is none, as a spoilt one is with parity or with its top bit set.
      const spoilt = below(bad.length - 1);
      bad[spoilt] = (bad[spoilt] ?? 0) | 0x80;
      return bad;
    }
    // A socket has its own checksum: there only the header is spoilt, as by a gateway that lost step.
    const at = plan.framing === "rtu" ? below(bad.length) : 2 + below(2);
    bad[at] = (bad[at] ?? 0) ^ (1 << below(8));
    return bad;
  };

  /** What comes of an answer: portions of bytes, each after its own delay, s. */
  const portions = (
    fault: Exclude<WireFault, "disappear"> | null,
    request: Uint8Array,
    answer: Uint8Array,
  ): readonly (readonly [delay_s: number, bytes: Uint8Array])[] => {
    const soon_s = 0.002 * random();
    switch (fault) {
      case null:
        return [[soon_s, answer]];
      case "drop":
        return [];
      case "delay":
        return [[answer_deadline_s * (0.3 + 0.6 * random()), answer]];
      case "late":
        return [[answer_deadline_s * 1.01 + plan.latest_s * random(), answer]];
      case "duplicate":
        return [
          [soon_s, answer],
          [soon_s + plan.duplicate_within_s * random(), answer],
        ];
      case "corrupt":
        return [[soon_s, corrupted(answer)]];
      case "truncate":
        return [[soon_s, answer.slice(0, 1 + below(answer.length - 1))]];
      case "split": {
        const cut = 1 + below(answer.length - 1);
        return [
          [soon_s, answer.slice(0, cut)],
          [soon_s + 0.001 + 0.01 * random(), answer.slice(cut)],
        ];
      }
      case "echo":
        return [[soon_s, join(request, answer)]];
      case "foreign-unit":
        return [[soon_s, fromAnotherUnit(answer)]];
      case "noise-before":
        return [[soon_s, join(Uint8Array.of(random() < 0.5 ? 0x00 : noise()), answer)]];
      case "noise-after":
        return [[soon_s, join(answer, Uint8Array.of(noise()))]];
      case "garbage":
        return [[soon_s, Uint8Array.from({ length: 1 + below(40) }, noise)]];
    }
  };

  const send = (fault: WireFault | null, request: Uint8Array, answer: Uint8Array): void => {
    if (fault === "disappear") {
      wire.pullOut();
      timers.after(0.05 + 0.3 * random(), () => wire.plugIn());
      return;
    }
    for (const [delay_s, bytes] of portions(fault, request, answer)) deliver(delay_s, bytes);
  };

  return {
    injected,
    total: () => Object.values(injected).reduce((sum, count) => sum + count, 0),
    device: (request) => {
      const answers = slave(request);
      for (const answer of answers) {
        const fault = plan.next();
        if (fault !== null) injected[fault] += 1;
        send(fault, request, answer);
      }
    },
  };
};
