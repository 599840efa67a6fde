import type { RegisterBank } from "../frames/register-slave.ts";
import type { DeviceName } from "./bench-settings.ts";
import { identityFields, identityOf } from "./device-identity.ts";
import { gaugeIndication, gaugeInUnit, holdGauge } from "./gauge-indication.ts";
import { bankOf, bitsField, type CoilField, floatField, wordField } from "./register-fields.ts";
import type { GaugeState, SimulatedBench } from "./simulated-bench.ts";

/** The register maps of the simulated instruments, as the profiles of the same names describe them. */

const GAUGE_UNITS: readonly GaugeState["unit"][] = ["Pa", "kPa", "bar", "psi"];
const WORD_ORDERS: readonly GaugeState["word_order"][] = ["ABCD", "CDAB", "BADC", "DCBA"];
const GAUGE_MODES: readonly GaugeState["mode"][] = ["gauge", "absolute", "differential"];

const swapped = (word: number): number => ((word & 0xff) << 8) | (word >>> 8);

const inOrder = (words: readonly number[], order: GaugeState["word_order"]): readonly number[] => {
  const turned = order === "CDAB" || order === "DCBA" ? words.toReversed() : words;
  return order === "BADC" || order === "DCBA" ? turned.map(swapped) : turned;
};

/** The measured values lie this many registers later than the map says; before them lies a zero. */
const shifted = (bank: RegisterBank, shift: () => number): RegisterBank => ({
  ...bank,
  readInput: (address, count) => {
    const by = shift();
    if (by === 0) return bank.readInput(address, count);
    const from = Math.max(0, address - by);
    const missing = from - (address - by);
    if (missing >= count) return new Uint16Array(count);
    const found = bank.readInput(from, count - missing);
    return found instanceof Uint16Array ? Uint16Array.from([...new Uint16Array(missing), ...found]) : found;
  },
});

const gaugeBank = (bench: SimulatedBench): RegisterBank => {
  const identity = identityOf(bench, "gauge");
  const state = bench.gaugeState;
  const pressure = floatField(0, () => gaugeIndication(bench));
  const bank = bankOf({
    identification: identity,
    holding: [
      ...identityFields(identity),
      wordField(48, () => GAUGE_UNITS.indexOf(state.unit)),
      wordField(49, () => GAUGE_MODES.indexOf(state.mode)),
      floatField(50, () => gaugeInUnit(state, state.tare_kPa)),
    ],
    input: [
      { ...pressure, read: () => inOrder(pressure.read(), state.word_order) },
      bitsField(2, () => {
        const { lower_kPa, upper_kPa } = bench.settings.gauge;
        const shown = bench.gauge.shown();
        return [
          upper_kPa !== undefined && shown > upper_kPa,
          lower_kPa !== undefined && shown < lower_kPa,
          state.sensor_fault,
          state.not_warmed_up,
        ];
      }),
      wordField(3, () => state.hold?.count ?? bench.gauge.count()),
      floatField(4, () => gaugeInUnit(state, bench.settings.gauge.resolution ?? 0)),
      floatField(6, () => bench.meter.temperature.shown()),
    ],
  });
  return shifted(bank, () => state.address_shift);
};

const sourceBank = (bench: SimulatedBench): RegisterBank => {
  const identity = identityOf(bench, "source");
  const { source } = bench;
  const lower = bench.settings.source.lower_mA ?? 0;
  const upper = bench.settings.source.upper_mA ?? 24;
  const inRange = (current: number): boolean => current >= lower && current <= upper;
  return bankOf({
    identification: identity,
    holding: [
      ...identityFields(identity),
      floatField(64, source.commanded_mA, (current) => void source.set(current), inRange),
      floatField(
        66,
        () => source.fallback().after_s,
        (after) => source.setFallback(after, source.fallback().current_mA),
        (after) => Number.isFinite(after) && after >= 0,
      ),
      floatField(
        68,
        () => source.fallback().current_mA,
        (current) => source.setFallback(source.fallback().after_s, current),
        inRange,
      ),
    ],
    input: [
      floatField(0, source.current_mA),
      bitsField(2, () => {
        const status = source.status();
        return [status.loop_open, status.compliance_reached, status.fallback_active];
      }),
    ],
    coils: [{ address: 0, read: source.enabled, write: source.enable }],
  });
};

