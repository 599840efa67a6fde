import { expect, it } from "vitest";
import { makeLink } from "../../../drivers/links/make-link.ts";
import { parseProfile } from "../../../drivers/profiles/read-profile.ts";
import { registerDialect } from "../../../drivers/registers/register-dialect.ts";
import { FAKE_UNIT, fakeRegisterInstrument } from "../contract/fake-register-instrument.ts";
import { virtualTimers } from "../virtual-timers.ts";

const PROFILE = `format: stillpoint-register-profile 1
title: A gauge with its status in another table
role: pressure-gauge
identity:
  maker: { table: holding, address: 0, type: text, registers: 4 }
  model: { table: holding, address: 4, type: text, registers: 4 }
  serial_number: { table: holding, address: 8, type: text, registers: 4 }
readings:
  pressure: { table: input, address: 0, type: float32, unit: kPa }
  status: { table: holding, address: 20, type: uint16, bits: { 15: sensor fault } }
`;

it("stamps a reading with the arrival of its own registers, though its status is fetched before", async () => {
  const timers = virtualTimers();
  const profile = parseProfile(PROFILE, "gauge.yaml");
  if (!profile.ok || profile.value.kind !== "registers") throw new Error("no register profile");
  const fake = fakeRegisterInstrument(profile.value, timers);
  fake.put("pressure", 50);
  const link = makeLink(
    {
      name: "line-1",
      timers,
      stamp: timers.stamp,
      answer_deadline_s: 0.1,
      quiet_after_trouble_s: 0.1,
      gap_s: 0.01,
      character_s: 0,
      after_trouble: "stay-quiet",
    },
    fake.transport,
    "rtu",
  );
  const station = link.registers({ instrument: "gauge-1", unit: FAKE_UNIT });
  const dialect = registerDialect("gauge-1", profile.value, station);
  const said = await timers.settle(dialect.read(["pressure"]));
  if (!said.ok) throw new Error(said.fault.message);
  expect(fake.requests).toBe(2);
  expect(said.value.at_s).toBe(timers.now_s());
  expect(said.value.values.get("pressure")).toMatchObject({ value: 50, unit: "kPa" });
  fake.put("status", 0x8000);
  const alarmed = await timers.settle(dialect.read(["pressure"]));
  expect(alarmed.ok ? alarmed.value.alarms : []).toEqual(["sensor fault"]);
});
