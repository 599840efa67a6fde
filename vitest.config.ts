import { defineConfig } from "vitest/config";

const report = process.env["STILLPOINT_TEST_REPORT"];

/** Tests that start programs, drive lines or measure time: one file after the other, when nothing else runs. */
const ALONE = [
  "tests/end-to-end/**/*.test.ts",
  "tests/cli/**/*.test.ts",
  "tests/app/no-stall.test.ts",
  "tests/app/wired-job.test.ts",
  "tests/drivers/links/**/*.test.ts",
];

/** Forked workers, because serial bindings and pseudo-terminals are native add-ons. */
export default defineConfig({
  test: {
    pool: "forks",
    testTimeout: 60_000,
    hookTimeout: 120_000,
    reporters: report === undefined ? ["default"] : ["default", ["json", { outputFile: report }]],
    projects: [
      {
        extends: true,
        test: { name: "side-by-side", include: ["tests/**/*.test.ts"], exclude: ALONE, sequence: { groupOrder: 0 } },
      },
      {
        extends: true,
        test: { name: "alone", include: ALONE, fileParallelism: false, sequence: { groupOrder: 1 } },
      },
    ],
  },
});
