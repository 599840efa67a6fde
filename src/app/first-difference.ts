import type { Fault } from "../vocabulary/fault.ts";
import type { Result } from "../vocabulary/result.ts";

/** Where a file first differs from what was kept, counted from 0; nothing when what was kept is not at hand. */
export const firstDifference = (kept: Result<Uint8Array, Fault> | undefined, now: Uint8Array): string => {
  if (kept === undefined || !kept.ok) return "";
  const then = kept.value;
  const first = now.findIndex((byte, i) => byte !== then[i]);
  const more = now.length - then.length;
  const length =
    more === 0
      ? ""
      : `, and it is ${Math.abs(more)} byte${Math.abs(more) === 1 ? "" : "s"} ${more > 0 ? "longer" : "shorter"}`;
  if (first < 0) return `: it ends after byte ${now.length - 1}${length}`;
  return first >= then.length
    ? `: all ${then.length} issued bytes are there${length}`
    : `: the first that differs is byte ${first}${length}`;
};
