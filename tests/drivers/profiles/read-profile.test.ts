import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { parseProfile, profileNames, readProfile } from "../../../drivers/profiles/read-profile.ts";

const GOOD = `format: stillpoint-register-profile 1
title: A gauge
role: pressure-gauge
identity:
  maker: { table: holding, address: 0, type: text, registers: 16 }
  model: { table: holding, address: 16, type: text, registers: 16 }
  serial_number: { table: holding, address: 32, type: text, registers: 16 }
settings:
  unit: { table: holding, address: 48, type: uint16, meanings: { 0: Pa, 1: kPa }, wanted: kPa }
readings:
  pressure: { table: input, address: 0, type: float32, unit: kPa }
`;

const complaints = (text: string): readonly string[] => {
  const read = parseProfile(text, "gauge.yaml");
  return read.ok ? [] : read.fault.message.split("\n");
};

describe("profiles", () => {
  it("come along, and every one is sound", () => {
    expect(profileNames()).toContain("reference-gauge-registers");
    for (const name of profileNames()) {
      const read = readProfile(name);
      expect(read.ok ? read.value.name : read.fault.message).toBe(name);
    }
  });

  it("may be a file of one's own, by its path", () => {
    const folder = mkdtempSync(join(tmpdir(), "profile-"));
    try {
      const path = join(folder, "our-gauge.yaml");
      writeFileSync(path, GOOD);
      const read = readProfile(path);
      expect(read.ok ? [read.value.name, read.value.kind] : read.fault.message).toEqual(["our-gauge", "registers"]);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it("names what there is when a name is unknown", () => {
    const read = readProfile("no-such-profile");
    expect(read.ok ? "" : read.fault.code).toBe("bad-file");
    expect(read.ok ? "" : read.fault.remedy).toContain("loop-source-lines");
  });

  it("is complained about with line and column", () => {
    expect(complaints(GOOD)).toEqual([]);
    for (const [was, now, complaint] of [
      ["type: float32, unit: kPa", "type: float31, unit: kPa", /^gauge\.yaml:11:47 {2}readings\.pressure\.type: /u],
      [
        "unit: kPa }\n",
        "unit: psig }\n",
        /^gauge\.yaml:11:62 {2}readings\.pressure\.unit: "psig" is no unit of pressure/u,
      ],
      ["unit: kPa }\n", "unit: kPa, gain: 2 }\n", /^gauge\.yaml:11:\d+ {2}readings\.pressure: there is no key gain/u],
      ["unit: kPa }\n", "}\n", /^gauge\.yaml:11:13 {2}readings\.pressure: "pressure" needs a unit/u],
      ["  pressure:", "  preasure:", /^gauge\.yaml:11:3 {2}readings: a pressure-gauge needs "pressure" here/u],
      ["wanted: kPa", "wanted: bar", /^gauge\.yaml:9:\d+ {2}settings\.unit\.wanted: "bar" is none of the meanings/u],
      ["wanted: kPa", "wanted: Pa", /^gauge\.yaml:9:\d+ {2}settings\.unit\.wanted: the pressure is read as kPa/u],
      [", wanted: kPa", "", /^gauge\.yaml:9:9 {2}settings\.unit: a setting needs wanted/u],
      ["table: input", "table: coil", /^gauge\.yaml:11:\d+ {2}readings\.pressure\.type: coil and discrete hold bool/u],
      ["address: 0, type: float32", "address: 65535, type: float32", /over the end of the table/u],
      ["address: 32, type: text, registers: 16", "address: 32, type: text", /a text needs registers/u],
      ["role: pressure-gauge", "role: barometer", /^gauge\.yaml:3:7 {2}role: /u],
      ["title: A gauge", "title: [", /^gauge\.yaml:\d+:\d+ {2}/u],
      ["register-profile 1", "register-profile 9", /^gauge\.yaml:1:9 {2}format is "stillpoint-register-profile 9"/u],
    ] as const) {
      const told = complaints(GOOD.replace(was, now));
      expect(told.join("\n"), now).toMatch(complaint);
    }
  });

  it("of lines is complained about where its patterns are no good", () => {
    const lines = (answer: string): string => `format: stillpoint-line-profile 1
title: A gauge
role: pressure-gauge
line: {}
identity: { ask: "*IDN?", answer: '^(?<maker>.+),(?<model>.+),(?<serial_number>.+)$' }
readings:
  pressure: { ask: "P?", answer: '${answer}', unit: kPa }
`;
    expect(complaints(lines("^(?<value>.+)$"))).toEqual([]);
    expect(complaints(lines("^.+$"))[0]).toMatch(/^gauge\.yaml:7:\d+ {2}readings\.pressure\.answer: .*\(\?<value>…\)/u);
    expect(complaints(lines("(?<value>.+)"))[0]).toContain("whole line");
    expect(complaints(lines("^(?<value>.+$"))[0]).toContain("cannot be read");
  });

  it("says what to do about a query that begins with an asterisk and has no quotation marks", () => {
    const read = parseProfile(
      "format: stillpoint-line-profile 1\ntitle: G\nrole: pressure-gauge\nidentity: { ask: *IDN?, answer: x }\n",
      "my-gauge.yaml",
    );
    expect(read.ok ? "" : `${read.fault.message} ${read.fault.remedy}`).toMatch(/my-gauge\.yaml.*quotation marks/su);
  });
});
