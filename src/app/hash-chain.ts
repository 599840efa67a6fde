import { createHash, hash } from "node:crypto";

/**
 * Hashes of entries and of what came before them. Leaves and nodes are told apart by their first byte, as in RFC 6962,
 * 2.1, so that nobody can pass one off as the other. Digests are SHA-256, hexadecimal.
 */
export const sha256 = (bytes: Uint8Array | string): string => createHash("sha256").update(bytes).digest("hex");

export const leafHash = (bytes: Uint8Array | string): string =>
  createHash("sha256").update(Uint8Array.of(0)).update(bytes).digest("hex");

export const nodeHash = (left: string, right: string): string =>
  createHash("sha256")
    .update(Uint8Array.of(1))
    .update(Buffer.from(left, "hex"))
    .update(Buffer.from(right, "hex"))
    .digest("hex");

/** Head of a chain without an entry. */
export const EMPTY_HEAD = sha256("");

/** Head after one more entry. */
export const nextHead = (head: string, entry: Uint8Array | string): string => nodeHash(head, leafHash(entry));

/**
 * The same, for a great many entries one after another. `leaf` is the byte zero and the entry, in one piece; what else is
 * hashed is put together in memory that is used again.
 */
export const chainLinker = (): ((head: string, leaf: Uint8Array) => string) => {
  const node = Buffer.alloc(65, 1);
  return (head, leaf) => {
    node.write(head, 1, 32, "hex");
    node.write(hash("sha256", leaf, "hex"), 33, 32, "hex");
    return hash("sha256", node, "hex");
  };
};

/** Head over all whole lines of a record. A broken last line, as a power cut leaves it, is no entry. */
export const recordHead = (text: string): string => text.split("\n").slice(0, -1).reduce(nextHead, EMPTY_HEAD);
