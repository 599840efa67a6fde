import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const children = new Set<ChildProcess>();
const folder = mkdtempSync(join(tmpdir(), "stillpoint-lines-"));

/** Ends what was started here, each by its own number. */
export const endOthers = (): void => {
  for (const child of children) child.kill("SIGKILL");
  rmSync(folder, { recursive: true, force: true });
};

const firstLine = (child: ChildProcess): Promise<string> =>
  new Promise((resolve, reject) => {
    child.stdout?.once("data", (text: Buffer) => resolve(text.toString().trim()));
    child.once("error", reject);
    child.once("exit", (code) => reject(new Error(`it ended with ${code}`)));
  });

const begin = (program: string, args: readonly string[]): Promise<string> => {
  const child = spawn(program, args, { stdio: ["ignore", "pipe", "inherit"] });
  children.add(child);
  return firstLine(child);
};

const beside = (file: string): string => fileURLToPath(new URL(file, import.meta.url));

/** Serves registers over TCP; gives the port. */
export const startRegisterServer = async (): Promise<number> =>
  Number(await begin(process.execPath, ["--import", "tsx", beside("./register-server.ts")]));

export interface LibmodbusLoop {
  serve(port: number): Promise<void>;
  /** Seconds that `count` reads take. */
  client(port: number, count: number): number;
}

/** The C witness, or null where the compiler or the library is missing. */
export const libmodbusLoop = (): LibmodbusLoop | null => {
  const program = join(folder, "libmodbus-loop");
  try {
    execFileSync("gcc", ["-O2", "-o", program, beside("./libmodbus-loop.c"), "-l:libmodbus.so.5"], { stdio: "ignore" });
  } catch {
    return null;
  }
  return {
    serve: async (port) => {
      await begin(program, ["server", String(port)]);
    },
    client: (port, count) => Number(execFileSync(program, ["client", String(port), String(count)]).toString()),
  };
};
