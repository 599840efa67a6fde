import { type InterplayOfScrews, interplayOfModel } from "../adjust/interplay.ts";
import type { KnownParts } from "../config/known-drivers.ts";
import type { UnitFile } from "../config/unit-file.schema.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { filesOf, readRecord } from "./certify.ts";

/**
 * What earlier records tell of the screws of this model, so that the guide need not learn it again. Records of other
 * models, and those in which too little was turned, teach nothing.
 */
export const interplayFromRecords = (
  texts: readonly string[],
  unit: UnitFile["identity"],
  known: KnownParts,
): Result<Partial<InterplayOfScrews>, Fault> => {
  const told: InterplayOfScrews[] = [];
  for (const text of texts) {
    const record = readRecord(text);
    if (!record.ok) return record;
    const files = filesOf(record.value, known);
    if (!files.ok) return files;
    const { maker, model } = files.value.unit.identity;
    if (maker !== unit.maker || model !== unit.model) continue;
    for (const { interplay } of record.value.adjustments) if (interplay !== null) told.push(interplay);
  }
  const [zero, span] = [interplayOfModel(told.map((t) => t.zero)), interplayOfModel(told.map((t) => t.span))];
  return ok({ ...(zero === null ? {} : { zero }), ...(span === null ? {} : { span }) });
};
