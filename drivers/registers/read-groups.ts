import { LIMITS } from "../frames/pdu.ts";
import type { RegisterField } from "../profiles/register-profile.schema.ts";
import { lengthOf } from "./register-value.ts";

/** One request that fetches several neighbouring values at once, so that they belong to one moment. */
export interface ReadGroup {
  readonly table: RegisterField["table"];
  readonly address: number;
  readonly count: number;
  readonly names: readonly string[];
}

/**
 * As few requests as possible without ever asking for a register that the map does not name: an instrument refuses the
 * whole request when one address in it does not exist. Groups come in the order of table and address.
 */
export const readGroups = (fields: Readonly<Record<string, RegisterField>>): readonly ReadGroup[] => {
  const sorted = Object.entries(fields).sort(([, a], [, b]) => a.table.localeCompare(b.table) || a.address - b.address);
  const groups: ReadGroup[] = [];
  for (const [name, field] of sorted) {
    const limit = field.type === "bool" ? LIMITS.readBits : LIMITS.readRegisters;
    const last = groups.at(-1);
    const end = field.address + lengthOf(field);
    const joins =
      last !== undefined &&
      last.table === field.table &&
      field.address <= last.address + last.count &&
      end - last.address <= limit;
    if (joins) {
      const count = Math.max(last.count, end - last.address);
      groups[groups.length - 1] = { ...last, count, names: [...last.names, name] };
    } else {
      groups.push({ table: field.table, address: field.address, count: lengthOf(field), names: [name] });
    }
  }
  return groups;
};
