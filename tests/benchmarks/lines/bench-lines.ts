import { loadavg } from "node:os";
import { type Figure, isMet } from "./figures.ts";
import { manyStations } from "./many-stations.ts";
import { endOthers, libmodbusLoop } from "./other-process.ts";
import { rtuWire } from "./rtu-wire.ts";
import { tcpReads } from "./tcp-reads.ts";

/**
 * How fast the links are: `npm run bench:lines`, or `npm run bench:lines -- --quick` for a short look; `--json` for one
 * document. Ratios are taken within one run. Ends with 1 when a goal is missed.
 */
const quick = process.argv.includes("--quick");

const text = ({ name, value, unit, goal }: Figure, met: boolean): string => {
  const number = Math.abs(value) >= 100 ? value.toFixed(0) : value.toFixed(3);
  const aim = goal === undefined ? "" : `   goal: at ${goal.at} ${goal.value}, ${met ? "met" : "MISSED"}`;
  return `${name}: ${number} ${unit}${aim}\n`;
};

try {
  const libmodbus = libmodbusLoop();
  if (libmodbus === null) process.stderr.write("gcc or libmodbus is not there: no figure for libmodbus.\n");
  process.stderr.write(`Load of the machine at the start: ${loadavg()[0]?.toFixed(1)}\n`);
  const figures: Figure[] = [];
  for (const measure of [() => tcpReads(quick, libmodbus), () => rtuWire(quick), () => manyStations(quick)]) {
    const found = await measure();
    figures.push(...found);
    if (!process.argv.includes("--json")) for (const figure of found) process.stdout.write(text(figure, isMet(figure)));
  }
  if (process.argv.includes("--json")) process.stdout.write(`${JSON.stringify(figures)}\n`);
  process.exitCode = figures.every(isMet) ? 0 : 1;
} finally {
  endOthers();
}
