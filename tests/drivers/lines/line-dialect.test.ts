import { expect, it } from "vitest";
import { makeLink } from "../../../drivers/links/make-link.ts";
import { readProfile } from "../../../drivers/profiles/read-profile.ts";
import { openInstrument } from "../../../drivers/registry.ts";
import { mA } from "../../../src/vocabulary/quantities.ts";
import { fakeLineInstrument } from "../contract/fake-line-instrument.ts";
import { virtualTimers } from "../virtual-timers.ts";

it("does not blame an old complaint of the instrument on the first command", async () => {
  const timers = virtualTimers();
  const profile = readProfile("loop-source-lines");
  if (!profile.ok || profile.value.kind !== "lines") throw new Error("no line profile");
  const fake = fakeLineInstrument(profile.value, timers);
  fake.putText("maker", "Harbour Forge");
  fake.putText("model", "S1");
  fake.putText("serial_number", "9");
  const link = makeLink(
    {
      name: "line-1",
      timers,
      stamp: timers.stamp,
      answer_deadline_s: 0.1,
      quiet_after_trouble_s: 0.1,
      gap_s: 0,
      character_s: 0,
      after_trouble: "stay-quiet",
    },
    fake.transport,
    "rtu",
  );
  // Somebody else left three commands behind that the instrument did not know.
  const other = link.lines({ instrument: "somebody", ...profile.value.line });
  for (const line of ["FOO", "BAR", "BAZ"]) await timers.settle(other.send(line));
  const source = openInstrument(
    "line",
    "source",
    { name: "source-1", serial_number: "9", profile: profile.value },
    { link, timers, stamp: timers.stamp },
  );
  if (!source.ok) throw new Error(source.fault.message);
  expect(await timers.settle(source.value.set(mA(12)))).toEqual({ ok: true, value: { confirmed: 12 } });
});
