import { NEVER, of, VirtualTimeScheduler } from "rxjs";
import { describe, expect, it } from "vitest";
import type { ActRequest, Assistant } from "../../../src/ports/assistant.ts";
import { fakeBench } from "../fake-bench.ts";
import { QUICK, requestFor, runFake } from "../run-fake.ts";

const ITEM = "Kessel Works KW-3, serial number 4711, its outlet at most 0.3 m above or below the gauge";

const run = (answer: Assistant["act"] | null) => {
  const scheduler = new VirtualTimeScheduler();
  const { preflight } = requestFor(scheduler, fakeBench(scheduler), QUICK, {});
  return runFake({
    fake: {},
    request: {
      adjust: "never",
      preflight: { ...preflight, item: ITEM },
      ...(answer === null ? {} : { assistant: { act: answer } }),
    },
  }).flush();
};

const found = (r: ReturnType<typeof run>) => r.of("preflight-check").find((e) => e.check === "unit-on-bench");

describe("the unit on the bench", () => {
  it("is compared with its label by whoever is there, and the answer is kept", () => {
    const asked: ActRequest[] = [];
    const r = run((request) => {
      asked.push(request);
      return of("done");
    });
    expect(asked).toEqual([{ kind: "confirm", words: `Compare the label: on the bench is ${ITEM}` }]);
    expect(found(r)).toMatchObject({ outcome: "passed", saw: expect.stringContaining("serial number 4711") });
  });

  it("ends the run before anything is driven when it is another one, or when nobody answers", () => {
    for (const answer of [() => of("declined" as const), () => NEVER]) {
      const r = run(answer);
      expect(found(r)).toMatchObject({ outcome: "failed", means: expect.stringContaining("another unit") });
      expect(r.of("run-ended").at(-1)).toMatchObject({ ending: "fault", fault: { code: "preflight-failed" } });
      expect(r.of("stage-started").map((e) => e.stage)).toEqual(["preflight"]);
    }
  });

  it("is said to be uncompared where nobody can be asked", () => {
    expect(found(run(null))).toMatchObject({ outcome: "skipped", saw: expect.stringContaining("nobody is there") });
  });
});
