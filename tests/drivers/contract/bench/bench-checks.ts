import type { Role } from "../../../../drivers/driver-entry.ts";
import type { InstrumentOpener } from "../../../../src/app/open-station.ts";
import type { BenchFile } from "../../../../src/config/bench-file.schema.ts";
import type { CurrentSource, Instrument } from "../../../../src/ports/instruments.ts";
import { type Fault, faultText } from "../../../../src/vocabulary/fault.ts";
import { type Milliamp, mA, seconds } from "../../../../src/vocabulary/quantities.ts";
import type { Result } from "../../../../src/vocabulary/result.ts";

/** One line of the report: what was looked at, and what was seen. */
export interface BenchFinding {
  readonly check: string;
  readonly outcome: "passed" | "failed" | "skipped";
  readonly saw: string;
}

interface Reading {
  readonly value: object;
  readonly at_s: number;
  readonly raw?: string;
}

/** What a check has at hand: one instrument of the bench in one role, and ways to open it again. */
export interface Bench {
  readonly bench: BenchFile;
  readonly role: Role;
  readonly name: string;
  readonly instrument: Instrument;
  readonly opener: InstrumentOpener;
  readonly now_s: () => number;
  /** Longest time a call may take that finds a sound line, s. */
  readonly limit_s: number;
  /** The current that the source may be driven to and is left at; null: nothing is driven. */
  readonly output: Milliamp | null;
}

export interface BenchCheck {
  readonly name: string;
  /** Why the check does not apply; null when it does. */
  skips?(bench: Bench): string | null;
  /** `drives`: only where outputs were asked for. */
  readonly drives?: boolean;
  run(bench: Bench): Promise<Omit<BenchFinding, "check">>;
}

const passed = (saw: string) => ({ outcome: "passed" as const, saw });
const failed = (saw: string) => ({ outcome: "failed" as const, saw });

const readOf = (instrument: Instrument): Promise<Result<Reading, Fault>> =>
  "read" in instrument
    ? (instrument as Instrument & { read(): Promise<Result<Reading, Fault>> }).read()
    : (instrument as CurrentSource).readBack();

const numberOf = (reading: Reading): number =>
  Number(Object.values(reading.value).find((part) => typeof part === "number"));

const UNIT: Readonly<Record<Role, string>> = {
  source: "mA",
  gauge: "kPa",
  "supply-gauge": "kPa",
  "current-meter": "mA",
  ambient: "degC",
  humidity: "%RH",
  barometer: "kPa",
};

const shown = (reading: Reading, role: Role): string => `${Number(numberOf(reading).toPrecision(7))} ${UNIT[role]}`;

const took = async <T>(bench: Bench, call: Promise<T>): Promise<{ readonly result: T; readonly s: number }> => {
  const from_s = bench.now_s();
  const result = await call;
  return { result, s: bench.now_s() - from_s };
};

const ms = (s: number): string => `${Math.round(1000 * s)} ms`;

const READS = 5;

const identity: BenchCheck = {
  name: "identity and settings",
  run: async (bench) => {
    const { result, s } = await took(bench, bench.instrument.identify());
    if (!result.ok) return failed(faultText(result.fault));
    const { maker, model, serial_number } = result.value;
    const said = `${maker} ${model}, serial number ${serial_number}, after ${ms(s)}`;
    return s > bench.limit_s ? failed(`${said}, but ${ms(bench.limit_s)} are allowed`) : passed(said);
  },
};

const values: BenchCheck = {
  name: "values: unit, range, stamps, deadline",
  run: async (bench) => {
    const { instrument, role, now_s, limit_s } = bench;
    const told: string[] = [];
    let slowest_s = 0;
    let last_s = Number.NEGATIVE_INFINITY;
    for (let i = 0; i < READS; i += 1) {
      const asked_s = now_s();
      const { result, s } = await took(bench, readOf(instrument));
      if (!result.ok) return failed(faultText(result.fault));
      const { at_s, raw } = result.value;
      slowest_s = Math.max(slowest_s, s);
      if (!Number.isFinite(numberOf(result.value))) return failed(`a value that is no number: ${raw ?? "no bytes"}`);
      if (at_s < asked_s || at_s > now_s() || at_s <= last_s) {
        return failed(`a reading stamped ${at_s.toFixed(3)} s, asked for at ${asked_s.toFixed(3)} s`);
      }
      if (raw === undefined || raw === "") return failed("a reading without the bytes it came from");
      last_s = at_s;
      told.push(shown(result.value, role));
    }
    const said = `${told.at(0)} to ${told.at(-1)}, ${READS} times, slowest ${ms(slowest_s)}`;
    return slowest_s > limit_s ? failed(`${said}, but ${ms(limit_s)} are allowed`) : passed(said);
  },
};

