import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { parentPort, workerData } from "node:worker_threads";
import type { CertificateModel } from "../certificate/certificate-model.ts";
import { type Attachment, type FontBytes, type PaperSize, renderPdf } from "../certificate/render-pdf.ts";

/** Runs in a thread of its own: drawing a certificate holds a core for some hundred milliseconds. */

export interface PdfTask {
  readonly model: CertificateModel;
  readonly paper: PaperSize;
  /** Goes into the file as its date of creation, ms since the epoch. */
  readonly created_ms: number;
  readonly attachments: readonly Attachment[];
}

const folder = join(dirname(createRequire(import.meta.url).resolve("dejavu-fonts-ttf/package.json")), "ttf");
const face = (name: string): Uint8Array => new Uint8Array(readFileSync(join(folder, `${name}.ttf`)));

const fonts = (): FontBytes => ({
  regular: face("DejaVuSansCondensed"),
  bold: face("DejaVuSansCondensed-Bold"),
  italic: face("DejaVuSansCondensed-Oblique"),
  heading: face("DejaVuSerifCondensed-Bold"),
});

const task = workerData as PdfTask;
parentPort?.postMessage(
  await renderPdf(task.model, {
    paper: task.paper,
    fonts: fonts(),
    createdAt: new Date(task.created_ms),
    attachments: task.attachments,
  }),
);
