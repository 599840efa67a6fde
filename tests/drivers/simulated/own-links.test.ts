import { afterEach, expect, it } from "vitest";
import { makeLinkTo } from "../../../drivers/links/make-link-to.ts";
import { settingsFromWishes } from "../../../drivers/simulated/bench-settings.ts";
import { floatRegisters } from "../../../drivers/simulated/register-fields.ts";
import { type ServedBench, serveSimulatedBench } from "../../../drivers/simulated/serve-simulated-bench.ts";
import { createSimulatedBench } from "../../../drivers/simulated/simulated-bench.ts";
import type { Link } from "../../../src/ports/link.ts";
import { seconds } from "../../../src/vocabulary/quantities.ts";

/** The links of the bench talk to the simulated instruments as to any others. */
const clock = () => performance.now() / 1000;
let served: ServedBench | null = null;
let link: Link | null = null;

afterEach(async () => {
  await link?.close();
  await served?.close();
});

const timing = { answer_deadline_s: 0.3, quiet_after_trouble_s: 0.1 };

const open = async (wire: "line" | "rack" | "text") => {
  const bench = createSimulatedBench(settingsFromWishes());
  const units = [
    { address: 1, device: "gauge" },
    { address: 2, device: "source" },
  ] as const;
  const opened = await serveSimulatedBench({
    bench,
    lines: [
      { name: "line", units },
      { name: "text", text: "gauge" },
    ],
    tcp: [{ name: "rack", units }],
    factor: 100,
    now: clock,
  });
  if (!opened.ok) throw new Error(opened.fault.message);
  served = opened.value;
  const at = served.endpoints.get(wire);
  if (at === undefined) throw new Error(`no wire ${wire}`);
  const serial = { baud: 115_200, parity: "none", data_bits: 8, stop_bits: 1 } as const;
  const place = at.kind === "serial" ? { kind: at.kind, port: at.path, ...serial } : at;
  const made = makeLinkTo(wire, place, timing, { stamp: () => seconds(clock()) });
  link = made;
  expect(await made.open()).toMatchObject({ ok: true });
  return { bench, served: opened.value, link: made };
};

it.each(["line", "rack"] as const)("reads and sets over the %s, and meets silence and refusal", async (wire) => {
  const { bench, served: line, link: made } = await open(wire);
  const gauge = made.registers({ instrument: "gauge-1", unit: 1 });
  const source = made.registers({ instrument: "source-1", unit: 2 });
  expect(await source.writeRegisters(64, floatRegisters(12))).toMatchObject({ ok: true });
  expect(await source.readRegisters("holding", 64, 2)).toMatchObject({
    ok: true,
    value: { registers: floatRegisters(12) },
  });
  expect(await gauge.readRegisters("input", 0, 8)).toMatchObject({ ok: true });
  expect(await source.writeRegisters(64, floatRegisters(30))).toMatchObject({ fault: { code: "device-refused" } });
  bench.silent.gauge = true;
  const silent = await gauge.readRegisters("input", 0, 2);
  // Over TCP a unit that is gone is told by exception 11, as a gateway tells it; that is silence too.
  expect(silent).toMatchObject({ fault: { code: "silence" } });
  bench.silent.gauge = false;
  expect(await gauge.readRegisters("input", 0, 2)).toMatchObject({ ok: true });
  line.unplug(wire);
  const lost = await gauge.readRegisters("input", 0, 2);
  expect(lost.ok).toBe(false);
  expect(!lost.ok && lost.fault.kind).toBe("communication");
});

it("asks lines over a pseudo-terminal", async () => {
  const { link: made } = await open("text");
  // A line in text is opened like any serial port; only its stations differ.
  const gauge = made.lines({ instrument: "gauge-1", ends_with: "\n", encoding: "ascii" });
  expect(await gauge.ask("*IDN?")).toMatchObject({ ok: true, value: { text: expect.stringMatching(/^SIMULATED/u) } });
  expect(await gauge.ask("UNIT:PRES?")).toMatchObject({ ok: true, value: { text: "kPa" } });
});
