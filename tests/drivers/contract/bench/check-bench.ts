import { performance } from "node:perf_hooks";
import type { Role } from "../../../../drivers/driver-entry.ts";
import type { Endpoints } from "../../../../src/app/endpoints.ts";
import { instrumentOpener } from "../../../../src/app/open-station.ts";
import type { BenchFile } from "../../../../src/config/bench-file.schema.ts";
import { faultText } from "../../../../src/vocabulary/fault.ts";
import { type Milliamp, seconds } from "../../../../src/vocabulary/quantities.ts";
import type { BenchFinding } from "./bench-check.ts";
import { READING_CHECKS, valueAfterReopening } from "./reading-checks.ts";
import { SOURCE_CHECKS } from "./source-checks.ts";

export interface InstrumentReport {
  readonly station: string;
  readonly role: Role;
  readonly instrument: string;
  readonly findings: readonly BenchFinding[];
}

const SLOTS = [
  ["source", "source"],
  ["gauge", "gauge"],
  ["supply_gauge", "supply-gauge"],
  ["current_meter", "current-meter"],
  ["ambient", "ambient"],
  ["humidity", "humidity"],
  ["barometer", "barometer"],
] as const;

/** What a meter may wait for a new measurement or while it is busy, s; see the drivers. */
const PATIENCE_S = 2;
/** Requests that a call makes on a line that was just opened: identity, settings, the value, and one after trouble. */
const REQUESTS = 6;

/**
 * The contract of the drivers on the instruments of a bench file, one after the other. Without `output` nothing is ever
 * written to an instrument.
 */
export const checkBench = async (
  bench: BenchFile,
  stations: readonly string[],
  endpoints: Endpoints | null,
  output: Milliamp | null,
): Promise<readonly InstrumentReport[]> => {
  const started_s = performance.now() / 1000;
  const stamp = () => seconds(performance.now() / 1000 - started_s);
  const reports: InstrumentReport[] = [];
  for (const station of stations) {
    for (const [slot, role] of SLOTS) {
      const name = bench.stations[station]?.[slot];
      const settings = name === undefined ? undefined : bench.instruments[name];
      if (name === undefined || settings === undefined) continue;
      const findings: BenchFinding[] = [];
      reports.push({ station, role, instrument: name, findings });
      const link = settings.link === undefined ? undefined : bench.links[settings.link];
      if (link === undefined) {
        findings.push({ check: "all", outcome: "skipped", saw: "it is worked by hand; nothing can be asked of it" });
        continue;
      }
      const opener = instrumentOpener(bench, { stamp, endpoints });
      const opened = await opener.open(role, name);
      if (!opened.ok) {
        findings.push({ check: "opens", outcome: "failed", saw: faultText(opened.fault) });
        await opener.close();
        continue;
      }
      const exchange_s = link.answer_deadline.s + link.quiet_after_trouble.s;
      const at = {
        bench,
        role,
        name,
        instrument: opened.value,
        opener,
        now_s: stamp,
        limit_s: PATIENCE_S + REQUESTS * exchange_s,
        output: role === "source" ? output : null,
      };
      for (const check of [...READING_CHECKS, ...(role === "source" ? SOURCE_CHECKS : [])]) {
        const unasked = check.drives && output === null ? "drives an output, which was not asked for" : null;
        const why = unasked ?? check.skips?.(at) ?? null;
        findings.push({
          check: check.name,
          ...(why === null ? await check.run(at) : { outcome: "skipped" as const, saw: why }),
        });
      }
      await opener.close();
      const again = instrumentOpener(bench, { stamp, endpoints });
      const reopened = await again.open(role, name);
      findings.push({
        check: "its line closed and opened anew",
        ...(reopened.ok
          ? await valueAfterReopening(reopened.value, role)
          : { outcome: "failed" as const, saw: faultText(reopened.fault) }),
      });
      await again.close();
    }
  }
  return reports;
};
