import { benchGuide, guideLines } from "./guide-bench.ts";

/**
 * The figures of the adjusting guide, in one run. `npm run bench:adjusting -- 10000` names the number of units.
 */
const count = Number(process.argv[2] ?? 10_000);
process.stdout.write(`${guideLines(benchGuide(count)).join("\n")}\n`);
