import { createHash, createHmac, pbkdf2Sync } from "node:crypto";

/**
 * What PostgreSQL keeps instead of a password (RFC 5802 and RFC 7677, SCRAM-SHA-256). Worked out here, so that the
 * password itself is never sent and stands in no log of the server. The password holds ASCII letters and digits only.
 */
export const scramVerifier = (password: string, salt: Uint8Array, iterations = 4096): string => {
  const salted = pbkdf2Sync(password, salt, iterations, 32, "sha256");
  const keyed = (text: string): Buffer => createHmac("sha256", salted).update(text).digest();
  const stored = createHash("sha256").update(keyed("Client Key")).digest("base64");
  return `SCRAM-SHA-256$${iterations}:${Buffer.from(salt).toString("base64")}$${stored}:${keyed("Server Key").toString("base64")}`;
};
