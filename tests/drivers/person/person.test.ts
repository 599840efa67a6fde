import { describe, expect, it } from "vitest";
import type { Role } from "../../../drivers/driver-entry.ts";
import { openInstrument } from "../../../drivers/registry.ts";
import type { HandQuestion, Prompter } from "../../../src/ports/prompter.ts";
import type { Fault } from "../../../src/vocabulary/fault.ts";
import { mA, seconds } from "../../../src/vocabulary/quantities.ts";
import type { Result } from "../../../src/vocabulary/result.ts";
import { virtualTimers } from "../virtual-timers.ts";

/** A person who types these answers one after the other; `undefined` = thinks for ever. */
const person = (...answers: readonly (string | null | undefined)[]) => {
  const asked: HandQuestion[] = [];
  const left = [...answers];
  const prompter: Prompter = {
    ask: (question, signal) => {
      asked.push(question);
      const next = left.shift();
      if (next !== undefined) return Promise.resolve(next);
      return new Promise((resolve) => {
        signal.addEventListener("abort", () => resolve(null));
      });
    },
  };
  return { prompter, asked };
};

const bench = <R extends Role>(role: R, answers: readonly (string | null | undefined)[], resolution = 0.05) => {
  const timers = virtualTimers();
  const { prompter, asked } = person(...answers);
  const range = role === "source" ? { lower: 0, upper: 24 } : { lower: 0, upper: 120 };
  const opened = openInstrument(
    "person",
    role,
    { name: "dial-1", serial_number: "D-7", range, mode: "gauge", resolution },
    { timers, stamp: timers.stamp, prompter },
  );
  if (!opened.ok) throw new Error(opened.fault.message);
  return { instrument: opened.value, asked, timers };
};

const code = (result: Result<unknown, Fault>): string => (result.ok ? "value" : result.fault.code);

describe("an instrument worked by hand", () => {
  it("is known by the serial number on its label", async () => {
    const right = bench("gauge", ["D-7"]);
    expect(await right.timers.settle(right.instrument.identify())).toMatchObject({
      ok: true,
      value: { serial_number: "D-7", simulated: false },
    });
    const wrong = bench("gauge", ["D-8"]);
    expect(code(await wrong.timers.settle(wrong.instrument.identify()))).toBe("wrong-identity");
  });

  it("is read twice, in any unit, and the text typed is kept", async () => {
    const { instrument, asked, timers } = bench("gauge", ["60.0 kPa", "0.6002 bar"]);
    const read = await timers.settle(instrument.read());
    expect(read).toMatchObject({ ok: true, value: { value: { mode: "gauge" }, raw: "0.6002 bar" } });
    expect(read.ok ? read.value.value.kPa : 0).toBeCloseTo(60.02, 9);
    expect(asked).toHaveLength(2);
    expect(asked[1]?.text).toContain("60.0 kPa");
  });

  it("asks on until two readings agree within what can be read, and gives up in the end", async () => {
    const agree = bench("gauge", ["60.0 kPa", "60.5 kPa", "60.52 kPa"]);
    expect(await agree.timers.settle(agree.instrument.read())).toMatchObject({ ok: true, value: { raw: "60.52 kPa" } });
    const never = bench("gauge", ["60 kPa", "61 kPa", "62 kPa", "63 kPa"]);
    expect(code(await never.timers.settle(never.instrument.read()))).toBe("not-a-number");
  });

  it("asks again with the reason when a text cannot be read", async () => {
    const { instrument, asked, timers } = bench("gauge", ["60", "60 kPa", "60 kPa"]);
    expect(code(await timers.settle(instrument.read()))).toBe("value");
    expect(asked[1]?.text).toContain("has no unit");
    const hopeless = bench("gauge", ["x", "y", "z"]);
    expect(code(await hopeless.timers.settle(hopeless.instrument.read()))).toBe("not-a-number");
  });

  it("refuses what it cannot show", async () => {
    const { instrument, timers } = bench("gauge", ["600 kPa"]);
    expect(code(await timers.settle(instrument.read()))).toBe("out-of-range");
  });

  it("is set by a person, and what it shows counts", async () => {
    const { instrument, asked, timers } = bench("source", ["12.02 mA", "12.5 mA", "12.5 mA", "12.5 mA", "12.01 mA"]);
    expect(await timers.settle(instrument.set(mA(12)))).toEqual({ ok: true, value: { confirmed: 12.02 } });
    expect(asked[0]?.text).toContain("12.000 mA");
    expect(code(await timers.settle(instrument.set(mA(12))))).toBe("set-not-confirmed");
    expect(code(await timers.settle(instrument.set(mA(30))))).toBe("out-of-range");
    expect(asked).toHaveLength(3);
    expect(asked[2]?.text).toContain("You typed 12.5 mA, which is not 12.000 mA.");
    // Set right at the second look.
    expect(await timers.settle(instrument.set(mA(12)))).toEqual({ ok: true, value: { confirmed: 12.01 } });
    expect(await timers.settle(instrument.armFallback(seconds(5), mA(4)))).toEqual({
      ok: true,
      value: { kind: "not-available" },
    });
  });

  it("ends when the person gives up, says nothing, or the instrument is closed", async () => {
    const given = bench("gauge", [null]);
    expect(code(await given.timers.settle(given.instrument.read()))).toBe("stopped-by-person");
    const silent = bench("gauge", [undefined]);
    expect(code(await silent.timers.settle(silent.instrument.read()))).toBe("silence");
    expect(silent.timers.now_s()).toBe(600);
    const closed = bench("source", [undefined]);
    const pending = closed.instrument.readBack();
    await closed.instrument.close();
    await closed.instrument.close();
    expect(code(await closed.timers.settle(pending))).toBe("line-closed");
    expect(closed.timers.now_s()).toBe(0);
    expect(code(await closed.timers.settle(closed.instrument.set(mA(4))))).toBe("line-closed");
  });

  it("cannot be opened without somebody to ask, or without knowing how well it can be read", () => {
    const timers = virtualTimers();
    const setup = { name: "dial-1", serial_number: "D-7" };
    const world = { timers, stamp: timers.stamp };
    expect(code(openInstrument("person", "gauge", setup, world))).toBe("bad-option");
    expect(code(openInstrument("person", "gauge", setup, { ...world, prompter: person().prompter }))).toBe(
      "bad-option",
    );
    expect(code(openInstrument("person", "ambient", setup, world))).toBe("bad-option");
    expect(code(openInstrument("nobody", "gauge", setup, world))).toBe("bad-option");
    expect(code(openInstrument("register", "gauge", setup, world))).toBe("bad-option");
    expect(code(openInstrument("line", "gauge", setup, world))).toBe("bad-option");
  });
});
