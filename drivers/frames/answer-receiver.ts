/**
 * One receiver waits for the answer to one request and is thrown away afterwards, so that half an answer never outlives
 * its request.
 */
export type Received =
  | { readonly kind: "more" }
  /** A whole answer. `stray` = bytes beyond it, or before it, that belong to nothing. */
  | { readonly kind: "answer"; readonly bytes: Uint8Array; readonly stray: number }
  | { readonly kind: "trouble"; readonly code: "line-error" | "foreign-answer"; readonly reason: string };

export interface AnswerReceiver {
  take(bytes: Uint8Array): Received;
  /** What is known when the deadline passes: nothing came (`null`), or what was wrong with what came. */
  atDeadline(): Extract<Received, { readonly kind: "trouble" }> | null;
}

export const MORE: Received = { kind: "more" };

export const lineError = (reason: string): Extract<Received, { readonly kind: "trouble" }> => ({
  kind: "trouble",
  code: "line-error",
  reason,
});

export const foreignAnswer = (reason: string): Extract<Received, { readonly kind: "trouble" }> => ({
  kind: "trouble",
  code: "foreign-answer",
  reason,
});

export const joinBytes = (a: Uint8Array, b: Uint8Array): Uint8Array => {
  if (a.length === 0) return b.slice();
  const all = new Uint8Array(a.length + b.length);
  all.set(a);
  all.set(b, a.length);
  return all;
};

export const toHex = (bytes: Uint8Array): string =>
  Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString("hex");
