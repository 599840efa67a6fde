import { defineConfig } from "vitest/config";

const report = process.env["STILLPOINT_TEST_REPORT"];

/** Forked workers, because serial bindings and pseudo-terminals are native add-ons. */
export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts"],
    pool: "forks",
    testTimeout: 30_000,
    hookTimeout: 60_000,
    reporters: report === undefined ? ["default"] : ["default", ["json", { outputFile: report }]],
  },
});
