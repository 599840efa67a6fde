import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import PDFDocument from "pdfkit";
import { dataInside, schemaFaults } from "../../src/app/certify.ts";
import { readDccSchema, schemaComplaints } from "../../src/app/dcc-schema.ts";
import { readPdfSigner } from "../../src/app/sign-pdf.ts";
import type { CertificateInput } from "../../src/certificate/certificate-input.ts";
import { certificateModel } from "../../src/certificate/certificate-model.ts";
import { checkDcc } from "../../src/certificate/dcc/check-dcc.ts";
import { dccText } from "../../src/certificate/dcc/dcc-text.ts";
import { FONT_NAMES } from "../../src/certificate/pdf/page-style.ts";
import { renderPdf } from "../../src/certificate/render-pdf.ts";
import { must } from "../app/practice-job.ts";
import { sampleFonts } from "../certificate/sample-fonts.ts";
import { sampleInput } from "../certificate/sample-input.ts";

/**
 * Time of a whole certificate (model, plots, digital certificate with our checks and one schema validation, drawing, PDF
 * signature) against a bare pdfkit document of the same pages and fonts and one schema validation: `npm run
 * bench:certificate`. The two take turns in one thread, so that whatever else the machine does meets both. Then the memory
 * of 500 certificates in one process. Goals: median of the ratios under 1.5; no growth over the last 300.
 * STILLPOINT_DCC_SCHEMAS names the folder of the schema; STILLPOINT_BENCH_PAIRS and STILLPOINT_BENCH_MANY the counts.
 */
const GOAL = 1.5;
const PAIRS = Number(process.env["STILLPOINT_BENCH_PAIRS"] ?? 25);
const MANY = Number(process.env["STILLPOINT_BENCH_MANY"] ?? 500);
/** MB that heap or resident memory may be larger at the end of the last 300 certificates than at their beginning. */
const FLAT_MB = 15;
const AT = new Date(Date.UTC(2031, 2, 5, 9));

const folder = process.env["STILLPOINT_DCC_SCHEMAS"];
if (folder === undefined) throw new Error("STILLPOINT_DCC_SCHEMAS has to name a folder with dcc.xsd 3.3.0");
const schema = must(readDccSchema(folder));

const place = mkdtempSync(join(tmpdir(), "certificate-speed-"));
const [key, certificate, p12] = ["key.pem", "certificate.pem", "laboratory.p12"].map((name) => join(place, name));
const quiet = { stdio: "pipe" } as const;
const openssl = (...parts: readonly (string | undefined)[]): Buffer =>
  execFileSync("openssl", parts.map(String), quiet);
openssl(
  "req",
  "-x509",
  "-newkey",
  "rsa:2048",
  "-nodes",
  "-subj",
  "/CN=Laboratory",
  "-keyout",
  key,
  "-out",
  certificate,
);
openssl("pkcs12", "-export", "-inkey", key, "-in", certificate, "-passout", "pass:secret", "-out", p12);
const signer = must(readPdfSigner(String(p12), "secret"));
rmSync(place, { recursive: true });

const whole = async (input: CertificateInput): Promise<Uint8Array> => {
  const model = certificateModel(input);
  const dcc = dccText(input);
  if (dcc === null || checkDcc(dcc).some((remark) => remark.weight === "wrong")) throw new Error("unsound");
  const signature = { name: "C. Head", reason: model.title, place: "Millbridge", at: AT };
  const options = { paper: "A4", fonts: sampleFonts, createdAt: AT, signature } as const;
  // As the program does it: the schema is looked at in a thread while the pages are drawn.
  const [drawn, complaints] = await Promise.all([
    renderPdf(model, { ...options, attachments: dataInside({ model, dcc }) }),
    schemaFaults(dcc, schema),
  ]);
  if (complaints.length > 0) throw new Error(complaints.join("; "));
  const pdf = must(drawn);
  return must(await signer.sign(pdf, AT.getTime()));
};

