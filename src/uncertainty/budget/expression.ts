import { create, type MathNode, parseDependencies } from "mathjs/number";
import { err, ok, type Result } from "../../vocabulary/result.ts";

/**
 * The right-hand side of a measurement model as a small closed tree. A library parses the text; only what stands in this
 * tree gets through, so nothing else can ever be evaluated.
 */
export type Expression =
  | { readonly kind: "number"; readonly value: number }
  | { readonly kind: "name"; readonly name: string }
  | { readonly kind: "negate"; readonly of: Expression }
  | { readonly kind: Operator; readonly left: Expression; readonly right: Expression }
  | { readonly kind: "call"; readonly function: FunctionName; readonly of: Expression }
  | { readonly kind: "table"; readonly table: TableName; readonly arguments: readonly Expression[] };

export type Operator = "+" | "-" | "*" | "/" | "^";

/** Functions of one argument; angles in radians; `log` is the natural logarithm. */
export const FUNCTION_NAMES = [
  "sqrt",
  "exp",
  "log",
  "log10",
  "sin",
  "cos",
  "tan",
  "asin",
  "acos",
  "atan",
  "sinh",
  "cosh",
  "tanh",
  "abs",
  "sign",
] as const;
export type FunctionName = (typeof FUNCTION_NAMES)[number];

/** What stands in statistical tables, with the names of its arguments. Their arguments carry no uncertainty. */
export const TABLE_ARGUMENTS = {
  normal_quantile: ["p"],
  normal_probability: ["z"],
  t_quantile: ["p", "dof"],
  t_probability: ["t", "dof"],
  chi_square_quantile: ["p", "dof"],
  F_quantile: ["p", "dof_above", "dof_below"],
  gamma: ["x"],
} as const satisfies Readonly<Record<string, readonly string[]>>;
export type TableName = keyof typeof TABLE_ARGUMENTS;
const TABLE_NAMES = Object.keys(TABLE_ARGUMENTS) as readonly TableName[];

const CONSTANTS: Readonly<Record<string, number>> = { pi: Math.PI, e: Math.E };

/** Names that an input cannot have, because they mean something in a model. */
export const RESERVED_NAMES: readonly string[] = [
  ...FUNCTION_NAMES,
  ...TABLE_NAMES,
  ...Object.keys(CONSTANTS),
  ...["ln", "mod", "to", "in", "and", "or", "xor", "not", "end", "true", "false", "null", "undefined", "i"],
  ...["Infinity", "NaN"],
];

export interface ExpressionFault {
  readonly message: string;
  readonly remedy: string;
}

/** Parts of the library's nodes that are read here. */
interface ParsedNode {
  readonly type: string;
  readonly op?: string;
  readonly implicit?: boolean;
  readonly name?: string;
  readonly value?: unknown;
  readonly content?: ParsedNode;
  readonly fn?: ParsedNode | string;
  readonly args?: readonly ParsedNode[];
}

const { parse } = create(parseDependencies ?? {});

class Refusal extends Error {
  readonly remedy: string;
  constructor(message: string, remedy: string) {
    super(message);
    this.remedy = remedy;
  }
}

const ALLOWED = `Use numbers, input names, + - * / ^, brackets, ${FUNCTION_NAMES.join(", ")}, and ${TABLE_NAMES.map((t) => `${t}(${TABLE_ARGUMENTS[t].join(", ")})`).join(", ")}.`;

const isOperator = (op: string | undefined): op is Operator => op !== undefined && "+-*/^".includes(op);

const isFunctionName = (name: string): name is FunctionName => (FUNCTION_NAMES as readonly string[]).includes(name);

const isTableName = (name: string): name is TableName => Object.hasOwn(TABLE_ARGUMENTS, name);

const symbol = (name: string, known: ReadonlySet<string>): Expression => {
  if (known.has(name)) return { kind: "name", name };
  const constant = Object.hasOwn(CONSTANTS, name) ? CONSTANTS[name] : undefined;
  if (constant !== undefined) return { kind: "number", value: constant };
  throw new Refusal(
    known.size === 0 ? `"${name}" has no value here.` : `"${name}" is no input of this model.`,
    known.size === 0 ? ALLOWED : `The inputs are ${[...known].join(", ")}.`,
  );
};

const operation = (node: ParsedNode, known: ReadonlySet<string>): Expression => {
  const [left, right, ...more] = (node.args ?? []).map((arg) => translate(arg, known));
  if (node.implicit === true) {
    throw new Refusal("Two quantities stand side by side.", "Write the multiplication sign between them.");
  }
  if (left !== undefined && right === undefined && node.op === "-") return { kind: "negate", of: left };
  if (left !== undefined && right === undefined && node.op === "+") return left;
  if (left === undefined || right === undefined || more.length > 0 || !isOperator(node.op)) {
    throw new Refusal(`The operator "${node.op}" has no place in a model.`, ALLOWED);
  }
  return { kind: node.op, left, right };
};

const call = (node: ParsedNode, known: ReadonlySet<string>): Expression => {
  const written = typeof node.fn === "string" ? node.fn : (node.fn?.name ?? "");
  const name = written === "ln" ? "log" : written;
  if (isTableName(name)) {
    const wanted = TABLE_ARGUMENTS[name];
    if (node.args?.length !== wanted.length) {
      throw new Refusal(
        `"${name}" takes ${wanted.length === 1 ? "one argument" : `${wanted.length} arguments`}.`,
        `Write ${name}(${wanted.join(", ")}).`,
      );
    }
    return { kind: "table", table: name, arguments: node.args.map((arg) => translate(arg, known)) };
  }
  if (!isFunctionName(name)) throw new Refusal(`There is no function "${written}".`, ALLOWED);
  const [of, ...more] = node.args ?? [];
  if (of === undefined || more.length > 0) throw new Refusal(`"${written}" takes one argument.`, ALLOWED);
  return { kind: "call", function: name, of: translate(of, known) };
};

const translate = (node: ParsedNode, known: ReadonlySet<string>): Expression => {
  switch (node.type) {
    case "ConstantNode":
      if (typeof node.value === "number" && Number.isFinite(node.value)) return { kind: "number", value: node.value };
      throw new Refusal(`"${String(node.value)}" is no number.`, ALLOWED);
    case "SymbolNode":
      return symbol(node.name ?? "", known);
    case "ParenthesisNode":
      if (node.content !== undefined) return translate(node.content, known);
      throw new Refusal("A pair of brackets is empty.", ALLOWED);
    case "OperatorNode":
      return operation(node, known);
    case "FunctionNode":
      return call(node, known);
    default:
      throw new Refusal("This is more than a formula.", ALLOWED);
  }
};

const whereText = (text: string, at: number | undefined): string => {
  if (at === undefined) return "cannot be read";
  const rest = text.slice(Math.max(0, at - 1), at + 9);
  return rest === "" ? "ends too early" : `cannot be read from character ${at} on: "${rest}"`;
};

/** Text to tree. `names` are the inputs that may occur. */
export const parseExpression = (text: string, names: readonly string[]): Result<Expression, ExpressionFault> => {
  let node: MathNode;
  try {
    node = parse(text);
  } catch (problem) {
    const at = (problem as { readonly char?: number }).char;
    return err({ message: `The formula "${text}" ${whereText(text, at)}.`, remedy: ALLOWED });
  }
  try {
    return ok(translate(node as ParsedNode, new Set(names)));
  } catch (problem) {
    if (problem instanceof Refusal) return err({ message: problem.message, remedy: problem.remedy });
    throw problem;
  }
};
