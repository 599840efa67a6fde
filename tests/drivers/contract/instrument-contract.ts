import { describe, expect, it } from "vitest";
import type { DriverWorld, InstrumentSetup, Role } from "../../../drivers/driver-entry.ts";
import { makeLink } from "../../../drivers/links/make-link.ts";
import type { Profile } from "../../../drivers/profiles/read-profile.ts";
import { openInstrument } from "../../../drivers/registry.ts";
import type { CurrentSource, Instrument } from "../../../src/ports/instruments.ts";
import type { Fault } from "../../../src/vocabulary/fault.ts";
import { mA, seconds } from "../../../src/vocabulary/quantities.ts";
import type { Result } from "../../../src/vocabulary/result.ts";
import { type VirtualTimers, virtualTimers } from "../virtual-timers.ts";
import type { FakeInstrument } from "./fake-instrument.ts";
import { fakeLineInstrument } from "./fake-line-instrument.ts";
import { FAKE_UNIT, fakeRegisterInstrument } from "./fake-register-instrument.ts";

const DEADLINE_S = 0.5;
const QUIET_S = 0.4;
const SERIAL = "HF-0042";

/** Ranges in internal units, and a value inside them. */
const QUANTITIES = {
  source: { name: "commanded", range: { lower: 0, upper: 24 }, value: 12 },
  gauge: { name: "pressure", range: { lower: 0, upper: 120 }, value: 60.5 },
  "supply-gauge": { name: "pressure", range: { lower: 0, upper: 400 }, value: 140.25 },
  "current-meter": { name: "current", range: { lower: 0, upper: 24 }, value: 12.125 },
  ambient: { name: "temperature", range: { lower: -10, upper: 60 }, value: 21.5 },
  humidity: { name: "humidity", range: { lower: 0, upper: 100 }, value: 45.5 },
  barometer: { name: "air_pressure", range: { lower: 0, upper: 120 }, value: 101.25 },
} as const;

interface Bench<I extends Instrument> {
  readonly timers: VirtualTimers;
  readonly fake: FakeInstrument;
  readonly instrument: I;
  /** Runs the clock until the call settles, and tells how long it took, s. */
  readonly run: <T>(
    call: Promise<Result<T, Fault>>,
  ) => Promise<{ readonly result: Result<T, Fault>; readonly took_s: number }>;
  readonly good: <T>(call: Promise<Result<T, Fault>>) => Promise<T>;
  readonly bad: (call: Promise<Result<unknown, Fault>>) => Promise<Fault>;
}

interface Readable extends Instrument {
  read(): Promise<Result<{ readonly value: object; readonly at_s: number; readonly raw?: string }, Fault>>;
}

const makeBench = <R extends Role>(driver: string, profile: Profile, role: R, setup: Partial<InstrumentSetup> = {}) => {
  const timers = virtualTimers();
  const fake =
    profile.kind === "registers" ? fakeRegisterInstrument(profile, timers) : fakeLineInstrument(profile, timers);
  fake.putText("maker", "SIMULATED fake bench");
  fake.putText("model", "F1");
  fake.putText("serial_number", SERIAL);
  for (const [name, { wanted }] of Object.entries(profile.settings)) {
    if (wanted !== undefined) fake.putSetting(name, wanted);
  }
  const quantity = QUANTITIES[role];
  if (role !== "source") fake.put(quantity.name, quantity.value);
  const link = makeLink(
    {
      name: "line-1",
      timers,
      stamp: timers.stamp,
      answer_deadline_s: DEADLINE_S,
      quiet_after_trouble_s: QUIET_S,
      gap_s: 0.002,
      character_s: 0,
      after_trouble: "stay-quiet",
    },
    fake.transport,
    "rtu",
  );
  const world: DriverWorld = { link, timers, stamp: timers.stamp };
  const opened = openInstrument(
    driver,
    role,
    { name: "unit-a", serial_number: SERIAL, profile, address: FAKE_UNIT, range: quantity.range, ...setup },
    world,
  );
  if (!opened.ok) throw new Error(opened.fault.message);
  const run: Bench<Instrument>["run"] = async (call) => {
    const from_s = timers.now_s();
    const result = await timers.settle(call);
    return { result, took_s: timers.now_s() - from_s };
  };
  return {
    timers,
    fake,
    instrument: opened.value,
    run,
    good: async <T>(call: Promise<Result<T, Fault>>): Promise<T> => {
      const { result } = await run(call);
      if (!result.ok) throw new Error(`${result.fault.code}: ${result.fault.message}`);
      return result.value;
    },
    bad: async (call: Promise<Result<unknown, Fault>>): Promise<Fault> => {
      const { result } = await run(call);
      if (result.ok) throw new Error(`a fault was wanted, but ${JSON.stringify(result.value)} came`);
      return result.fault;
    },
  };
};

