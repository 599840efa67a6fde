import { writeFigures } from "../write-figures.ts";
import { benchDiagnosis, diagnosisLines } from "./diagnosis-bench.ts";
import { benchFigures, figuresLines } from "./figures-bench.ts";

/**
 * The figures of the tests that explain and of the diagnosis, in one run. `npm run bench:explaining -- 50` names the
 * number of units a kind of fault.
 */
const each = Number(process.argv[2] ?? 50);
const lines = [...figuresLines(benchFigures(4 * each)), "", ...diagnosisLines(benchDiagnosis(each))];
writeFigures("bench-explaining", lines);
