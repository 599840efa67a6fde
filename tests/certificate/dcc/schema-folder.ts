import { describe, expect, it } from "vitest";

const folder = process.env["STILLPOINT_DCC_SCHEMAS"];

/**
 * Tests against the open schema of digital certificates, which is not ours to keep: the folder is named by
 * STILLPOINT_DCC_SCHEMAS. Without it they are skipped by name on a workbench, and fail where everything has to be there (CI).
 */
export const describeWithSchemas = (name: string, body: (folder: string) => void): void => {
  if (folder !== undefined) {
    describe(name, () => body(folder));
    return;
  }
  const title = `${name}: needs STILLPOINT_DCC_SCHEMAS, a folder with dcc.xsd 3.3.0`;
  if (process.env["CI"] === "true") it(title, () => expect(folder).toBeDefined());
  else it.skip(title, () => {});
};
