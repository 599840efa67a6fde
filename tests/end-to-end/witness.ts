import { execFile, spawnSync } from "node:child_process";
import { promisify } from "node:util";
import { it } from "vitest";
import type { EndpointPlace } from "../../src/app/endpoints.ts";

/** Programs of other authors that look at what we say. */
const execute = promisify(execFile);

export const isThere = (program: string, args: readonly string[] = ["--version"]): boolean =>
  spawnSync(program, args).error === undefined;

/** The test, or a skip that names what is missing; in CI the test runs and fails for want of its program. */
export const itWith = (program: string, found: boolean) => (name: string, test: () => Promise<void>, ms?: number) => {
  if (found || process.env["CI"] === "true") it(name, test, ms);
  else it.skip(`${name} (${program} is not there)`, test);
};

export const output = async (program: string, args: readonly string[]): Promise<string> =>
  (await execute(program, args, { maxBuffer: 64e6 })).stdout;

/**
 * One big-endian float read by mbpoll 1.4 (libmodbus), PDU addresses. A pseudo-terminal takes any speed, and no parity:
 * it has none.
 */
export const mbpollFloat = async (
  at: EndpointPlace,
  unit: number,
  table: "input" | "holding",
  address: number,
): Promise<number> => {
  const link =
    at.kind === "serial"
      ? ["-m", "rtu", "-b", "9600", "-P", "none", at.path]
      : ["-m", "tcp", "-p", String(at.port), at.host];
  const type = table === "input" ? "3:float" : "4:float";
  const what = ["-0", "-1", "-B", "-a", String(unit), "-t", type, "-r", String(address), "-o", "2"];
  const shown = /^\[\d+\]:\s+(\S+)/mu.exec(await output("mbpoll", [...what, ...link]))?.[1];
  return shown === undefined ? Number.NaN : Number(shown);
};