/** As little as a document of these pages and fonts can be: one line in each face on every page. */
const bare = async (pages: number, dcc: string): Promise<void> => {
  await schemaComplaints(schema, [dcc]);
  const font = null as unknown as string;
  const doc = new PDFDocument({
    size: "A4",
    pdfVersion: "1.7",
    subset: "PDF/A-3b",
    tagged: true,
    autoFirstPage: false,
    font,
  });
  const ended = new Promise((resolve) => doc.on("end", resolve));
  doc.on("data", () => {});
  for (const name of FONT_NAMES) doc.registerFont(name, sampleFonts[name]);
  for (let page = 0; page < pages; page += 1) {
    doc.addPage();
    for (const name of FONT_NAMES) doc.font(name).text("Calibration certificate, page of the document");
  }
  doc.end();
  await ended;
};

const pagesOf = (pdf: Uint8Array): number =>
  Buffer.from(pdf)
    .toString("latin1")
    .match(/\/Type \/Page\b(?!s)/g)?.length ?? 0;

const median = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

interface Took {
  /** By the clock, ms. */
  readonly wall: number;
  /** Of all threads of this process, ms: hardly moved by what else the machine does. */
  readonly cpu: number;
}

const timed = async (work: () => Promise<unknown>): Promise<Took> => {
  const start = performance.now();
  const before = process.cpuUsage();
  await work();
  const { user, system } = process.cpuUsage(before);
  return { wall: performance.now() - start, cpu: (user + system) / 1000 };
};

const say = (text: string): void => {
  process.stdout.write(`${text}\n`);
};

const compare = async (title: string, input: CertificateInput): Promise<number> => {
  const pages = pagesOf(await whole(input));
  const dcc = dccText(input) ?? "";
  await bare(pages, dcc);
  const pairs: { readonly ours: Took; readonly theirs: Took }[] = [];
  for (let i = 0; i < PAIRS; i += 1)
    pairs.push({ ours: await timed(() => whole(input)), theirs: await timed(() => bare(pages, dcc)) });
  const of = (what: keyof Took): number => {
    const ratio = median(pairs.map((p) => p.ours[what] / p.theirs[what]));
    say(
      `${title}, ${pages} pages, ${what}: certificate ${median(pairs.map((p) => p.ours[what])).toFixed(0)} ms, bare document and validation ${median(pairs.map((p) => p.theirs[what])).toFixed(0)} ms, median ratio of ${PAIRS} pairs ${ratio.toFixed(2)}`,
    );
    return ratio;
  };
  of("cpu");
  const ratio = of("wall");
  return ratio;
};

const short = sampleInput({ simulated: false, unit: "kPa", story: "not-adjusted" });
const ratio = await compare("one stage", short);
await compare("as found and as left", sampleInput({ simulated: false }));
say(`goal: one stage under ${GOAL} times ${ratio < GOAL ? "met" : "MISSED"}`);

const megabytes = (bytes: number): number => bytes / 1024 / 1024;
const memory = (): { readonly heap: number; readonly resident: number } => {
  globalThis.gc?.();
  const { heapUsed, rss } = process.memoryUsage();
  return { heap: megabytes(heapUsed), resident: megabytes(rss) };
};
const seen: { readonly n: number; readonly heap: number; readonly resident: number }[] = [];
for (let n = 1; n <= MANY; n += 1) {
  const model = certificateModel(short);
  const dcc = dccText(short);
  const attachments = dataInside({ model, dcc });
  must(await renderPdf(model, { paper: "A4", fonts: sampleFonts, createdAt: AT, attachments }));
  if (n % 50 === 0) seen.push({ n, ...memory() });
}
for (const { n, heap, resident } of seen)
  say(`after ${n} certificates: heap ${heap.toFixed(0)} MB, resident ${resident.toFixed(0)} MB`);
const [from, to] = [seen.find(({ n }) => n >= MANY - 300), seen.at(-1)];
const flat =
  from !== undefined && to !== undefined && to.heap - from.heap < FLAT_MB && to.resident - from.resident < FLAT_MB;
say(`goal: flat over the last 300 (within ${FLAT_MB} MB) ${flat ? "met" : "MISSED"}`);
if (!(ratio < GOAL) || !flat) process.exitCode = 1;
