import type { Pdf } from "../pdf/page-flow.ts";
import type { Label } from "./label.ts";
import { LABEL, type LabelFonts, labelDocument, layOutLabel, type PlacedText } from "./label-layout.ts";

/** Black and white, as printers of labels have it: one number a pixel, 1 is black, row after row. */
export interface BitPicture {
  readonly width: number;
  readonly height: number;
  readonly pixels: Uint8Array;
}

/** Twice the 300 points an inch of common label printers, so that small letters keep their shape. */
const DOTS_AN_INCH = 600;
const DOTS = DOTS_AN_INCH / 72;

type Point = readonly [x: number, y: number];

/** What a font of the library says about the shapes of a text, in units of the font. */
interface Shapes {
  readonly unitsPerEm: number;
  layout(text: string): {
    readonly glyphs: readonly {
      readonly path: { readonly commands: readonly { readonly command: string; readonly args: readonly number[] }[] };
    }[];
    readonly positions: readonly { readonly xAdvance: number; readonly xOffset: number; readonly yOffset: number }[];
  };
}

/** Straight pieces for a curve; at this size more cannot be seen. */
const PIECES = 6;

const outlineOf = (doc: Pdf, { run, x, base, size }: PlacedText): readonly (readonly Point[])[] => {
  doc.font(run.font).fontSize(size);
  const { font } = (doc as unknown as { readonly _font: { readonly font: Shapes } })._font;
  const scale = (size / font.unitsPerEm) * DOTS;
  const { glyphs, positions } = font.layout(run.text);
  const contours: Point[][] = [];
  let pen = 0;
  for (const [i, { path }] of glyphs.entries()) {
    const place = positions[i];
    const at = (px = 0, py = 0): Point => [
      x * DOTS + (pen + (place?.xOffset ?? 0) + px) * scale,
      base * DOTS - ((place?.yOffset ?? 0) + py) * scale,
    ];
    let now: readonly [number, number] = [0, 0];
    const curve = (points: readonly (readonly [number, number])[]): void => {
      const end = points.at(-1) ?? now;
      for (let step = 1; step <= PIECES; step += 1) {
        let level: readonly (readonly [number, number])[] = [now, ...points];
        // De Casteljau: between neighbours, until one point is left.
        while (level.length > 1) {
          level = level.slice(1).map(([bx, by], k): readonly [number, number] => {
            const [ax, ay] = level[k] ?? [bx, by];
            return [ax + ((bx - ax) * step) / PIECES, ay + ((by - ay) * step) / PIECES];
          });
        }
        contours.at(-1)?.push(at(...(level[0] ?? end)));
      }
      now = end;
    };
    for (const { command, args } of path.commands) {
      const [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0] = args;
      if (command === "moveTo") contours.push([at(a, b)]);
      else if (command === "lineTo") contours.at(-1)?.push(at(a, b));
      else if (command === "quadraticCurveTo") {
        curve([
          [a, b],
          [c, d],
        ]);
      } else if (command === "bezierCurveTo") {
        curve([
          [a, b],
          [c, d],
          [e, f],
        ]);
      }
      if (command === "moveTo" || command === "lineTo") now = [a, b];
    }
    pen += place?.xAdvance ?? 0;
  }
  return contours;
};

/** Fills outlines by the non-zero rule, pixel centres decide. */
const fillOutline = (picture: BitPicture, contours: readonly (readonly Point[])[]): void => {
  const { width, height, pixels } = picture;
  const crossings = new Map<number, { readonly x: number; readonly turn: number }[]>();
  for (const contour of contours) {
    for (const [i, [ax, ay]] of contour.entries()) {
      const [bx, by] = contour[(i + 1) % contour.length] ?? [ax, ay];
      const turn = by > ay ? 1 : -1;
      const from = Math.max(0, Math.ceil(Math.min(ay, by) - 0.5));
      const to = Math.min(height - 1, Math.ceil(Math.max(ay, by) - 0.5) - 1);
      for (let y = from; y <= to; y += 1) {
        const x = ax + ((y + 0.5 - ay) * (bx - ax)) / (by - ay);
        crossings.set(y, [...(crossings.get(y) ?? []), { x, turn }]);
      }
    }
  }
  for (const [y, row] of crossings) {
    row.sort((a, b) => a.x - b.x);
    let winding = 0;
    for (const [i, { x, turn }] of row.entries()) {
      winding += turn;
      const next = row[i + 1];
      if (winding === 0 || next === undefined) continue;
      const from = Math.max(0, Math.ceil(x - 0.5));
      const to = Math.min(width, Math.ceil(next.x - 0.5));
      if (to > from) pixels.fill(1, y * width + from, y * width + to);
    }
  }
};

/** The sticker as a picture of its true size, with the same words and the same code as its print. */
export const labelPicture = (label: Label, fonts: LabelFonts): BitPicture => {
  const doc = labelDocument(fonts);
  const { texts, squares, side } = layOutLabel(doc, label, fonts.furtherFonts?.length ?? 0);
  const width = Math.round(LABEL.width * DOTS);
  const height = Math.round(LABEL.height * DOTS);
  const picture = { width, height, pixels: new Uint8Array(width * height) };
  for (const { x, y } of squares) {
    const right = Math.round((x + side) * DOTS);
    for (let row = Math.round(y * DOTS); row < Math.round((y + side) * DOTS); row += 1) {
      picture.pixels.fill(1, row * width + Math.round(x * DOTS), row * width + right);
    }
  }
  for (const text of texts) fillOutline(picture, outlineOf(doc, text));
  return picture;
};

export const LABEL_DOTS_A_METRE = Math.round(DOTS_AN_INCH / 0.0254);