/** What every instrument owes that is reached over a wire. */
const instrumentCases = (driver: string, profile: Profile, role: Role): void => {
  const bench = () => makeBench(driver, profile, role);
  const ask = (instrument: Instrument): Promise<Result<unknown, Fault>> =>
    "read" in instrument ? (instrument as Readable).read() : (instrument as CurrentSource).readBack();

  it("says who it is, and that it is simulated when its maker says so", async () => {
    const { instrument, good } = bench();
    expect(await good(instrument.identify())).toEqual({
      maker: "SIMULATED fake bench",
      model: "F1",
      serial_number: SERIAL,
      simulated: true,
    });
  });

  it("is not taken for simulated when its maker does not say so", async () => {
    const { instrument, fake, good } = bench();
    fake.putText("maker", "Harbour Forge");
    expect((await good(instrument.identify())).simulated).toBe(false);
  });

  it("is refused when it has another serial number, and names both", async () => {
    const { instrument, fake, bad } = bench();
    fake.putText("serial_number", "HF-0043");
    const fault = await bad(instrument.identify());
    expect(fault.code).toBe("wrong-identity");
    expect(fault.message).toContain("HF-0043");
    expect(fault.message).toContain(SERIAL);
    expect((await bad(ask(instrument))).code).toBe("wrong-identity");
  });

  it("is refused when it does not know its serial number", async () => {
    const { instrument, fake, bad } = bench();
    fake.putText("serial_number", "0");
    expect((await bad(instrument.identify())).code).toBe("wrong-identity");
  });

  it("gives no value before identity and settings were found right", async () => {
    const { instrument, fake, good } = bench();
    await good(ask(instrument));
    const first = fake.requests;
    await good(ask(instrument));
    // The first call asked more than the second: who it is, and how it is set.
    expect(first).toBeGreaterThan(fake.requests - first);
  });

  it("tells silence within its deadline", async () => {
    const { instrument, fake, run, good } = bench();
    await good(instrument.identify());
    fake.manner = "silent";
    const { result, took_s } = await run(ask(instrument));
    expect(result.ok ? "a value" : result.fault.code).toBe("silence");
    expect(took_s).toBeLessThanOrEqual(DEADLINE_S + 0.01);
  });

  it("tells a broken answer from silence, and reads right again after it", async () => {
    const { instrument, fake, good, bad } = bench();
    await good(instrument.identify());
    fake.manner = "garbage";
    expect((await bad(ask(instrument))).code).toBe("line-error");
    fake.manner = "good";
    await good(ask(instrument));
  });

  it("settles at once with line-closed when it is closed while it is asked, and ever after", async () => {
    const { instrument, fake, timers, good, bad } = bench();
    await good(instrument.identify());
    fake.manner = "silent";
    const pending = ask(instrument);
    const at_s = timers.now_s();
    void instrument.close();
    expect((await bad(pending)).code).toBe("line-closed");
    expect(timers.now_s()).toBe(at_s);
    await instrument.close();
    expect((await bad(ask(instrument))).code).toBe("line-closed");
    expect((await bad(instrument.identify())).code).toBe("line-closed");
  });

  it("settles at once with line-lost when the plug is pulled", async () => {
    const { instrument, fake, timers, good, bad } = bench();
    await good(instrument.identify());
    fake.manner = "silent";
    const pending = ask(instrument);
    await timers.pass(0.1);
    const at_s = timers.now_s();
    fake.pullOut();
    expect((await bad(pending)).code).toBe("line-lost");
    expect(timers.now_s()).toBe(at_s);
  });

  it("asks again who is there after the line was lost, before a value counts", async () => {
    const { instrument, fake, good, bad } = bench();
    await good(ask(instrument));
    fake.pullOut();
    fake.putText("serial_number", "HF-0099");
    fake.plugIn();
    expect((await bad(ask(instrument))).code).toBe("wrong-identity");
    fake.putText("serial_number", SERIAL);
    await good(ask(instrument));
  });

  it("says that the line is down while it is down", async () => {
    const { instrument, fake, good, bad, timers } = bench();
    await good(ask(instrument));
    fake.pullOut();
    await timers.pass(1);
    expect((await bad(ask(instrument))).code).toBe("line-lost");
    fake.plugIn();
    await timers.pass(3);
    await good(ask(instrument));
  });

  if (Object.keys(profile.settings).length > 0) {
    for (const name of Object.keys(profile.settings)) {
      it(`refuses a value while the setting ${name} is wrong`, async () => {
        const { instrument, fake, bad } = bench();
        fake.putSetting(name, name === "unit" ? "psi" : name === "mode" ? "absolute" : 0.25);
        const fault = await bad(ask(instrument));
        expect(fault.code).toBe("wrong-setting");
        expect(fault.message).toContain(name);
      });
    }
  }

  if (profile.readings["status"] !== undefined) {
    it("makes no value of a reading while the instrument reports trouble", async () => {
      const { instrument, fake, good, bad } = bench();
      await good(instrument.identify());
      for (const [bit, words] of Object.entries(
        (profile.kind === "registers" && profile.readings["status"]?.bits) || {},
      )) {
        fake.putStatus(2 ** Number(bit));
        const fault = await bad(ask(instrument));
        expect(fault.code).toBe("device-refused");
        expect(fault.message).toContain(words);
      }
    });
  }
};

