import { existsSync, readdirSync, statfsSync, statSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { referencesOf } from "../config/reference-values.ts";
import type { PreflightFacts } from "../run/run-request.ts";
import type { Job } from "./prepare-job.ts";

type MachineFacts = NonNullable<PreflightFacts["machine"]>;

const RECORD = /\.record\.jsonl$|\.sqlite(?:-wal)?$/u;

/** Space on the disk of a folder; of several folders, on the fullest disk. */
const freeSpace_MB = (folders: readonly string[]): number | null => {
  const known = folders.map(freeSpaceOf_MB).filter((free) => free !== null);
  return known.length === 0 ? null : Math.min(...known);
};

const freeSpaceOf_MB = (folder: string): number | null => {
  try {
    // A folder that is yet to be made lies on the disk of the nearest one above it.
    let there = resolve(folder);
    while (!existsSync(there) && dirname(there) !== there) there = dirname(there);
    const { bavail, bsize } = statfsSync(there);
    return (bavail * bsize) / 1e6;
  } catch {
    return null;
  }
};

/** What is known to lie in the past: certificates of the references in use, and the newest record in the folder. */
const knownPast = (job: Job, folder: string): MachineFacts["not_before"] => {
  const { pressure, current, supply } = referencesOf(job.bench, job.station);
  const past = [pressure, current, supply].flatMap((reference) => {
    const certificate = reference?.measured.certificate;
    return certificate === undefined
      ? []
      : [{ utc: certificate.date, what: `certificate ${certificate.number} of ${reference?.name}` }];
  });
  let names: readonly string[] = [];
  try {
    names = readdirSync(folder).filter((name) => RECORD.test(name));
  } catch {
    // A folder that is not there yet holds no record.
  }
  const records = names.map((name) => ({
    utc: statSync(join(folder, name)).mtime.toISOString(),
    what: `the record ${name}`,
  }));
  return [...past, ...records].reduce((latest, each) => (each.utc > latest.utc ? each : latest), {
    utc: "1970-01-02",
    what: "the beginning of computer time",
  });
};

/**
 * The job with what this computer says of its disk and clock, for preflight. `folder` is where the papers go, `records`
 * the file of the store.
 */
export const withMachineFacts = (job: Job, folder: string, now_ms: number, records = join(folder, "-")): Job => ({
  ...job,
  preflight: {
    ...job.preflight,
    machine: {
      free_MB: freeSpace_MB([folder, dirname(records)]),
      utc: new Date(now_ms).toISOString(),
      not_before: knownPast(job, folder),
    },
  },
});
