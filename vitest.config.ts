import { defineConfig } from "vitest/config";

/** Forked workers, because serial bindings and pseudo-terminals are native add-ons. */
export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts"],
    pool: "forks",
    testTimeout: 30_000,
    hookTimeout: 60_000,
    reporters: ["default"],
  },
});
