import { type Document, isMap, isNode, isScalar, isSeq, LineCounter, parseDocument, visit, type YAMLError } from "yaml";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { type FileFault, type FilePlace, type FileSource, inOrder, pathText } from "./file-fault.ts";

/** A YAML text as plain values, with the place of every key and value. */
export interface YamlText {
  readonly value: unknown;
  readonly source: FileSource;
}

/** Own words for the mistakes that people make in YAML; the library's word for the rest. */
const WORDS: Readonly<Partial<Record<YAMLError["code"], readonly [message: string, remedy: string]>>> = {
  TAB_AS_INDENT: ["This line is indented with a tab.", "Indent with spaces; YAML refuses tabs."],
  BAD_INDENT: ["This line is indented differently from its neighbours.", "Give all keys of a group the same indent."],
  BLOCK_AS_IMPLICIT_KEY: [
    "A key stands where only a value can be: this line is indented too far, or a colon stands inside the text.",
    "Line it up with its neighbours, or put text that holds a colon in quotes.",
  ],
  MULTILINE_IMPLICIT_KEY: ["This line has no colon after its key.", "Write the key, a colon, a blank, the value."],
  BAD_SCALAR_START: ["The text begins with a sign that YAML keeps for itself.", "Put the text in quotes."],
  MULTIPLE_DOCS: ["There is a second document after a line of three hyphens.", "Keep one document a file."],
  BAD_ALIAS: ["The text begins with * or &, which YAML keeps for itself.", "Put the text in quotes."],
  TAG_RESOLVE_FAILED: ["The text begins with !, which YAML keeps for itself.", "Put the text in quotes."],
  MISSING_CHAR: ["A closing quote or bracket, or the colon after a key, is missing.", "Close it, or add the colon."],
  UNEXPECTED_TOKEN: ["This part stands where YAML expects nothing.", "Check quotes, brackets and colons before it."],
};

const tabbedLine = (text: string): number => text.split("\n").findIndex((line) => /^ *\t/u.test(line)) + 1;

/** Where the first quote stands that is not closed on its line; a quote that is never closed is noticed only at the end. */
const openQuote = (text: string): { readonly line: number; readonly col: number } | undefined => {
  for (const [index, line] of text.split("\n").entries()) {
    const start = /^[^#"']*?[:-]\s+(?<quote>["'])/u.exec(line);
    const quote = start?.groups?.["quote"];
    if (start !== null && quote !== undefined && line.split(quote).length % 2 === 0)
      return { line: index + 1, col: start[0].length };
  }
  return undefined;
};

/**
 * The first reference to another part of the file. They are refused: a file that is read by people and auditors has its
 * values where they apply, and a forgotten quote before a star is the likelier story.
 */
const firstAlias = (document: Document): number | undefined => {
  let at: number | undefined;
  visit(document, {
    Alias: (_key, node) => {
      at = node.range?.[0] ?? 0;
      return visit.BREAK;
    },
  });
  return at;
};

const placesOf = (document: Document, lines: LineCounter): Record<string, FilePlace> => {
  const places: Record<string, FilePlace> = {};
  const at = (node: unknown): { readonly line: number; readonly col: number } | undefined =>
    isNode(node) && node.range ? lines.linePos(node.range[0]) : undefined;
  const walk = (node: unknown, path: readonly (string | number)[], key: unknown): void => {
    const value = at(node) ?? at(key);
    const own = at(key) ?? value;
    if (value !== undefined && own !== undefined) {
      places[pathText(path)] = { line: value.line, column: value.col, keyLine: own.line, keyColumn: own.col };
    }
    if (isMap(node)) {
      for (const { key: word, value: below } of node.items)
        walk(below, [...path, String(isScalar(word) ? word.value : word)], word);
    } else if (isSeq(node)) {
      for (const [index, item] of node.items.entries()) walk(item, [...path, index], item);
    }
  };
  walk(document.contents, [], null);
  return places;
};

const faultsOf = (document: Document, text: string, fileName: string, lines: LineCounter): readonly FileFault[] => {
  const errors: readonly YAMLError[] = [...document.errors, ...document.warnings];
  const words = (message: string, remedy: string, line: number, column: number): FileFault => ({
    file: fileName,
    line,
    column,
    path: "",
    code: "yaml",
    message,
    remedy,
  });
  const alias = errors.length === 0 ? firstAlias(document) : undefined;
  if (alias !== undefined) {
    const { line, col } = lines.linePos(alias);
    return [
      words(
        "The text begins with *, which refers to another part of the file.",
        "Write the value out where it applies, or put the text in quotes.",
        line,
        col,
      ),
    ];
  }
  const tab = errors.length === 0 ? 0 : tabbedLine(text);
  if (tab > 0 && !errors.every((error) => error.code === "DUPLICATE_KEY")) {
    const [message, remedy] = WORDS.TAB_AS_INDENT ?? ["", ""];
    return [words(message, remedy, tab, 1)];
  }
  // One broken line makes the parser stumble over the next ones too: only the first is worth reading.
  const syntax = errors.find((error) => error.code !== "DUPLICATE_KEY");
  if (syntax !== undefined) {
    const unclosed = syntax.code === "MISSING_CHAR" ? openQuote(text) : undefined;
    const { line, col } = unclosed ?? lines.linePos(syntax.pos[0]);
    const [message, remedy] = WORDS[syntax.code] ?? [
      `YAML cannot be read here: ${syntax.message}.`,
      "Check indents, quotes and colons on this line and the one before.",
    ];
    return [words(message, remedy, line, col)];
  }
  // A repeated group repeats all its keys: the first is enough.
  return errors.slice(0, 1).map((error) => {
    const { line, col } = lines.linePos(error.pos[0]);
    const key = /^[^\s:]*/u.exec(text.slice(error.pos[0]))?.[0] ?? "";
    return words(
      `The key ${key} is written twice in the same group.`,
      "Keep one of them, or put back the heading above the second.",
      line,
      col,
    );
  });
};

/** Reads one YAML 1.2 document. `fileName` is only used in messages. */
export const readYaml = (text: string, fileName: string): Result<YamlText, readonly FileFault[]> => {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false, version: "1.2" });
  const faults = faultsOf(document, text, fileName, lines);
  if (faults.length > 0) return err(inOrder(faults));
  if (document.contents === null) {
    return err([
      {
        file: fileName,
        line: 1,
        column: 1,
        path: "",
        code: "yaml",
        message: "The file is empty.",
        remedy: "Start from one of the files in bench-configs.",
      },
    ]);
  }
  return ok({
    value: document.toJS({ maxAliasCount: 0 }),
    source: { file: fileName, places: placesOf(document, lines) },
  });
};
