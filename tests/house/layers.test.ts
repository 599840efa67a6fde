import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { cruise, type ICruiseResult } from "dependency-cruiser";
import { afterAll, beforeAll, expect, test } from "vitest";

/** The import table of DEVELOPERS.md, held against the code. Type imports count. */

const ROOT = join(import.meta.dirname, "../..");

interface Allowed {
  readonly folder: string;
  readonly typesOnly: boolean;
}

const readTable = (markdown: string): ReadonlyMap<string, readonly Allowed[]> => {
  const table = new Map<string, readonly Allowed[]>();
  const start = markdown.indexOf("| folder | may import |");
  if (start < 0) throw new Error("DEVELOPERS.md has lost its import table");
  for (const line of markdown.slice(start).split("\n").slice(2)) {
    const cells = /^\| (\S+) \| (.+) \|$/.exec(line);
    if (cells === null) break;
    const folders = (cells[2] ?? "").split(", ").filter((name) => name !== "nothing");
    table.set(
      cells[1] ?? "",
      folders.map((name) => ({ folder: name.replace(" (types)", ""), typesOnly: name.endsWith(" (types)") })),
    );
  }
  return table;
};

/** `src/run/x.ts` -> `run`; `drivers/links/x.ts` -> `drivers`. */
const houseFolder = (path: string): string | null => {
  const parts = path.split("/");
  if (parts[0] === "drivers") return "drivers";
  return parts[0] === "src" ? (parts[1] ?? null) : null;
};

const isTypeOnly = (source: string, specifierEnd: string): boolean => {
  const statements = source.match(/^(?:import|export)\b[^;]*?from\s+"[^"]+";/gms) ?? [];
  const matching = statements.filter((statement) => statement.endsWith(`${specifierEnd}";`));
  return matching.length > 0 && matching.every((statement) => /^(?:import|export) type\b/.test(statement));
};

const violations = async (root: string, table: ReadonlyMap<string, readonly Allowed[]>): Promise<readonly string[]> => {
  const { output } = await cruise(["src", "drivers"], {
    baseDir: root,
    parser: "swc",
    tsPreCompilationDeps: true,
    doNotFollow: { path: "node_modules" },
  });
  const { modules } = output as ICruiseResult;
  const own = modules.filter((m) => houseFolder(m.source) !== null);
  // A parser that cannot read TypeScript reports no modules and no violations: that must not pass.
  if (own.length === 0) throw new Error("no module was read");
  const found: string[] = [];
  for (const module of own) {
    const folder = houseFolder(module.source) ?? "";
    const allowed = table.get(folder);
    if (allowed === undefined) {
      found.push(`${module.source}: the folder ${folder} is not in the table`);
      continue;
    }
    for (const dependency of module.dependencies) {
      const line = /^(serialport|@serialport\/.*|modbus-serial)$/.exec(dependency.module);
      if (line !== null && !module.source.startsWith("drivers/links/")) {
        found.push(`${module.source}: ${dependency.module} belongs in drivers/links only`);
      }
      const target = houseFolder(dependency.resolved);
      if (target === null || target === folder) continue;
      const rule = allowed.find((entry) => entry.folder === target);
      if (rule === undefined) {
        found.push(`${module.source} imports ${dependency.resolved}: ${folder} may not import ${target}`);
      } else if (rule.typesOnly) {
        const source = readFileSync(join(root, module.source), "utf8");
        const end = dependency.resolved.slice(dependency.resolved.indexOf(`${target}/`));
        if (!isTypeOnly(source, end)) found.push(`${module.source} imports ${dependency.resolved}: types only`);
      }
    }
  }
  return found;
};

const table = readTable(readFileSync(join(ROOT, "DEVELOPERS.md"), "utf8"));

test("every import in src and drivers is allowed by the table", async () => {
  expect(await violations(ROOT, table)).toEqual([]);
});

let planted: string;
beforeAll(() => {
  planted = mkdtempSync(join(tmpdir(), "stillpoint-layers-"));
  const write = (path: string, text: string): void => {
    mkdirSync(dirname(join(planted, path)), { recursive: true });
    writeFileSync(join(planted, path), text);
  };
  write("src/vocabulary/a.ts", 'import type { B } from "../run/b.ts";\nexport type A = B;\n');
  write("src/run/b.ts", 'import { c } from "../ports/c.ts";\nexport type B = typeof c;\nexport const b = c;\n');
  write("src/ports/c.ts", "export const c = 1;\n");
  write("drivers/gauges/d.ts", 'import { SerialPort } from "serialport";\nexport const d = SerialPort;\n');
});
afterAll(() => rmSync(planted, { recursive: true, force: true }));

test("a planted type import, a planted value import and a planted serial import are all caught", async () => {
  const found = await violations(planted, table);
  expect(found).toContain("src/vocabulary/a.ts imports src/run/b.ts: vocabulary may not import run");
  expect(found).toContain("src/run/b.ts imports src/ports/c.ts: types only");
  expect(found).toContain("drivers/gauges/d.ts: serialport belongs in drivers/links only");
});
