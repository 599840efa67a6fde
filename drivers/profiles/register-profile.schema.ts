import { z } from "zod";
import { blameIn, checkMeanings, roleField } from "./profile-fields.ts";

/** A register map as data: where a Modbus instrument keeps what, and how it is to be read. */

/** Registers that one value of a type takes; a text says so itself. */
export const REGISTERS_OF = {
  uint16: 1,
  int16: 1,
  uint32: 2,
  int32: 2,
  float32: 2,
  float64: 4,
  bool: 1,
  text: null,
} as const;

export type RegisterType = keyof typeof REGISTERS_OF;

/** Order of words and of the bytes in a word, named by the four bytes of a 32-bit value as they arrive. */
export const ORDERS = ["ABCD", "CDAB", "BADC", "DCBA"] as const;
export type RegisterOrder = (typeof ORDERS)[number];

const BIT_TABLES = ["coil", "discrete"];
const WHOLE_TYPES: readonly RegisterType[] = ["uint16", "uint32", "int16", "int32"];

/** YAML reads the keys 0, 1, 2 as numbers; a record sees them as text. */
const byNumber = (what: string) =>
  z.record(z.string().regex(/^\d+$/, "count with whole numbers from 0"), z.string().min(1)).describe(what);

const field = z
  .strictObject({
    table: z.enum(["holding", "input", "coil", "discrete"]).describe("which of the four tables"),
    address: z.number().int().min(0).max(65535).describe("address of the PDU, from 0 (not 40001)"),
    type: z.enum(Object.keys(REGISTERS_OF) as [RegisterType, ...RegisterType[]]).describe("how the registers are read"),
    registers: z.number().int().min(1).max(125).optional().describe("length of a text in registers"),
    order: z.enum(ORDERS).default("ABCD").describe("ABCD: high word first, high byte first"),
    scale: z.number().default(1).describe("value = raw times scale plus offset"),
    offset: z.number().default(0).describe("added after scaling, in the unit"),
    unit: z.string().min(1).optional().describe("unit of the value"),
    bits: byNumber("what it means when a bit is set; a set bit makes the reading count for nothing").optional(),
    meanings: byNumber("words for the values").optional(),
    meaning: z.string().optional().describe("what it is, for the reader of the file"),
    wanted: z.union([z.string(), z.number()]).optional().describe("only while it has this value does a reading count"),
    within: z.number().min(0).optional().describe("how far off still counts as the same, in the unit"),
    stale_after: z.number().positive().optional().describe("s without a new count after which the instrument is stuck"),
  })
  .superRefine((f, context) => {
    const blame = blameIn(context);
    const asBits = BIT_TABLES.includes(f.table);
    if (asBits !== (f.type === "bool")) blame(["type"], "coil and discrete hold bool, the other tables never do");
    if (f.type === "text" && f.registers === undefined) blame([], "a text needs registers: its length");
    if (f.type !== "text" && f.registers !== undefined) blame(["registers"], `a ${f.type} has its length by its type`);
    const length = f.registers ?? REGISTERS_OF[f.type] ?? 1;
    if (f.address + length > 65536) blame(["address"], "it runs over the end of the table, which is 65535");
    if ((f.bits ?? f.meanings) !== undefined && !WHOLE_TYPES.includes(f.type)) {
      blame([f.bits === undefined ? "meanings" : "bits"], "only a whole number has bits or meanings");
    }
    if (f.scale === 0) blame(["scale"], "a scale of 0 makes every value the same");
    if (typeof f.wanted === "string" && f.meanings !== undefined && !Object.values(f.meanings).includes(f.wanted)) {
      blame(["wanted"], `"${f.wanted}" is none of the meanings ${Object.values(f.meanings).join(", ")}`);
    }
    if (typeof f.wanted === "string" && f.meanings === undefined && f.type !== "text") {
      blame(["wanted"], "a word can be wanted of a text or of a number with meanings");
    }
  });

const WRITABLE = ["holding", "coil"];

export const registerProfileSchema = z
  .strictObject({
    format: z.literal("stillpoint-register-profile 1").describe("the kind of file and its version"),
    title: z.string().min(1),
    role: roleField(),
    identity: z.strictObject({ maker: field, model: field, serial_number: field }),
    settings: z.record(z.string(), field).default({}),
    commands: z.record(z.string(), field).default({}),
    readings: z.record(z.string(), field).default({}),
  })
  .superRefine((profile, context) => {
    const blame = blameIn(context);
    for (const [name, { table }] of Object.entries(profile.commands)) {
      if (!WRITABLE.includes(table)) blame(["commands", name, "table"], "only holding registers and coils are written");
    }
    for (const [name, { wanted }] of Object.entries(profile.settings)) {
      if (wanted === undefined) blame(["settings", name], "a setting needs wanted: what it has to be");
    }
    checkMeanings(profile, blame);
  });

export type RegisterProfile = z.output<typeof registerProfileSchema>;
export type RegisterField = z.output<typeof field>;
