import { describe, expect, it } from "vitest";
import { knownParts } from "../../../src/app/known-parts.ts";
import { brokenRun, resumeOf, standingText, utcZeroOf } from "../../../src/app/records/resume-run.ts";
import { runVirtualJob } from "../../../src/app/virtual-job.ts";
import { decodeRecord } from "../../../src/readings/record-codec.ts";
import { must, practiceJob } from "../practice-job.ts";

const ZERO = Date.UTC(2026, 10, 25, 9, 0, 0, 437);

const wholeRun = async (): Promise<readonly string[]> => {
  const lines: string[] = [];
  const keep = (line: string): null => {
    lines.push(line);
    return null;
  };
  must(await runVirtualJob(practiceJob(), { run_id: "broken", utc_zero_ms: ZERO, keep }));
  return lines;
};

const goOn = async (before: readonly string[]): Promise<readonly string[]> => {
  const { events } = must(decodeRecord(`${before.join("\n")}\n`));
  const run = must(brokenRun(events, knownParts(), undefined, "2026-11-25"));
  const lines = [...before];
  const resume = resumeOf(run, { by: "B. Second", touched: "nothing" }, ZERO);
  const outcome = await runVirtualJob(run.job, {
    run_id: run.run_id,
    utc_zero_ms: utcZeroOf(events),
    resume,
    keep: (line) => {
      lines.push(line);
      return null;
    },
  });
  must(outcome);
  return lines;
};

/** Events without their numbers. */
const bodies = (lines: readonly string[]): readonly unknown[] =>
  lines
    .map((line) => JSON.parse(line) as { at_s: number; utc: string; event: { kind: string } })
    .filter(({ event }) => !["run-resumed", "preflight-check", "run-started"].includes(event.kind))
    .map(({ at_s, utc, event }) => ({ at_s, utc, event }));

describe("a simulated run that broke off", () => {
  it("ends as it would have ended, wherever it was cut, and says that it was resumed", async () => {
    const whole = await wholeRun();
    for (const share of [0.02, 0.2, 0.4, 0.6, 0.8, 0.97]) {
      const cut = Math.max(1, Math.floor(share * whole.length));
      const lines = await goOn(whole.slice(0, cut));
      expect(bodies(lines), `cut after ${cut} events`).toEqual(bodies(whole));
      expect(JSON.parse(lines[cut] ?? "")).toMatchObject({ event: { kind: "run-resumed", by: "B. Second" } });
      must(decodeRecord(`${lines.join("\n")}\n`));
    }
  });

  it("may break off again, also right after it went on", async () => {
    const whole = await wholeRun();
    const cut = Math.floor(0.3 * whole.length);
    const once = await goOn(whole.slice(0, cut));
    for (const again of [cut + 1, cut + 2, Math.floor(0.7 * whole.length)]) {
      const lines = await goOn(once.slice(0, again));
      expect(bodies(lines), `cut again after ${again} events`).toEqual(bodies(whole));
      expect(lines.filter((line) => line.includes('"run-resumed"'))).toHaveLength(2);
    }
  });

  it("is refused when the bench does not repeat what is recorded", async () => {
    const whole = await wholeRun();
    const cut = whole.findIndex((line) => line.includes('"point-captured"')) + 1;
    const bent = whole.slice(0, cut).map((line, i) => (i === cut - 1 ? line.replace(/"n":\d+/, '"n":99999') : line));
    const lines = await goOn(bent);
    expect(lines).toHaveLength(cut);
  });

  it("tells where it stands, also when all is measured and only the close was missing", async () => {
    const whole = await wholeRun();
    const cut = whole.findLastIndex((line) => line.includes('"as-found"') && line.includes('"point-captured"'));
    const events = (n: number) => must(decodeRecord(`${whole.slice(0, n).join("\n")}\n`)).events;
    const run = must(brokenRun(events(cut), knownParts(), undefined, "2026-11-25"));
    expect(standingText(run)).toMatch(/^as found, \d+ of \d+ points taken$/u);
    const ended = must(brokenRun(events(whole.length), knownParts(), undefined, "2026-11-25"));
    expect(ended.standing.kind).toBe("ended");
  });

  it("finds the zero of its clock to the millisecond", async () => {
    const whole = await wholeRun();
    expect(utcZeroOf(must(decodeRecord(`${whole.join("\n")}\n`)).events)).toBe(ZERO);
  });
});
