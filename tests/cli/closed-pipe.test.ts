import { spawn } from "node:child_process";
import { once } from "node:events";
import { beforeAll, expect, it } from "vitest";
import { shipped } from "../../src/app/package-root.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { builtOnce } from "../end-to-end/build-once.ts";

beforeAll(() => builtOnce());

it("a reader that has seen enough ends nothing: `stillpoint self-test | head`, from the built files", async () => {
  const child = spawn(process.execPath, [shipped("dist", "src", "cli", "main.js"), "self-test"], {
    stdio: ["ignore", "pipe", "pipe"],
  });
  let talk = "";
  child.stderr.on("data", (chunk: Buffer) => {
    talk += chunk.toString("utf8");
  });
  child.stdout.destroy();
  const [code] = (await once(child, "close")) as [number | null];
  expect(talk).toBe("");
  expect(code).toBe(EXIT.success);
});
