/** Expected trouble is a value: either a value, or a named fault. Programming mistakes throw instead. */
export type Result<T, F> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly fault: F };

export const ok = <T>(value: T): { readonly ok: true; readonly value: T } => ({ ok: true, value });

export const err = <F>(fault: F): { readonly ok: false; readonly fault: F } => ({ ok: false, fault });
