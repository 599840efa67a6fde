import type { Fact, FactGroup, Signature } from "../block.ts";
import type { CertificateModel } from "../certificate-model.ts";
import type { PageFlow, StructElement } from "./page-flow.ts";
import { HAIR, INK, LINE, TEXT, type TextStyle } from "./page-style.ts";

/** Draws wrapped text at the cursor and moves it; turns pages between lines. */
export const drawParagraph = (
  flow: PageFlow,
  parent: StructElement,
  text: string,
  style: TextStyle,
  at: { readonly x?: number; readonly width?: number; readonly after?: number; readonly type?: string } = {},
): void => {
  const x = at.x ?? flow.left;
  const lines = flow.lines(text, at.width ?? flow.width, style);
  let rest = lines;
  while (rest.length > 0) {
    if (flow.room() < style.leading) flow.newPage();
    const fits = Math.max(1, Math.floor(flow.room() / style.leading));
    const now = rest.slice(0, fits);
    flow.tagged(at.type ?? "P", parent, () => {
      for (const [i, line] of now.entries()) flow.line(line, x, flow.y + i * style.leading, style);
    });
    flow.y += now.length * style.leading;
    rest = rest.slice(fits);
  }
  flow.y += at.after ?? 4;
};

export const rule = (
  flow: PageFlow,
  y: number,
  weight: number,
  colour: string,
  x = flow.left,
  width = flow.width,
): void =>
  flow.artifact(() => {
    flow.doc
      .moveTo(x, y)
      .lineTo(x + width, y)
      .lineWidth(weight)
      .undash()
      .strokeColor(colour)
      .stroke();
  });

export const drawList = (flow: PageFlow, parent: StructElement, items: readonly string[], style: TextStyle): void => {
  const list = flow.doc.struct("L");
  parent.add(list);
  for (const item of items) {
    flow.need(style.leading);
    const y = flow.y;
    flow.artifact(() => {
      flow.doc
        .rect(flow.left + 1, y + style.size * 0.52, 2.6, 2.6)
        .fillColor(INK)
        .fill();
    });
    const entry = flow.doc.struct("LI");
    list.add(entry);
    drawParagraph(flow, entry, item, style, { x: flow.left + 11, width: flow.width - 11, after: 1.6, type: "LBody" });
    entry.end();
  }
  list.end();
  flow.y += 3;
};

const LABEL_SHARE = 0.31;

interface FactLines {
  readonly label: readonly string[];
  readonly value: readonly string[];
  readonly height: number;
}

/** Fact groups side by side, as in a printed form: a label and a value on each hairline. */
export const drawFacts = (
  flow: PageFlow,
  parent: StructElement,
  groups: readonly FactGroup[],
  furniture: CertificateModel["furniture"],
  headingType: "H2" | "H3",
): void => {
  const gap = 20;
  const width = (flow.width - gap * (groups.length - 1)) / groups.length;
  const labelWidth = width * LABEL_SHARE;
  const linesOf = (fact: Fact): FactLines => {
    const label = flow.lines(
      fact.label + (fact.statedByCustomer ? furniture.statedByCustomerMark : ""),
      labelWidth - 6,
      TEXT.label,
    );
    const value = flow.lines(fact.value, width - labelWidth, TEXT.normal);
    return { label, value, height: Math.max(label.length, value.length) * TEXT.normal.leading + 3.4 };
  };
  flow.need(60);
  const sections = groups.map((g) => {
    const section = flow.doc.struct("Sect");
    parent.add(section);
    return { group: g, section, lines: g.facts.map(linesOf) };
  });
  for (const [i, { group, section }] of sections.entries()) {
    const x = flow.left + i * (width + gap);
    flow.tagged(headingType, section, () => flow.line(group.heading, x, flow.y, TEXT.groupHeading));
    rule(flow, flow.y + 13.5, 0.9, INK, x, width);
  }
  flow.y += 16.5;
  const drawFact = (fact: FactLines, x: number, y: number, height: number, section: StructElement): void => {
    flow.tagged("P", section, () => {
      for (const [n, line] of fact.label.entries()) flow.line(line, x, y + 0.9 + n * TEXT.label.leading, TEXT.label);
      for (const [n, line] of fact.value.entries()) {
        flow.line(line, x + labelWidth, y + n * TEXT.normal.leading, TEXT.normal);
      }
    });
    rule(flow, y + height - 2, 0.35, HAIR, x, width);
  };
  const noteLines = (group: FactGroup): readonly string[] =>
    group.facts.some((f) => f.statedByCustomer) ? flow.lines(furniture.statedByCustomerNote, width, TEXT.note) : [];
  const drawNote = (group: FactGroup, x: number, y: number, section: StructElement): void => {
    const lines = noteLines(group);
    if (lines.length === 0) return;
    flow.tagged("P", section, () => {
      for (const [n, line] of lines.entries()) flow.line(line, x, y + n * TEXT.note.leading, TEXT.note);
    });
  };
  const heights = sections.map(
    ({ group, lines }) => lines.reduce((sum, l) => sum + l.height, 0) + noteLines(group).length * TEXT.note.leading,
  );
  if (Math.max(...heights) <= flow.room()) {
    for (const [i, { group, section, lines }] of sections.entries()) {
      const x = flow.left + i * (width + gap);
      let y = flow.y;
      for (const fact of lines) {
        drawFact(fact, x, y, fact.height, section);
        y += fact.height;
      }
      drawNote(group, x, y, section);
    }
    flow.y += Math.max(...heights);
  } else {
    // Too long for the rest of the page: row by row, so that the page can be turned between rows.
    for (let row = 0; row < Math.max(...groups.map((g) => g.facts.length)); row += 1) {
      const height = Math.max(...sections.map((s) => s.lines[row]?.height ?? 0));
      flow.need(height);
      for (const [i, { section, lines }] of sections.entries()) {
        const fact = lines[row];
        if (fact !== undefined) drawFact(fact, flow.left + i * (width + gap), flow.y, height, section);
      }
      flow.y += height;
    }
    flow.need(2 * TEXT.note.leading);
    for (const [i, { group, section }] of sections.entries()) {
      drawNote(group, flow.left + i * (width + gap), flow.y, section);
    }
    flow.y += Math.max(...sections.map(({ group }) => noteLines(group).length)) * TEXT.note.leading;
  }
  for (const { section } of sections) section.end();
  flow.y += 6;
};

