// Writes runs into a store without an end, and says on its standard output what has been acknowledged. It is there to be
// killed. Usage: node writer-child.mjs DIST STORE BODIES-FILE SUMMARY-FILE NAME
import { readFileSync, writeSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const [dist, path, bodiesFile, summaryFile, name] = process.argv.slice(2);
const { openRecordStore } = await import(pathToFileURL(join(dist, "src/app/records/record-store.js")).href);
const bodies = JSON.parse(readFileSync(bodiesFile, "utf8"));
const summary = JSON.parse(readFileSync(summaryFile, "utf8"));
const say = (...words) => writeSync(1, `${words.join(" ")}\n`);
const must = (result) => {
  if (!result.ok) {
    say("FAULT", JSON.stringify(result.fault));
    process.exit(9);
  }
  return result.value;
};

const store = must(
  await openRecordStore(path, {
    bench: "Practice bench",
    onKept: (run_id, { events, head }) => say("kept", run_id, events, head),
    onTrouble: (fault) => say("FAULT", JSON.stringify(fault)),
  }),
);
say("ready");
for (let n = 1; ; n += 1) {
  const run_id = `${name}-${n}`;
  const run = must(await store.begin({ run_id, station: "cellar" }));
  say("begun", run_id);
  for (const [i, body] of bodies.entries()) {
    run.append(body.replaceAll("RUN", run_id));
    // Some come alone, some in bursts.
    if (i % 3 !== 0) await run.settled();
  }
  must(await run.settled());
  const { head } = must(
    await store.finish(run_id, { ...summary, run: { ...summary.run, run_id } }),
  );
  say("closed", run_id, bodies.length, head);
}
