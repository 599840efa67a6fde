import { z } from "zod";
import { evaluate } from "./compile.ts";
import { parseExpression } from "./expression.ts";

/** A measurement model with its inputs, for any quantity: what the budget command reads. */

/** A number, or how it comes about: `0.4 / 2`, `14e-6 * 0.93 + 2e-6`, `10 / t_quantile(0.975, 5)`. */
const figure = (check: z.ZodNumber = z.number()) =>
  z
    .preprocess((written, context) => {
      if (typeof written !== "string" || written.trim() === "") return written;
      const refuse = (message: string, remedy: string): never => {
        context.issues.push({ code: "custom", message, params: { remedy }, input: written });
        return z.NEVER;
      };
      const comma = /^\s*[+-]?\d+,\d+\s*$/u.test(written);
      if (comma) return refuse(`"${written}" has a decimal comma.`, `Write ${written.trim().replace(",", ".")}.`);
      const parsed = parseExpression(written, []);
      if (!parsed.ok) return refuse(`"${written}" is no number. ${parsed.fault.message}`, parsed.fault.remedy);
      const result = evaluate(parsed.value, new Map());
      return Number.isFinite(result) ? result : refuse(`"${written}" gives no number.`, "Check the figures in it.");
    }, check)
    .meta({ title: "number" });
const positive = () => figure(z.number().gt(0));

const value = figure().describe("best estimate, in the input's unit");
const common = {
  unit: z.string().min(1).default("1").describe("unit of the input, for print"),
  about: z.string().min(1).optional().describe("what it is and where it comes from"),
};
const dof = positive().optional().describe("degrees of freedom of its uncertainty; infinite if left out");
const doubtOfU = positive()
  .optional()
  .describe(
    "how far u itself may be off, as a share: 0.25 gives 1/(2 x 0.25^2) = 8 degrees of freedom; instead of these",
  );
const known = { degrees_of_freedom: dof, doubt_of_u: doubtOfU };
const halfWidth = positive().describe("half-width of its limits");
const u = positive();

const input = z.discriminatedUnion("distribution", [
  z.strictObject({ distribution: z.literal("constant"), value, ...common }),
  z.strictObject({
    distribution: z.literal("normal").describe("drawn as a normal distribution, whatever its degrees of freedom"),
    value,
    u: u.optional().describe("standard uncertainty; or give U and k"),
    U: u.optional().describe("expanded uncertainty, with k"),
    k: u.optional().describe("coverage factor of U"),
    ...known,
    ...common,
  }),
  z.strictObject({
    distribution: z.literal("t").describe("drawn as a t distribution with scale u"),
    value,
    u: u.describe("standard uncertainty, the scale of the distribution"),
    degrees_of_freedom: positive().describe("degrees of freedom of its uncertainty"),
    ...common,
  }),
  z.strictObject({
    distribution: z.literal("readings").describe("mean of readings, drawn as a t distribution"),
    readings: z.array(figure()).min(2).describe("the readings"),
    ...common,
  }),
  z.strictObject({
    distribution: z.literal("rectangular"),
    value,
    half_width: halfWidth,
    ...known,
    ...common,
  }),
  z.strictObject({
    distribution: z.literal("triangular"),
    value,
    half_width: halfWidth,
    ...known,
    ...common,
  }),
  z.strictObject({
    distribution: z.literal("trapezoid"),
    value,
    half_width: halfWidth,
    beta: figure(z.number().min(0).max(1)).describe("width of the flat top as a share of the base"),
    ...known,
    ...common,
  }),
  z.strictObject({
    distribution: z.literal("curved-trapezoid").describe("a rectangle whose limits are themselves not well known"),
    value,
    half_width: halfWidth,
    doubt: u.describe("how far the half-width may be off, both ways"),
    ...common,
  }),
  z.strictObject({
    distribution: z.literal("arcsine").describe("a quantity that swings between two limits"),
    value,
    half_width: halfWidth.describe("amplitude of the swing"),
    ...known,
    ...common,
  }),
]);

const nameField = z
  .string()
  .regex(/^[A-Za-z]\w*$/u, "A name is made of letters, digits and underscores and begins with a letter.");

export const budgetFileSchema = z
  .strictObject({
    format: z.literal("stillpoint-budget 1").describe("the kind of file and its version"),
    title: z.string().min(1).describe("what is measured"),
    inputs: z.record(nameField, input).describe("input quantities, by the name they have in the model"),
    outputs: z
      .record(
        nameField,
        z.strictObject({
          model: z.string().min(1).describe("formula in the names of the inputs, such as `a * (b - c)^2`"),
          unit: z.string().min(1).default("1").describe("unit of the output, for print"),
        }),
      )
      .describe("output quantities, by name"),
    correlations: z
      .array(
        z.strictObject({
          between: z.tuple([nameField, nameField]).describe("two inputs"),
          r: z
            .union([z.literal("readings"), figure(z.number().min(-1).max(1))])
            .describe("correlation, or `readings` when both were read at the same times"),
        }),
      )
      .default([])
      .describe("correlations between inputs; none if left out"),
    coverage: z.number().gt(0).lt(1).optional().describe("coverage probability, 0 to 1; 0.95 if left out"),
    coverage_factor: positive().optional().describe("k of U where it is agreed, such as 2, instead of coverage"),
    interval: z
      .enum(["shortest", "symmetric"])
      .default("shortest")
      .describe("which Monte Carlo interval: the shortest, or the one with the same probability on either side"),
    degrees_of_freedom: z
      .enum(["as-is", "truncated"])
      .default("as-is")
      .describe("what becomes of effective degrees of freedom that are no whole number"),
    digits: z
      .union([z.literal(1), z.literal(2)])
      .default(2)
      .describe("significant digits of u that count, for the numerical tolerance"),
  })
  .describe("Stillpoint budget file");

export type BudgetFile = z.output<typeof budgetFileSchema>;
export type BudgetFileInput = BudgetFile["inputs"][string];
