import { z } from "zod";
import type { FilePath } from "./file-fault.ts";

/** Small questions to a schema, for error text and documentation; the schema stays the one source of both. */

const inner = (schema: z.core.$ZodType): z.ZodType => schema as z.ZodType;

/** The schema inside `optional`, `default` and `prefault`. */
export const unwrapped = (schema: z.ZodType): z.ZodType =>
  schema instanceof z.ZodOptional || schema instanceof z.ZodDefault || schema instanceof z.ZodPrefault
    ? unwrapped(inner(schema.unwrap()))
    : schema;

/** Groups under names of the writer's own. */
export const isRecord = (schema: z.ZodType | undefined): boolean =>
  schema !== undefined && unwrapped(schema) instanceof z.ZodRecord;

interface Facts {
  readonly title: string | undefined;
  readonly description: string | undefined;
  readonly examples: readonly string[];
}

/** Title, description and examples; the outermost wrapper that has one gives it. */
export const factsOf = (schema: z.ZodType): Facts => {
  const own = schema.meta();
  const below =
    schema instanceof z.ZodOptional || schema instanceof z.ZodDefault || schema instanceof z.ZodPrefault
      ? factsOf(inner(schema.unwrap()))
      : undefined;
  return {
    title: own?.title ?? below?.title,
    description: own?.description ?? below?.description,
    examples: (own?.["examples"] as readonly string[] | undefined) ?? below?.examples ?? [],
  };
};

export const isRequired = (schema: z.ZodType): boolean =>
  !(schema instanceof z.ZodOptional || schema instanceof z.ZodDefault || schema instanceof z.ZodPrefault);

/** The default as a person would write it; undefined when there is none. */
export const defaultText = (schema: z.ZodType): string | undefined => {
  if (schema instanceof z.ZodOptional) return defaultText(inner(schema.unwrap()));
  if (!(schema instanceof z.ZodDefault || schema instanceof z.ZodPrefault)) return undefined;
  const value: unknown = schema.def.defaultValue;
  if (typeof value !== "object" || value === null) return String(value);
  const entries = Object.entries(value);
  return entries.length === 0 ? undefined : entries.map(([key, entry]) => `${key}: ${String(entry)}`).join(", ");
};

/** The options of a union that a key tells apart, each with the word of that key. */
export const optionsOf = (
  union: z.ZodDiscriminatedUnion,
): readonly { readonly word: string; readonly object: z.ZodObject }[] =>
  union.options.flatMap((option) => {
    const object = inner(option);
    if (!(object instanceof z.ZodObject)) return [];
    const literal: unknown = object.shape[union.def.discriminator];
    return literal instanceof z.ZodLiteral ? [{ word: String(literal.value), object }] : [];
  });

/** Shape of an object at hand; of a discriminated union, the option that the value picks. */
export const shapeOf = (schema: z.ZodType, value: unknown): Readonly<Record<string, z.ZodType>> | undefined => {
  const bare = unwrapped(schema);
  if (bare instanceof z.ZodObject) return bare.shape as Record<string, z.ZodType>;
  if (bare instanceof z.ZodDiscriminatedUnion) {
    const word = (value as Readonly<Record<string, unknown>> | null | undefined)?.[bare.def.discriminator];
    const option = optionsOf(bare).find((each) => each.word === word);
    return option === undefined ? undefined : (option.object.shape as Record<string, z.ZodType>);
  }
  return undefined;
};

/** Every key that can stand below a heading: of its group, of each option, of each entry of its list. */
export const keysBelow = (schema: z.ZodType): readonly string[] => {
  const bare = unwrapped(schema);
  if (bare instanceof z.ZodObject) return Object.keys(bare.shape);
  if (bare instanceof z.ZodDiscriminatedUnion)
    return optionsOf(bare).flatMap(({ object }) => Object.keys(object.shape));
  return bare instanceof z.ZodArray ? keysBelow(inner(bare.element)) : [];
};

/** The value at a path; undefined where there is none. */
export const valueAt = (value: unknown, path: FilePath): unknown =>
  path.reduce<unknown>(
    (at, key) =>
      typeof at === "object" && at !== null && Object.hasOwn(at, key)
        ? (at as Record<string | number, unknown>)[key]
        : undefined,
    value,
  );

/** The schema that rules the value at a path, wrappers and all; undefined where nothing does. */
export const schemaAt = (schema: z.ZodType, value: unknown, path: FilePath): z.ZodType | undefined => {
  const [key, ...rest] = path;
  if (key === undefined) return schema;
  const bare = unwrapped(schema);
  const below = valueAt(value, [key]);
  if (bare instanceof z.ZodRecord) return schemaAt(inner(bare.valueType), below, rest);
  if (bare instanceof z.ZodArray) return schemaAt(inner(bare.element), below, rest);
  const next = shapeOf(bare, value)?.[key];
  return next === undefined ? undefined : schemaAt(next, below, rest);
};

/** What is wanted, in a few words: `current, such as 4 mA`, `one of none, even, odd`, `whole number`. */
export const wantedText = (schema: z.ZodType): string => {
  const bare = unwrapped(schema);
  const { title, examples } = factsOf(schema);
  if (title !== undefined) return examples.length === 0 ? title : `${title}, such as ${examples.join(" or ")}`;
  if (bare instanceof z.ZodEnum) return bare.options.join(", ");
  if (bare instanceof z.ZodLiteral) return [...bare.values].map(String).join(" or ");
  if (bare instanceof z.ZodBoolean) return "true or false";
  if (bare instanceof z.ZodNumber) return bare.isInt ? "whole number" : "number";
  if (bare instanceof z.ZodArray) return `list of ${wantedText(inner(bare.element))}`;
  if (bare instanceof z.ZodString) return "text";
  return "group of keys";
};