const meterCases = (driver: string, profile: Profile, role: Exclude<Role, "source">): void => {
  const bench = () => {
    const made = makeBench(driver, profile, role);
    return { ...made, instrument: made.instrument as Readable };
  };
  const { name, value, range } = QUANTITIES[role];
  const numberOf = (reading: { readonly value: object }): number =>
    Number(Object.values(reading.value).find((part) => typeof part === "number"));

  it("reads in the internal unit, stamped when the bytes arrived, with the bytes", async () => {
    const { instrument, timers, good } = bench();
    await good(instrument.identify());
    const reading = await good(instrument.read());
    expect(numberOf(reading)).toBe(value);
    // The answer of the fake was the last thing that happened.
    expect(reading.at_s).toBe(timers.now_s());
    expect(reading.raw).toMatch(/^[0-9a-f]+( [0-9a-f]+)*$/u);
  });

  it("refuses what is no number", async () => {
    const { instrument, fake, bad } = bench();
    fake.put(name, Number.NaN);
    expect((await bad(instrument.read())).code).toBe("not-a-number");
  });

  it("refuses what it cannot measure", async () => {
    const { instrument, fake, bad } = bench();
    fake.put(name, range.upper * 2);
    const fault = await bad(instrument.read());
    expect(fault.code).toBe("out-of-range");
    expect(fault.message).toContain("unit-a");
  });

  it("never takes a late answer for the next one", async () => {
    const { instrument, fake, good, bad } = bench();
    await good(instrument.identify());
    fake.put(name, value);
    fake.manner = "late";
    fake.late_s = DEADLINE_S + 0.3;
    expect((await bad(instrument.read())).code).toBe("silence");
    fake.manner = "good";
    // The late answer with the old value is on its way while the next one is asked for.
    fake.put(name, value / 2);
    expect(numberOf(await good(instrument.read()))).toBe(value / 2);
  });

  if (profile.kind === "registers") {
    it("tells a refusal in words", async () => {
      const { instrument, fake, good, bad } = bench();
      await good(instrument.identify());
      fake.manner = "refuses";
      const fault = await bad(instrument.read());
      expect(fault.code).toBe("device-refused");
      expect(fault.message).toContain("device failure (exception 4)");
    });

    it("waits for an instrument that is busy, but not for ever", async () => {
      const { instrument, fake, timers, good, run } = bench();
      await good(instrument.identify());
      fake.exception = 6;
      fake.manner = "refuses";
      timers.after(0.5, () => {
        fake.manner = "good";
      });
      expect(numberOf(await good(instrument.read()))).toBe(value);
      fake.manner = "refuses";
      const { result, took_s } = await run(instrument.read());
      expect(result.ok ? "a value" : result.fault.code).toBe("device-busy");
      expect(took_s).toBeLessThan(2 + DEADLINE_S);
    });

    it("tells silence behind a gateway as silence", async () => {
      const { instrument, fake, good, bad } = bench();
      await good(instrument.identify());
      fake.exception = 11;
      fake.manner = "refuses";
      expect((await bad(instrument.read())).code).toBe("silence");
    });
  }

  if (profile.readings["count"] !== undefined) {
    it("tells an instrument that measures nothing new, and never gives one measurement twice", async () => {
      const { instrument, fake, good, run } = bench();
      await good(instrument.read());
      fake.counting = false;
      const { result, took_s } = await run(instrument.read());
      expect(result.ok ? "a value" : result.fault.code).toBe("no-new-data");
      expect(took_s).toBeGreaterThan(1.9);
      expect(took_s).toBeLessThan(2 + DEADLINE_S);
      fake.counting = true;
      await good(instrument.read());
    });

    it("settles at once when it is closed while it waits for a new measurement", async () => {
      const { instrument, fake, timers, good, bad } = bench();
      await good(instrument.read());
      fake.counting = false;
      const pending = instrument.read();
      // Between two questions nothing is on the wire.
      await timers.pass(0.015);
      const at_s = timers.now_s();
      void instrument.close();
      expect((await bad(pending)).code).toBe("line-closed");
      expect(timers.now_s()).toBe(at_s);
    });
  }
};

