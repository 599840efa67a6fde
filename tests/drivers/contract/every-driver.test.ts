import { describe, expect, it } from "vitest";
import { unfitFor } from "../../../drivers/instruments/play-role.ts";
import { profileNames, readProfile } from "../../../drivers/profiles/read-profile.ts";
import { drivers } from "../../../drivers/registry.ts";
import { instrumentContract } from "./instrument-contract.ts";

/** Every driver with every profile of its kind, in every role that the two of them can play. */
const covered: string[] = [];
for (const driver of drivers) {
  for (const name of profileNames()) {
    const profile = readProfile(name);
    if (!profile.ok) throw new Error(profile.fault.message);
    if (profile.value.kind !== driver.profile) continue;
    for (const role of driver.roles) {
      if (unfitFor(role, name, profile.value) !== null) continue;
      covered.push(`${driver.name} ${name} ${role}`);
      instrumentContract(driver.name, profile.value, role);
    }
  }
}

describe("the contract", () => {
  it("reaches every driver with a profile and every profile of an instrument", () => {
    expect(covered).toContain("register loop-source-registers source");
    expect(covered).toContain("line loop-source-lines source");
    expect(covered).toContain("register reference-gauge-registers gauge");
    expect(covered).toContain("line reference-gauge-lines gauge");
    expect(covered).toContain("register bench-meter-registers current-meter");
    const words = covered.map((each) => each.split(" "));
    for (const name of profileNames()) {
      const isInstrument = name !== "simulated-service-registers";
      expect(words.some(([, profile]) => profile === name)).toBe(isInstrument);
    }
    for (const driver of drivers) {
      if (driver.profile !== undefined) expect(words.some(([used]) => used === driver.name)).toBe(true);
    }
  });
});
