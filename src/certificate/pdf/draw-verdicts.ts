import type { VerdictPanel, VerdictShape } from "../block.ts";
import type { PageFlow, StructElement } from "./page-flow.ts";
import { INK, LINE, PAPER_WHITE, TEXT } from "./page-style.ts";

const PAD = 8;
const SIGN = 30;

/** Pass stands left, fail stands right: place tells them apart when word and shape are smudged. */
const signAtRight = (shape: VerdictShape): boolean => shape === "fail" || shape === "conditional-fail";

/** A circle with a tick, a triangle on its base, a triangle on its point, a filled square with a cross, a broken circle. */
const drawSign = (flow: PageFlow, shape: VerdictShape, x: number, y: number): void => {
  const { doc } = flow;
  const c = SIGN / 2;
  doc.lineWidth(2).undash().strokeColor(INK).lineJoin("round").lineCap("round");
  switch (shape) {
    case "pass":
      doc.circle(x + c, y + c, c - 1).stroke();
      doc
        .moveTo(x + 8.5, y + 15.5)
        .lineTo(x + 13.5, y + 20.5)
        .lineTo(x + 22, y + 9.5)
        .lineWidth(2.6)
        .stroke();
      break;
    case "conditional-pass":
      doc
        .moveTo(x + c, y + 3)
        .lineTo(x + SIGN - 1, y + SIGN - 4)
        .lineTo(x + 1, y + SIGN - 4)
        .closePath()
        .stroke();
      break;
    case "conditional-fail":
      doc
        .moveTo(x + c, y + SIGN - 3)
        .lineTo(x + SIGN - 1, y + 4)
        .lineTo(x + 1, y + 4)
        .closePath()
        .fillColor(INK)
        .fillAndStroke();
      break;
    case "fail":
      doc
        .rect(x + 1, y + 1, SIGN - 2, SIGN - 2)
        .fillColor(INK)
        .fillAndStroke();
      doc
        .moveTo(x + 8.5, y + 8.5)
        .lineTo(x + SIGN - 8.5, y + SIGN - 8.5)
        .moveTo(x + SIGN - 8.5, y + 8.5)
        .lineTo(x + 8.5, y + SIGN - 8.5)
        .lineWidth(3)
        .strokeColor(PAPER_WHITE)
        .stroke();
      break;
    case "no-statement":
      doc
        .circle(x + c, y + c, c - 1)
        .dash(3.2, { space: 3.2 })
        .stroke()
        .undash();
      doc
        .moveTo(x + 9, y + c)
        .lineTo(x + SIGN - 9, y + c)
        .stroke();
      break;
  }
  doc.lineCap("butt").lineJoin("miter");
};

export const drawVerdicts = (flow: PageFlow, parent: StructElement, panels: readonly VerdictPanel[]): void => {
  const gap = 14;
  const across = Math.min(2, panels.length);
  for (let start = 0; start < panels.length; start += across) {
    const row = panels.slice(start, start + across);
    const width = (flow.width - gap * (across - 1)) / across;
    const laid = row.map((panel) => {
      const lines = panel.lines.map((text) => flow.lines(text, width - 2 * PAD, TEXT.small));
      const words = flow.lines(panel.word, width - 2 * PAD - SIGN - 10, TEXT.verdictWord);
      const head = Math.max(SIGN, TEXT.verdictStage.leading + words.length * TEXT.verdictWord.leading);
      return { panel, lines, words, head };
    });
    const head = Math.max(...laid.map((l) => l.head));
    const height =
      2 * PAD +
      head +
      6 +
      Math.max(...laid.map((l) => l.lines.reduce((sum, t) => sum + t.length * TEXT.small.leading + 1.5, 0)));
    flow.need(height);
    const top = flow.y;
    for (const [i, { panel, lines, words }] of laid.entries()) {
      const x = flow.left + i * (width + gap);
      const right = signAtRight(panel.shape);
      flow.artifact(() => {
        flow.doc
          .rect(x, top, width, height)
          .lineWidth(panel.shape === "fail" ? 2.4 : 0.8)
          .undash()
          .strokeColor(panel.shape === "fail" ? INK : LINE)
          .stroke();
        drawSign(flow, panel.shape, right ? x + width - PAD - SIGN : x + PAD, top + PAD);
      });
      const textX = right ? x + PAD : x + PAD + SIGN + 10;
      flow.tagged("P", parent, () => {
        flow.line(panel.stage, textX, top + PAD - 2, TEXT.verdictStage);
        for (const [n, word] of words.entries()) {
          flow.line(word, textX, top + PAD + 8 + n * TEXT.verdictWord.leading, TEXT.verdictWord);
        }
      });
      let y = top + PAD + head + 6;
      flow.tagged("P", parent, () => {
        for (const text of lines) {
          for (const line of text) {
            flow.line(line, x + PAD, y, TEXT.small);
            y += TEXT.small.leading;
          }
          y += 1.5;
        }
      });
    }
    flow.y = top + height + 10;
  }
};
