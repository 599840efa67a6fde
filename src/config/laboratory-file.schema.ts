import { z } from "zod";
import type { FileSource } from "./file-fault.ts";
import { pressureField, pressureModeField, toleranceField } from "./quantity-fields.ts";

/** The laboratory: who issues the certificate, by which method and which decision rule. */

/** Same shape as the decision rules that the verdict knows (ILAC-G8:09/2019, JCGM 106:2012). */
const decisionRule = z
  .discriminatedUnion("rule", [
    z.strictObject({ rule: z.literal("simple").describe("inside the limit passes; no guard band") }),
    z.strictObject({
      rule: z.literal("guarded").describe("passes up to the limit less a guard band"),
      share_of_U: z.number().min(0).max(3).default(1).describe("guard band as a share of U"),
    }),
    z.strictObject({
      rule: z.literal("four-words").describe("pass, conditional pass, conditional fail, fail"),
      share_of_U: z.number().min(0).max(3).default(1).describe("guard band as a share of U"),
    }),
    z.strictObject({
      rule: z.literal("target-risk").describe("passes while the risk of a wrong pass stays below a given one"),
      risk: z.number().gt(0).lt(0.5).default(0.025).describe("greatest risk of a wrong pass at a point, 0 to 0.5"),
    }),
  ])
  .prefault({ rule: "guarded" })
  .describe("decision rule when the order names no other");

export const laboratoryFileSchema = z
  .strictObject({
    format: z.literal("stillpoint-laboratory 1").describe("the kind of file and its version"),
    name: z.string().min(1).describe("name of the laboratory, shop or inspection"),
    address: z.array(z.string().min(1)).min(1).describe("address, one line an entry"),
    country: z
      .string()
      .regex(/^[A-Z]{2}$/)
      .optional()
      .describe("country, two capital letters of ISO 3166-1 such as `BE`; without it nothing can be issued"),
    contact: z.string().min(1).describe("telephone, e-mail or both"),
    logo: z.string().min(1).optional().describe("picture for the head of the certificate, a path beside this file"),
    time_zone: z.string().min(1).describe("time zone of the dates on paper, such as `Europe/Brussels` or `UTC`"),
    method: z
      .strictObject({
        id: z.string().min(1).describe("identity of the written method"),
        revision: z.string().min(1).describe("its revision; put it in quotes when it is a number"),
        title: z.string().min(1).optional().describe("its title"),
      })
      .describe("the method that is followed"),
    decision_rule: decisionRule,
    smallest_uncertainties: z
      .array(
        z.strictObject({
          lower: pressureField().describe("lower end"),
          upper: pressureField().describe("upper end"),
          mode: pressureModeField(),
          U: toleranceField().describe("smallest expanded uncertainty that may be claimed; %span is of lower to upper"),
        }),
      )
      .default([])
      .describe("smallest claimable uncertainties (CMC) of an accredited scope; none if left out"),
    people: z
      .array(
        z.strictObject({
          name: z.string().min(1).describe("name as it stands on the certificate"),
          roles: z
            .array(z.enum(["measures", "reviews", "authorises"]))
            .min(1)
            .describe("what this person may do"),
        }),
      )
      .default([])
      .describe("people and what they may do; anyone may do anything if left out"),
    one_person: z
      .enum(["one-act", "reviews-and-authorises", "everything"])
      .default("one-act")
      .describe(
        "how much one person may do for the same certificate: one of measuring, reviewing, authorising, or more",
      ),
    next_due: z
      .strictObject({
        agreed: z.boolean().default(false).describe("whether the owner agreed to a next date on the certificate"),
        agreement: z.string().min(1).optional().describe("where that was agreed, such as an order number"),
        interval_months: z
          .number()
          .int()
          .min(1)
          .max(120)
          .default(6)
          .describe("interval to the next calibration, months; six is common practice"),
      })
      .prefault({})
      .describe("next date; never printed unless agreed (ISO/IEC 17025:2017, 7.8.4.3)"),
  })
  .describe("Stillpoint laboratory file");

/** `source` tells where each part was written, for messages; absent when it did not come from a text. */
export type LaboratoryFile = z.output<typeof laboratoryFileSchema> & { readonly source?: FileSource };