/** The very instrument under a wrong name: whoever plugs in another one must not get its values. */
const swapped: BenchCheck = {
  name: "another serial number is refused",
  run: async ({ opener, role, name, bench }) => {
    const wanted = `${bench.instruments[name]?.serial_number ?? ""}-OTHER`;
    const opened = await opener.open(role, name, { serial_number: wanted });
    if (!opened.ok) return failed(faultText(opened.fault));
    const said = await readOf(opened.value);
    await opened.value.close();
    if (said.ok) return failed(`a value of ${shown(said.value, role)} was taken as that of ${wanted}`);
    return said.fault.code === "wrong-identity" ? passed(said.fault.message) : failed(faultText(said.fault));
  },
};

/** The same value held against a range that it cannot lie in. */
const outside: BenchCheck = {
  name: "a value outside the range is refused",
  run: async ({ instrument, opener, role, name }) => {
    const now = await readOf(instrument);
    if (!now.ok) return failed(faultText(now.fault));
    const lower = Math.abs(numberOf(now.value)) * 2 + 1000;
    const opened = await opener.open(role, name, { range: { lower, upper: 2 * lower } });
    if (!opened.ok) return failed(faultText(opened.fault));
    const said = await readOf(opened.value);
    await opened.value.close();
    if (said.ok)
      return failed(`${shown(said.value, role)} was taken although the range begins at ${lower} ${UNIT[role]}`);
    // A number near nothing is named for what it most often is: words in the wrong order.
    return ["out-of-range", "not-a-number"].includes(said.fault.code)
      ? passed(said.fault.message)
      : failed(faultText(said.fault));
  },
};

const AT_ONCE_S = 0.05;

const closing: BenchCheck = {
  name: "closed while it is read: settles at once",
  run: async (bench) => {
    const { opener, role, name, instrument } = bench;
    const opened = await opener.open(role, name);
    if (!opened.ok) return failed(faultText(opened.fault));
    const pending = readOf(opened.value);
    const from_s = bench.now_s();
    await opened.value.close();
    const said = await pending;
    const s = bench.now_s() - from_s;
    if (said.ok) return failed("a value came after it was closed");
    if (said.fault.code !== "line-closed") return failed(faultText(said.fault));
    if (s > AT_ONCE_S) return failed(`it settled after ${ms(s)}`);
    const after = await readOf(instrument);
    return after.ok
      ? passed(`line-closed after ${ms(s)}; the others on its line go on`)
      : failed(`afterwards: ${faultText(after.fault)}`);
  },
};

/** An address at which nobody sits, the highest that the file does not use. */
const freeAddress = ({ bench, name }: Bench): number | null => {
  const link = bench.instruments[name]?.link;
  const used = Object.values(bench.instruments).flatMap((each) => (each.link === link ? [each.address] : []));
  for (let address = 246; address >= 1; address -= 1) if (!used.includes(address)) return address;
  return null;
};

const silence: BenchCheck = {
  name: "silence is told within the deadline",
  skips: ({ bench, name }) =>
    bench.instruments[name]?.address === undefined
      ? "its line has no addresses, so nobody else can be asked in vain"
      : null,
  run: async (bench) => {
    const { opener, role, name, instrument, limit_s } = bench;
    const address = freeAddress(bench);
    if (address === null) return { outcome: "skipped", saw: "every address of its line is taken" };
    const opened = await opener.open(role, name, { address });
    if (!opened.ok) return failed(faultText(opened.fault));
    const { result, s } = await took(bench, opened.value.identify());
    await opened.value.close();
    if (result.ok) return { outcome: "skipped", saw: `it answers at address ${address} too, so no silence can be had` };
    if (s > limit_s) return failed(`told after ${ms(s)}, but ${ms(limit_s)} are allowed: ${result.fault.message}`);
    const after = await readOf(instrument);
    if (!after.ok) return failed(`afterwards: ${faultText(after.fault)}`);
    return passed(`${result.fault.code} of address ${address} after ${ms(s)}, and its own value right after it`);
  },
};

