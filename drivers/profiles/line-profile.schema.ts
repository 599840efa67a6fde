import { z } from "zod";
import { blameIn, checkMeanings, roleField } from "./profile-fields.ts";

/** An instrument that speaks lines of text, as data: what is asked, and the shape of a good answer. */

const groupsIn = (source: string): ReadonlySet<string> =>
  new Set([...source.matchAll(/\(\?<([A-Za-z_]+)>/gu)].map((found) => found[1] ?? ""));

/** A pattern of the whole answer, with the parts that are needed as named groups. */
const pattern = (...groups: readonly string[]) =>
  z
    .string()
    .min(1)
    .transform((source, context): RegExp => {
      const missing = groups.filter((group) => !groupsIn(source).has(group));
      for (const group of missing) {
        context.issues.push({ code: "custom", message: `the pattern has no group (?<${group}>…)`, input: source });
      }
      if (groups.length > 0 && !(source.startsWith("^") && source.endsWith("$"))) {
        context.issues.push({ code: "custom", message: "the pattern has to fit the whole line, ^…$", input: source });
      }
      try {
        return new RegExp(source, "u");
      } catch (trouble) {
        const why = trouble instanceof Error ? trouble.message : String(trouble);
        context.issues.push({ code: "custom", message: `the pattern cannot be read: ${why}`, input: source });
        return z.NEVER;
      }
    })
    .describe("pattern of the whole answer; the value is the group `value`, a unit in the answer the group `unit`");

const query = z.string().min(1).describe("the line that is sent");

const setting = z.strictObject({
  ask: query,
  answer: pattern("value"),
  wanted: z.union([z.string(), z.number()]).describe("only while it has this value does a reading count"),
  within: z.number().min(0).default(0),
});

const reading = z.strictObject({
  ask: query,
  answer: pattern("value"),
  unit: z.string().min(1).describe("unit of the value"),
});

const command = z.strictObject({
  send: z
    .string()
    .refine((text) => text.includes("{value}"), "write {value} where the number goes")
    .describe("the line that sets it"),
  confirm: query.describe("the line that asks what was set"),
  answer: pattern("value"),
  unit: z.string().min(1),
  decimals: z.number().int().min(0).max(9).describe("digits after the point that are sent"),
  within: z.number().min(0).optional().describe("how far off still counts as confirmed; the last digit if left out"),
});

export const lineProfileSchema = z
  .strictObject({
    format: z.literal("stillpoint-line-profile 1").describe("the kind of file and its version"),
    title: z.string().min(1),
    role: roleField(),
    line: z.strictObject({
      ends_with: z.enum(["\n", "\r", "\r\n"]).default("\n"),
      encoding: z.enum(["ascii", "latin1"]).default("ascii"),
    }),
    identity: z.strictObject({ ask: query, answer: pattern("maker", "model", "serial_number") }),
    settings: z.record(z.string(), setting).default({}),
    commands: z.record(z.string(), command).default({}),
    readings: z.record(z.string(), reading).default({}),
    errors: z
      .strictObject({ ask: query, none: pattern().describe("pattern of the answer that means no error") })
      .optional()
      .describe("how the instrument is asked whether it refused a command"),
  })
  .superRefine((profile, context) => checkMeanings(profile, blameIn(context)));

export type LineProfile = z.output<typeof lineProfileSchema>;
