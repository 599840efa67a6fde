import { describe, expect, it } from "vitest";
import { assertDialect } from "../../../drivers/instruments/asserted-dialect.ts";
import type { Dialect } from "../../../drivers/instruments/dialect.ts";
import { measuredValue } from "../../../drivers/instruments/measured-value.ts";
import { fault } from "../../../src/vocabulary/fault.ts";
import { err, ok } from "../../../src/vocabulary/result.ts";

/** A dialect with an era that the test moves on, and the number of times it was asked who it is. */
const bench = (duringIdentity: (times: number) => void = () => undefined) => {
  const state = { generation: 1, asked: 0 };
  const unused = (): never => {
    throw new Error("not part of this test");
  };
  const dialect: Dialect = {
    get generation() {
      return state.generation;
    },
    identity: async () => {
      state.asked += 1;
      const { generation } = state;
      duringIdentity(state.asked);
      return ok({ maker: "Harbour Forge", model: "G1", serial_number: "7", generation });
    },
    settings: async () => ok([]),
    hasReading: unused,
    hasCommand: unused,
    unitOfReading: unused,
    unitOfCommand: unused,
    read: unused,
    send: unused,
    confirm: unused,
    tolerance: unused,
    staleAfter_s: null,
    close: unused,
  };
  return { state, asserted: assertDialect(dialect, { name: "gauge-1", serial_number: "7" }) };
};

const silent = fault("communication", "silence", "gauge-1 did not answer.");

describe("work that counts only with the right instrument on the line", () => {
  it("asks once who is there while nothing changes", async () => {
    const { state, asserted } = bench();
    for (let call = 0; call < 3; call += 1) await asserted.with(async () => ok({ generation: 1 }), true);
    expect(state.asked).toBe(1);
  });

  it("asks again after trouble on the line, which may have brought it out of step", async () => {
    const { state, asserted } = bench();
    await asserted.with(async () => ok({ generation: 1 }), true);
    expect(asserted.proof).toBe(1);
    await asserted.with(async () => err(silent), true);
    expect(asserted.proof).toBe(0);
    await asserted.with(async () => ok({ generation: 1 }), true);
    expect(state.asked).toBe(2);
    expect(asserted.proof).toBe(2);
  });

  it("takes no answer of another era, and does the work again only when that is harmless", async () => {
    for (const repeatable of [true, false]) {
      const { state, asserted } = bench();
      let done = 0;
      const result = await asserted.with(async () => {
        done += 1;
        if (done === 1) state.generation = 2;
        return ok({ generation: state.generation });
      }, repeatable);
      expect(result.ok ? "value" : result.fault.code).toBe(repeatable ? "value" : "line-lost");
      expect(done).toBe(repeatable ? 2 : 1);
      expect(state.asked).toBe(repeatable ? 2 : 1);
    }
  });

  it("does no work when the line was opened anew while it asked who is there", async () => {
    const { state, asserted } = bench((times) => {
      if (times === 1) state.generation = 2;
    });
    let doneWith = 0;
    await asserted.with(async () => {
      doneWith = state.asked;
      return ok({ generation: 2 });
    }, false);
    expect(doneWith).toBe(2);
  });

  it("gives up when the line is opened anew again and again", async () => {
    const { state, asserted } = bench(() => {
      state.generation += 1;
    });
    const result = await asserted.with(async () => ok({ generation: state.generation }), true);
    expect(result.ok ? "value" : result.fault.code).toBe("line-lost");
  });
});

describe("a number that an instrument gave", () => {
  const value = (given: number, unit = "kPa") =>
    measuredValue("gauge-1", "pressure", { value: given, unit }, { lower: 0, upper: 100 });

  it("is converted to the internal unit", () => {
    expect(value(0.5, "bar")).toEqual({ ok: true, value: 50 });
    expect(measuredValue("m", "current", { value: 0.012, unit: "A" }, undefined)).toEqual({ ok: true, value: 12 });
    expect(measuredValue("m", "temperature", { value: 68, unit: "degF" }, undefined)).toEqual({ ok: true, value: 20 });
  });

  it("may lie a little beyond the range, and not more", () => {
    expect(value(-0.2).ok).toBe(true);
    expect(value(104).ok).toBe(true);
    for (const far of [-6, 106]) expect(value(far)).toMatchObject({ fault: { code: "out-of-range" } });
  });

  it("is refused when it is no number, or a denormal that comes of a wrong address", () => {
    for (const bad of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1.4e-45]) {
      expect(value(bad)).toMatchObject({ fault: { code: "not-a-number" } });
    }
  });

  it("is zero when it is minus zero", () => {
    const zero = value(-0);
    expect(zero.ok && Object.is(zero.value, 0)).toBe(true);
  });
});