const sourceAt = async (source: CurrentSource, current: Milliamp): Promise<string | null> => {
  const set = await source.set(current);
  if (!set.ok) return faultText(set.fault);
  const back = await source.readBack();
  if (!back.ok) return faultText(back.fault);
  const off = Math.abs(back.value.value.mA - current);
  return off <= 0.01 ? null : `told ${current.toFixed(3)} mA, it says ${back.value.value.mA.toFixed(3)} mA`;
};

/** Small enough to move nothing on the bench, large enough to be seen by the source itself. */
const NUDGE_MA = 0.2;

const setting: BenchCheck = {
  name: "sets and confirms",
  drives: true,
  run: async ({ instrument, output }) => {
    if (output === null) return { outcome: "skipped", saw: "nothing is to be driven" };
    const source = instrument as CurrentSource;
    for (const current of [output, mA(output + NUDGE_MA), output]) {
      const wrong = await sourceAt(source, current);
      if (wrong !== null) return failed(wrong);
    }
    return passed(`${output} mA, ${NUDGE_MA} mA more, and ${output} mA again, as it says itself`);
  },
};

const refusing: BenchCheck = {
  name: "a current beyond its range is refused unsent",
  drives: true,
  run: async ({ instrument, bench, name, output }) => {
    const source = instrument as CurrentSource;
    const upper = bench.instruments[name]?.current?.upper.mA;
    if (upper === undefined || output === null) return { outcome: "skipped", saw: "the bench file gives no range" };
    const set = await source.set(mA(upper + 1));
    if (set.ok) return failed(`${upper + 1} mA was taken`);
    const back = await source.readBack();
    const stays = back.ok && Math.abs(back.value.value.mA - output) <= 0.01;
    return set.fault.code === "out-of-range" && stays ? passed(set.fault.message) : failed(faultText(set.fault));
  },
};

const FALLBACK_AFTER_S = 60;

const fallback: BenchCheck = {
  name: "fallback when nobody speaks to it",
  drives: true,
  run: async ({ instrument, output }) => {
    if (output === null) return { outcome: "skipped", saw: "nothing is to be driven" };
    const armed = await (instrument as CurrentSource).armFallback(seconds(FALLBACK_AFTER_S), output);
    if (!armed.ok) return failed(faultText(armed.fault));
    return armed.value.kind === "armed"
      ? passed(`armed: ${armed.value.current_mA} mA after ${armed.value.after_s} s`)
      : passed("it has none, and says so");
  },
};

/** The last thing said to a source that was driven, whatever went wrong before. */
const leaving: BenchCheck = {
  name: "is left as asked",
  drives: true,
  run: async ({ instrument, output }) => {
    if (output === null) return { outcome: "skipped", saw: "nothing was driven" };
    const wrong = await sourceAt(instrument as CurrentSource, output);
    return wrong === null
      ? passed(`it stands at ${output} mA, as it says itself`)
      : failed(`${wrong} Shut the supply and switch the source off by hand.`);
  },
};

const METER_CHECKS = [identity, values, swapped, outside, silence, closing];

/** The checks for a role, in the order in which they are made. */
export const checksFor = (role: Role): readonly BenchCheck[] =>
  role === "source" ? [...METER_CHECKS, setting, refusing, fallback, leaving] : METER_CHECKS;

/** The line is closed and opened anew: identity is asked again, and a value comes. */
export const valueAfterReopening = async (instrument: Instrument, role: Role): Promise<Omit<BenchFinding, "check">> => {
  const said = await readOf(instrument);
  return said.ok ? passed(shown(said.value, role)) : failed(faultText(said.fault));
};
