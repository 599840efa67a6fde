import type { Role } from "../../../../drivers/driver-entry.ts";
import type { Instrument } from "../../../../src/ports/instruments.ts";
import { faultText } from "../../../../src/vocabulary/fault.ts";
import {
  type Bench,
  type BenchCheck,
  type BenchFinding,
  failed,
  ms,
  numberOf,
  passed,
  readOf,
  shown,
  took,
  UNIT,
} from "./bench-check.ts";

/** What every instrument owes that is reached over a wire; nothing of it writes to one. */

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

export const READING_CHECKS = [identity, values, swapped, outside, silence, closing];

/** The line is closed and opened anew: identity is asked again, and a value comes. */
export const valueAfterReopening = async (instrument: Instrument, role: Role): Promise<Omit<BenchFinding, "check">> => {
  const said = await readOf(instrument);
  return said.ok ? passed(shown(said.value, role)) : failed(faultText(said.fault));
};
