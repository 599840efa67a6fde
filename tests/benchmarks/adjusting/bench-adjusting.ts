import { benchCompromise, compromiseLines } from "./compromise-bench.ts";
import { benchGuide, guideLines } from "./guide-bench.ts";

/**
 * The figures of adjusting, in one run. `npm run bench:adjusting -- 10000` names the number of units for the guide.
 */
const count = Number(process.argv[2] ?? 10_000);
const lines = [...guideLines(benchGuide(count)), "", ...compromiseLines(benchCompromise(Math.min(100, count / 20)))];
process.stdout.write(`${lines.join("\n")}\n`);
