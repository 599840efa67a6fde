import { writeFigures } from "../write-figures.ts";
import { benchCompromise, compromiseLines } from "./compromise-bench.ts";
import { benchGuide, guideLines } from "./guide-bench.ts";
import { benchLiftOff, liftOffLines } from "./lift-off-bench.ts";

/**
 * The figures of adjusting, in one run. `npm run bench:adjusting -- 10000` names the number of units for the guide.
 */
const count = Number(process.argv[2] ?? 10_000);
const lines = [
  ...guideLines(benchGuide(count)),
  "",
  ...compromiseLines(benchCompromise(Math.min(100, count / 20))),
  "",
  ...liftOffLines([0.3, 1, 2, 3].map((lag_s) => benchLiftOff(Math.min(300, count / 20), lag_s))),
];
writeFigures("bench-adjusting", lines);
