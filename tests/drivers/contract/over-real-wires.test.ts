import { afterEach, describe, expect, it } from "vitest";
import type { InstrumentSetup } from "../../../drivers/driver-entry.ts";
import { type LinkPlace, makeLinkTo } from "../../../drivers/links/make-link-to.ts";
import { wallTimers } from "../../../drivers/links/wall-timers.ts";
import { readProfile } from "../../../drivers/profiles/read-profile.ts";
import { openInstrument } from "../../../drivers/registry.ts";
import { settingsFromWishes } from "../../../drivers/simulated/bench-settings.ts";
import { type ServedEndpoint, serveSimulatedBench } from "../../../drivers/simulated/serve-simulated-bench.ts";
import { createSimulatedBench } from "../../../drivers/simulated/simulated-bench.ts";
import { kPa, mA, seconds } from "../../../src/vocabulary/quantities.ts";

/** The drivers against the simulated bench over a pseudo-terminal, a socket and lines of text, on the wall clock. */
const endings: (() => unknown)[] = [];
afterEach(async () => {
  for (const end of endings.splice(0).reverse()) await end();
});

const now_s = (): number => performance.now() / 1e3;
const stamp = () => seconds(now_s());
const UNITS = [
  { address: 1, device: "gauge" },
  { address: 2, device: "source" },
  { address: 3, device: "meter" },
] as const;

const serve = async () => {
  const served = await serveSimulatedBench({
    bench: createSimulatedBench(settingsFromWishes()),
    lines: [
      { name: "line", units: UNITS },
      { name: "text-gauge", text: "gauge" },
      { name: "text-source", text: "source" },
    ],
    tcp: [{ name: "rack", units: UNITS }],
    factor: 50,
    now: now_s,
  });
  if (!served.ok) throw new Error(served.fault.message);
  endings.push(() => served.value.close());
  return served.value;
};

const placeOf = (at: ServedEndpoint | undefined): LinkPlace => {
  if (at === undefined) throw new Error("no such wire");
  return at.kind === "tcp"
    ? at
    : { kind: "serial", port: at.path, baud: 115_200, parity: "none", data_bits: 8, stop_bits: 1 };
};

const profileOf = (name: string) => {
  const profile = readProfile(name);
  if (!profile.ok) throw new Error(profile.fault.message);
  return profile.value;
};

/** The serial number that a simulated instrument has, read over the wire by a driver that wants another. */
const serialIn = (message: string): string => /serial number (\S+)/u.exec(message)?.[1] ?? "";

describe("drivers over real wires", () => {
  for (const [wire, driver, gaugeProfile, sourceProfile] of [
    ["line", "register", "reference-gauge-registers", "loop-source-registers"],
    ["rack", "register", "reference-gauge-registers", "loop-source-registers"],
    ["text", "line", "reference-gauge-lines", "loop-source-lines"],
  ] as const) {
    it(`identify, set, follow and read over the ${wire}`, async () => {
      const served = await serve();
      const linkTo = (name: string) => {
        const timing = { answer_deadline_s: 0.5, quiet_after_trouble_s: 0.2 };
        const link = makeLinkTo(name, placeOf(served.endpoints.get(name)), timing, { stamp });
        endings.push(() => link.close());
        return link;
      };
      const gaugeLink = linkTo(wire === "text" ? "text-gauge" : wire);
      const sourceLink = wire === "text" ? linkTo("text-source") : gaugeLink;
      const world = { timers: wallTimers, stamp };
      const gaugeSetup: InstrumentSetup = {
        name: "gauge-1",
        serial_number: "?",
        profile: profileOf(gaugeProfile),
        address: 1,
        range: { lower: 0, upper: 400 },
      };
      const asked = openInstrument(driver, "gauge", gaugeSetup, { ...world, link: gaugeLink });
      const wrong = asked.ok ? await asked.value.identify() : asked;
      if (wrong.ok) throw new Error("the serial number ? was taken");
      expect(wrong.fault.code).toBe("wrong-identity");
      const gauge = openInstrument(
        driver,
        "gauge",
        { ...gaugeSetup, serial_number: serialIn(wrong.fault.message) },
        { ...world, link: gaugeLink },
      );
      if (!gauge.ok) throw new Error(gauge.fault.message);
      expect(await gauge.value.identify()).toMatchObject({ ok: true, value: { simulated: true } });

      const sourceSetup = { ...gaugeSetup, name: "source-1", profile: profileOf(sourceProfile), address: 2 };
      const range = { lower: 0, upper: 24 };
      const stranger = openInstrument(driver, "source", { ...sourceSetup, range }, { ...world, link: sourceLink });
      const unknown = stranger.ok ? await stranger.value.identify() : stranger;
      if (unknown.ok) throw new Error("the serial number ? was taken");
      const source = openInstrument(
        driver,
        "source",
        { ...sourceSetup, range, serial_number: serialIn(unknown.fault.message) },
        { ...world, link: sourceLink },
      );
      if (!source.ok) throw new Error(source.fault.message);
      const fallback = await source.value.armFallback(seconds(600), mA(4));
      expect(fallback).toMatchObject({ ok: true, value: { kind: wire === "text" ? "not-available" : "armed" } });

      const pressures: number[] = [];
      for (const current of [4, 12, 20]) {
        expect(await source.value.set(mA(current))).toMatchObject({ ok: true, value: { confirmed: current } });
        expect(await source.value.readBack()).toMatchObject({ ok: true, value: { value: { mA: current } } });
        // 20 s of simulated time at least: the converter stands still well before.
        const until_s = now_s() + 0.4;
        let last = kPa(Number.NaN);
        while (now_s() < until_s) {
          const reading = await gauge.value.read();
          if (!reading.ok) throw new Error(reading.fault.message);
          last = reading.value.value.kPa;
        }
        pressures.push(last);
      }
      // A 3-15 psi converter: 20.68, 62.05 and 103.42 kPa, within a few percent of span before any adjustment.
      for (const [index, ideal] of [20.68, 62.05, 103.42].entries()) {
        expect(Math.abs((pressures[index] ?? 0) - ideal)).toBeLessThan(5);
      }
      await gauge.value.close();
      expect(await gauge.value.read()).toMatchObject({ ok: false, fault: { code: "line-closed" } });
      expect(gaugeLink.counts().line_errors + gaugeLink.counts().foreign_answers).toBe(0);
    });
  }
});