/** A box with a heavy edge and a triangle: read before working on. */
export const drawCaution = (flow: PageFlow, parent: StructElement, heading: string, items: readonly string[]): void => {
  const inner = flow.width - 50;
  const height =
    TEXT.strong.leading +
    items.reduce((sum, item) => sum + flow.lines(item, inner, TEXT.normal).length * TEXT.normal.leading + 2, 0) +
    14;
  flow.need(height);
  const top = flow.y;
  flow.artifact(() => {
    const { doc } = flow;
    doc.rect(flow.left, top, flow.width, height).lineWidth(1.2).undash().strokeColor(INK).stroke();
    const x = flow.left + 20;
    doc
      .moveTo(x, top + 9)
      .lineTo(x + 11, top + 28)
      .lineTo(x - 11, top + 28)
      .closePath()
      .lineWidth(1.6)
      .stroke();
    doc
      .moveTo(x, top + 15)
      .lineTo(x, top + 21.5)
      .lineWidth(1.8)
      .stroke();
    doc
      .circle(x, top + 24.8, 1)
      .fillColor(INK)
      .fill();
  });
  flow.y = top + 7;
  const x = flow.left + 40;
  drawParagraph(flow, parent, heading, TEXT.strong, { x, width: inner, after: 0 });
  for (const item of items) drawParagraph(flow, parent, item, TEXT.normal, { x, width: inner, after: 2 });
  flow.y = top + height + 8;
};

export const drawSignatures = (flow: PageFlow, parent: StructElement, people: readonly Signature[]): void => {
  const gap = 26;
  const width = (flow.width - gap * (people.length - 1)) / people.length;
  const columns = people.map((p) => ({
    role: flow.lines(p.detail === "" ? p.role : `${p.role}, ${p.detail}`, width, TEXT.label),
    name: flow.lines(p.name, width, TEXT.strong),
  }));
  // All names begin at one height, however many lines the words above them take.
  const roles = Math.max(...columns.map((c) => c.role.length)) * TEXT.label.leading;
  const height = roles + Math.max(...columns.map((c) => c.name.length)) * TEXT.strong.leading;
  flow.need(height + 14);
  flow.y += 12;
  const top = flow.y;
  for (const [i, column] of columns.entries()) {
    const x = flow.left + i * (width + gap);
    rule(flow, top, 0.6, LINE, x, width);
    flow.tagged("P", parent, () => {
      for (const [lines, style, y] of [
        [column.role, TEXT.label, top + 3],
        [column.name, TEXT.strong, top + 3 + roles],
      ] as const) {
        for (const [n, line] of lines.entries()) flow.line(line, x, y + n * style.leading, style);
      }
    });
  }
  flow.y = top + height + 6;
};
