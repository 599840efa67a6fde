import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { parentPort } from "node:worker_threads";
import type { CertificateModel } from "../certificate/certificate-model.ts";
import { type Attachment, type FontBytes, type PaperSize, renderPdf } from "../certificate/render-pdf.ts";
import { drawLabel } from "../certificate/short-forms/draw-label.ts";
import type { Label } from "../certificate/short-forms/label.ts";
import { LABEL_DOTS_A_METRE, labelPicture } from "../certificate/short-forms/label-picture.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { bitPng } from "./bit-png.ts";
import { furtherFonts } from "./further-fonts.ts";

/** Runs in a thread of its own, one order after another: drawing a certificate holds a core for some hundred milliseconds. */

export interface PdfTask {
  readonly model: CertificateModel;
  readonly paper: PaperSize;
  /** Goes into the file as its date of creation, ms since the epoch. */
  readonly created_ms: number;
  readonly attachments: readonly Attachment[];
  /** Leaves room for a signature of the PDF. */
  readonly signature?: { readonly name: string; readonly reason: string; readonly place: string };
  /** Draw the sticker instead of the certificate, in print or as a picture (PNG). */
  readonly label?: Label;
  readonly as?: "print" | "picture";
}

export interface PdfOrder {
  readonly id: number;
  readonly task: PdfTask;
}

export type PdfAnswer =
  | { readonly id: number; readonly result: Result<Uint8Array, Fault> }
  | { readonly id: number; readonly broken: string };

const folder = join(dirname(createRequire(import.meta.url).resolve("dejavu-fonts-ttf/package.json")), "ttf");
const face = (name: string): Uint8Array => new Uint8Array(readFileSync(join(folder, `${name}.ttf`)));

const faces: FontBytes = {
  regular: face("DejaVuSansCondensed"),
  bold: face("DejaVuSansCondensed-Bold"),
  italic: face("DejaVuSansCondensed-Oblique"),
  heading: face("DejaVuSerifCondensed-Bold"),
};

const draw = async (task: PdfTask): Promise<Result<Uint8Array, Fault>> => {
  const { sections, laboratory } = task.model;
  const further = furtherFonts(JSON.stringify([sections, laboratory.name, laboratory.lines, task.label ?? ""]));
  const createdAt = new Date(task.created_ms);
  return task.label === undefined
    ? renderPdf(task.model, {
        paper: task.paper,
        fonts: faces,
        furtherFonts: further,
        createdAt,
        attachments: task.attachments,
        ...(task.signature === undefined ? {} : { signature: { ...task.signature, at: createdAt } }),
      })
    : ok(
        task.as === "picture"
          ? bitPng(labelPicture(task.label, { fonts: faces, furtherFonts: further }), LABEL_DOTS_A_METRE)
          : await drawLabel(task.label, { fonts: faces, furtherFonts: further, createdAt }),
      );
};

parentPort?.on("message", ({ id, task }: PdfOrder) => {
  draw(task).then(
    (result) => parentPort?.postMessage({ id, result } satisfies PdfAnswer),
    (error: unknown) =>
      parentPort?.postMessage({
        id,
        broken: error instanceof Error ? error.message : String(error),
      } satisfies PdfAnswer),
  );
});