const meterBank = (bench: SimulatedBench): RegisterBank => {
  const identity = identityOf(bench, "meter");
  return bankOf({
    identification: identity,
    holding: identityFields(identity),
    input: [
      floatField(0, () => bench.meter.current.answer()),
      floatField(2, () => bench.meter.pressure.answer()),
      floatField(4, () => bench.meter.temperature.answer()),
      floatField(6, () => bench.truth().humidity_percent),
      floatField(8, () => bench.truth().air_pressure_kPa),
    ],
  });
};

/** Hands and faults of the simulated bench. No real instrument has anything of the kind. */
const serviceBank = (bench: SimulatedBench, factor: number): RegisterBank => {
  const identity = identityOf(bench, "service");
  const state = bench.gaugeState;
  const last = { zero: 0, span: 0 };
  const stopped = { zero: false, span: false };
  let isolated = false;
  const turn = (screw: "zero" | "span") => (turns: number) => {
    last[screw] = turns;
    stopped[screw] = bench.plant.turn(screw, turns).at_stop;
  };
  const silence = (address: number, device: Exclude<DeviceName, "service">): CoilField => ({
    address,
    read: () => bench.silent[device],
    write: (on) => {
      bench.silent[device] = on;
    },
  });
  return bankOf({
    identification: identity,
    holding: [
      ...identityFields(identity),
      floatField(64, () => last.zero, turn("zero")),
      floatField(66, () => last.span, turn("span")),
      floatField(68, bench.supply.setting_kPa, bench.supply.set, (v) => v >= 0 && v <= 1000),
      floatField(
        70,
        () => bench.source.loopResistance_ohm(),
        bench.source.setLoopResistance,
        (ohm) => Number.isFinite(ohm) && ohm > 0,
      ),
      wordField(
        72,
        () => GAUGE_UNITS.indexOf(state.unit),
        (code) => {
          state.unit = GAUGE_UNITS[code] ?? state.unit;
        },
        (code) => code < GAUGE_UNITS.length,
      ),
      wordField(
        73,
        () => GAUGE_MODES.indexOf(state.mode),
        (code) => {
          state.mode = GAUGE_MODES[code] ?? state.mode;
        },
        (code) => code < GAUGE_MODES.length,
      ),
      floatField(
        74,
        () => state.tare_kPa,
        (tare) => {
          state.tare_kPa = tare;
        },
      ),
      wordField(
        76,
        () => WORD_ORDERS.indexOf(state.word_order),
        (code) => {
          state.word_order = WORD_ORDERS[code] ?? state.word_order;
        },
        (code) => code < WORD_ORDERS.length,
      ),
      wordField(
        77,
        () => state.address_shift,
        (shift) => {
          state.address_shift = shift;
        },
        (shift) => shift <= 1,
      ),
    ],
    input: [
      floatField(0, () => bench.plant.screws().zero),
      floatField(2, () => bench.plant.screws().span),
      floatField(4, bench.time_s),
      floatField(6, () => factor),
      floatField(8, () => bench.truth().pressure_kPa),
      floatField(10, () => bench.truth().current_mA),
      floatField(12, () => bench.truth().supply_kPa),
      bitsField(14, () => [stopped.zero, stopped.span]),
    ],
    coils: [
      { address: 0, read: () => bench.source.status().loop_open, write: bench.source.openLoop },
      silence(1, "gauge"),
      silence(2, "source"),
      silence(3, "meter"),
      {
        address: 4,
        read: () => state.sensor_fault,
        write: (on) => {
          state.sensor_fault = on;
        },
      },
      {
        address: 5,
        read: () => state.not_warmed_up,
        write: (on) => {
          state.not_warmed_up = on;
        },
      },
      {
        address: 6,
        read: () => isolated,
        write: (on) => {
          isolated = on;
          bench.plant.isolate(on);
        },
      },
      { address: 7, read: () => state.hold !== null, write: (on) => holdGauge(bench, on) },
    ],
  });
};

/** Registers of one simulated instrument. `factor` is simulated seconds per second, for the service registers to tell. */
export const deviceRegisters = (bench: SimulatedBench, device: DeviceName, factor: number): RegisterBank => {
  switch (device) {
    case "gauge":
      return gaugeBank(bench);
    case "source":
      return sourceBank(bench);
    case "meter":
      return meterBank(bench);
    case "service":
      return serviceBank(bench, factor);
  }
};