const sourceCases = (driver: string, profile: Profile): void => {
  const bench = () => makeBench(driver, profile, "source");
  const commanded = (fake: FakeInstrument): number => fake.get("current");
  /** Requests of a set up to and with the one that writes, once the instrument is known. */
  const hasOutput = profile.commands["output"] !== undefined;

  /** The fake keeps one value for what is commanded, under the name of the command. */
  const prepared = async (current: number) => {
    const made = bench();
    await made.good(made.instrument.set(mA(current)));
    return made;
  };

  it("sets, and confirms with what the instrument says", async () => {
    const { instrument, fake, good } = bench();
    const { confirmed } = await good(instrument.set(mA(12)));
    expect(confirmed).toBe(12);
    expect(commanded(fake)).toBe(12);
    if (hasOutput) expect(fake.get("output")).toBe(1);
  });

  it("reads back what is commanded", async () => {
    const { instrument, good, timers } = await prepared(8.5);
    const asked_s = timers.now_s();
    const reading = await good(instrument.readBack());
    expect(reading.value.mA).toBe(8.5);
    expect(reading.at_s).toBeGreaterThan(asked_s);
    expect(reading.at_s).toBeLessThanOrEqual(timers.now_s());
  });

  it("refuses a current that it cannot drive before anything is sent", async () => {
    const { instrument, fake, bad } = await prepared(8);
    const before = fake.requests;
    for (const current of [24.5, -0.1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect((await bad(instrument.set(mA(current)))).code).toBe("out-of-range");
    }
    expect(fake.requests).toBe(before);
    expect(commanded(fake)).toBe(8);
  });

  it("does not send a command twice when its answer is lost, and finds that it was carried out", async () => {
    const { instrument, fake, good } = await prepared(8);
    const before = fake.writes;
    // Registers: the answer to the write is lost. Lines: the answer to the question after it.
    fake.silentAfter = profile.kind === "registers" ? 1 : 2;
    expect((await good(instrument.set(mA(10)))).confirmed).toBe(10);
    expect(fake.writes).toBe(before + 1);
  });

  it("says set-not-confirmed when the answer is lost and the value is another one", async () => {
    const { instrument, fake, bad } = await prepared(8);
    const before = fake.writes;
    fake.obeys = false;
    fake.silentAfter = profile.kind === "registers" ? 1 : 2;
    const fault = await bad(instrument.set(mA(10)));
    expect(fault.code).toBe("set-not-confirmed");
    expect(fault.message).toContain("10 mA");
    expect(fault.message).toContain("8 mA");
    expect(fake.writes).toBe(before + 1);
  });

  it("says set-not-confirmed when the instrument says yes and does nothing", async () => {
    const { instrument, fake, bad } = await prepared(8);
    fake.obeys = false;
    expect((await bad(instrument.set(mA(10)))).code).toBe("set-not-confirmed");
  });

  it("says set-not-confirmed when nothing answers, within a few deadlines", async () => {
    const { instrument, fake, run } = await prepared(8);
    fake.manner = "silent";
    const { result, took_s } = await run(instrument.set(mA(10)));
    expect(result.ok ? "set" : result.fault.code).toBe("set-not-confirmed");
    expect(took_s).toBeLessThan(4 * (DEADLINE_S + QUIET_S));
  });

  it("tells a refusal, and that the value did not change", async () => {
    const { instrument, fake, bad } = await prepared(8);
    fake.manner = "refuses";
    expect((await bad(instrument.set(mA(10)))).code).toBe("device-refused");
    expect(commanded(fake)).toBe(8);
  });

  if (profile.kind === "registers") {
    it("takes no exception of a gateway or of a busy instrument for a refusal: the value is read back", async () => {
      for (const exception of [5, 6]) {
        const { instrument, fake, timers, good, bad } = await prepared(8);
        const before = fake.writes;
        fake.exception = exception;
        fake.manner = "refuses";
        timers.after(0.3, () => {
          fake.manner = "good";
          fake.put("current", 10);
        });
        expect((await good(instrument.set(mA(10)))).confirmed).toBe(10);
        expect(fake.writes).toBe(before + 1);
        fake.manner = "refuses";
        expect((await bad(instrument.set(mA(12)))).code).toBe("set-not-confirmed");
      }
      const { instrument, fake, bad } = await prepared(8);
      fake.exception = 11;
      fake.manner = "refuses";
      expect((await bad(instrument.set(mA(12)))).code).toBe("set-not-confirmed");
    });
  }

  it("never sets an instrument that was swapped while the line was down", async () => {
    const { instrument, fake, bad } = await prepared(8);
    fake.pullOut();
    fake.putText("serial_number", "HF-0099");
    fake.plugIn();
    const before = fake.writes;
    expect((await bad(instrument.set(mA(20)))).code).toBe("wrong-identity");
    expect(fake.writes).toBe(before);
    expect(commanded(fake)).toBe(8);
  });

  it("drops a set that waits when the line is lost, instead of sending it afterwards", async () => {
    const { instrument, fake, timers, bad } = await prepared(8);
    fake.manner = "silent";
    const first = instrument.readBack();
    const second = instrument.set(mA(20));
    await timers.pass(0.1);
    const before = fake.writes;
    fake.pullOut();
    fake.manner = "good";
    fake.putText("serial_number", "HF-0099");
    fake.plugIn();
    expect((await bad(first)).code).toBe("line-lost");
    expect(["line-lost", "set-not-confirmed", "wrong-identity"]).toContain((await bad(second)).code);
    expect(fake.writes).toBe(before);
    expect(commanded(fake)).toBe(8);
  });

  it("sets one value after the other when two are asked at once", async () => {
    const { instrument, fake, timers } = await prepared(8);
    const both = await timers.settle(Promise.all([instrument.set(mA(10)), instrument.set(mA(4))]));
    expect(both.map((each) => each.ok && each.value.confirmed)).toEqual([10, 4]);
    expect(commanded(fake)).toBe(4);
  });

  it("is closed while a set is pending, and that set settles at once", async () => {
    const { instrument, fake, timers, bad } = await prepared(8);
    fake.manner = "silent";
    const pending = instrument.set(mA(10));
    const at_s = timers.now_s();
    await instrument.close();
    expect((await bad(pending)).code).toBe("line-closed");
    expect(timers.now_s()).toBe(at_s);
  });

  if (profile.commands["fallback_after"] === undefined) {
    it("says that it has no fallback", async () => {
      const { instrument, fake, good } = await prepared(8);
      const before = fake.writes;
      expect(await good(instrument.armFallback(seconds(10), mA(4)))).toEqual({ kind: "not-available" });
      expect(fake.writes).toBe(before);
    });
  } else {
    it("arms its fallback, and again after a reconnect before any current is set", async () => {
      const { instrument, fake, good, bad } = bench();
      const armed = await good(instrument.armFallback(seconds(10), mA(4)));
      expect(armed).toEqual({ kind: "armed", after_s: 10, current_mA: 4 });
      expect(fake.get("fallback_after")).toBe(10);
      expect(fake.get("fallback_current")).toBe(4);
      fake.pullOut();
      fake.put("fallback_after", 0);
      fake.put("fallback_current", 0);
      fake.plugIn();
      await good(instrument.set(mA(12)));
      expect(fake.get("fallback_after")).toBe(10);
      expect(fake.get("fallback_current")).toBe(4);
      fake.obeys = false;
      fake.put("fallback_after", 0);
      expect((await bad(instrument.armFallback(seconds(10), mA(4)))).code).toBe("set-not-confirmed");
    });
  }
};

/** The whole contract for one driver, profile and role. */
export const instrumentContract = (driver: string, profile: Profile, role: Role): void => {
  describe(`${driver} with ${profile.name} as ${role}`, () => {
    instrumentCases(driver, profile, role);
    if (role === "source") sourceCases(driver, profile);
    else meterCases(driver, profile, role);
  });
};
