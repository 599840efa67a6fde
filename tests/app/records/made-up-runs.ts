import { canonicalJson } from "../../../src/app/canonical-json.ts";
import { EMPTY_HEAD, nextHead } from "../../../src/app/hash-chain.ts";
import type { EventsTable, ReferencesUsedTable, RunsTable } from "../../../src/app/records/tables.ts";
import { seededRandom } from "../../drivers/wire-faults.ts";

/** Made-up runs of a brewery's valve workshop, as many as wanted, with whole chains. The same seed gives the same runs. */
export interface MadeUpRun {
  readonly run: RunsTable;
  readonly events: readonly EventsTable[];
  readonly references: readonly ReferencesUsedTable[];
}

const CUSTOMERS = ["Cellar", "Mash house", "Filling hall", "Yeast propagation", "Keg line", "Boiler house"] as const;
const MODELS = ["HC-15", "HC-30", "LT-20", "LT-100", "VR-3", "VR-6"] as const;
const OPERATORS = ["A. Technician", "B. Fitter", "C. Apprentice"] as const;
const VERDICTS = ["pass", "pass", "pass", "pass", "fail", "conditional-pass", "no-statement"] as const;
const START_ms = Date.UTC(2016, 0, 4, 6);

export interface MadeUpWishes {
  readonly seed?: number;
  readonly bench?: string;
  readonly units?: number;
  /** Each unit comes after all others, again and again, instead of at random. */
  readonly inTurn?: boolean;
  /** Mean length of the body of an event, characters. */
  readonly body?: number;
  readonly simulated?: boolean;
}

export const madeUpRun = (n: number, events: number, wishes: MadeUpWishes = {}): MadeUpRun => {
  const { seed = 1, bench = "bench-1", units = 4000, body = 400, simulated = false, inTurn = false } = wishes;
  const random = seededRandom(seed * 1e6 + n);
  const pick = <T>(of: readonly T[]): T => of[Math.floor(random() * of.length)] as T;
  const drawn = Math.floor(random() * units);
  const unit = inTurn ? n % units : drawn;
  const serial = `${20000 + unit}-${String.fromCharCode(65 + (unit % 26))}`;
  const [model = "", customer = ""] = [MODELS[unit % MODELS.length], CUSTOMERS[unit % CUSTOMERS.length]];
  const started = START_ms + n * 3_100_000 + Math.floor(random() * 3e6);
  const utc = (ms: number): string => new Date(ms).toISOString();
  const run_id = `${utc(started).slice(0, 19).replaceAll(/[-:]/g, "").replace("T", "-")}-${serial}-${n.toString(16)}`;
  let head = EMPTY_HEAD;
  const made = Array.from({ length: events }, (_, i): EventsTable => {
    const filler = String(random())
      .repeat(Math.ceil(body / 18))
      .slice(0, body);
    const text = canonicalJson({
      seq: i + 1,
      at_s: i,
      utc: utc(started + i * 1000),
      event: { kind: "made-up", filler },
    });
    head = nextHead(head, text);
    return { run_id, seq: i + 1, body: text, hash: head };
  });
  const [operator, verdict, batch] = [pick(OPERATORS), pick(VERDICTS), `order-${1000 + Math.floor(n / 12)}`];
  const tag = `PY-${100 + unit}`;
  const gauge = `G-${1 + Math.floor(n / 2000)}`;
  const run: RunsTable = {
    run_id,
    bench_id: bench,
    station: "left",
    kind: "calibration",
    started_utc: utc(started),
    ended_utc: utc(started + 900_000),
    ending: "finished",
    simulated: simulated ? 1 : 0,
    operator,
    unit_serial: serial,
    unit_tag: tag,
    unit_model: model,
    unit_maker: "Northgate Controls",
    customer,
    batch,
    verdict_found: verdict,
    verdict_left: null,
    verdict,
    largest_error_percent: random(),
    next_due: utc(started + 183 * 86_400_000).slice(0, 10),
    events,
    head,
    software_version: "0.1.0",
    search_text: [run_id, operator, serial, tag, model, "northgate controls", customer, batch, gauge, verdict, "left"]
      .join(" ")
      .toLowerCase(),
    facts: JSON.stringify({
      run_id,
      points: Array.from({ length: 10 }, (_, i) => ({ nominal_percent: i, e: random() })),
    }),
  };
  const references = [
    { run_id, role: "gauge", serial_number: gauge, certificate_number: `${gauge}-2026`, due: "2030-01-01" },
    { run_id, role: "current-meter", serial_number: "M-7", certificate_number: "M-7-2026", due: "2030-01-01" },
  ];
  return { run, events: made, references };
};
