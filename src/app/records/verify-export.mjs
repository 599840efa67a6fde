#!/usr/bin/env node
// Checks an export of records with Node alone. Usage: node verify.mjs [FOLDER] [PUBLIC-KEY...]
// What the files are and how chains and signatures are made is written in format.md beside this file.
import { createHash, createPublicKey, verify } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const [folder = dirname(fileURLToPath(import.meta.url)), ...keys] = process.argv.slice(2);
const sha = (...parts) => parts.reduce((hash, part) => hash.update(part), createHash("sha256")).digest();
const hex = (text) => Buffer.from(text, "hex");
const EMPTY = sha("").toString("hex");
const next = (head, line) => sha(Uint8Array.of(1), hex(head), sha(Uint8Array.of(0), line)).toString("hex");
const text = (name) => (existsSync(join(folder, name)) ? readFileSync(join(folder, name), "utf8") : "");
const lines = (name) => text(name).split("\n").slice(0, -1);
const objects = (name) => lines(name).map((line) => JSON.parse(line));

/** RFC 8785. */
const canonical = (value) =>
  Array.isArray(value)
    ? `[${value.map(canonical).join(",")}]`
    : value !== null && typeof value === "object"
      ? `{${Object.keys(value)
          .sort()
          .map((key) => `${JSON.stringify(key)}:${canonical(value[key])}`)
          .join(",")}}`
      : JSON.stringify(value);

const wrong = [];
const complain = (what) => wrong.push(what);

/** Head after the last line; complains at the first line that does not follow. */
const chain = (name, hashesName) => {
  const hashes = lines(hashesName);
  const all = lines(name);
  let head = EMPTY;
  let told = false;
  for (const [i, line] of all.entries()) {
    head = next(head, line);
    let seq = null;
    try {
      seq = JSON.parse(line).seq;
    } catch {}
    if (!told && (seq !== i + 1 || hashes[i] !== head)) {
      told = true;
      complain(`${name}: line ${i + 1} is not what was written there (its number is ${seq})`);
    }
  }
  if (text(name) !== "" && !text(name).endsWith("\n")) complain(`${name}: the last line breaks off`);
  return { head, events: all.length };
};

const manifest = JSON.parse(text("export.json"));
const ledger = chain("ledger.jsonl", "ledger-hashes.txt");
const entries = objects("ledger.jsonl");
const ledgerHeads = new Set([EMPTY]);
for (const line of lines("ledger.jsonl")) ledgerHeads.add(next([...ledgerHeads].at(-1), line));
const acts = entries.map((e) => e.entry);
const rows = new Map(objects("runs.jsonl").map((row) => [row.run_id, row]));
const references = objects("references.jsonl");
const named = new Set(manifest.runs.map((run) => run.run_id));
const heads = new Map();

for (const run_id of named) {
  const found = chain(`runs/${run_id}.record.jsonl`, `runs/${run_id}.hashes.txt`);
  heads.set(run_id, found.head);
  if (!acts.some((a) => a.act === "run-opened" && a.run_id === run_id)) complain(`the bench's chain does not know ${run_id}`);
  const first = found.events > 0 ? JSON.parse(lines(`runs/${run_id}.record.jsonl`)[0]).event : {};
  if (first.ledger !== undefined && !ledgerHeads.has(first.ledger.head)) complain(`${run_id} was entered in another chain`);
}
for (const closed of acts.filter((a) => a.act === "run-closed")) {
  if (!manifest.whole && !named.has(closed.run_id)) continue;
  const { run_id } = closed;
  if (closed.events === 0 && closed.summary_sha256 === null) continue;
  if (!heads.has(run_id)) complain(`${run_id} is gone`);
  else if (heads.get(run_id) !== closed.head) complain(`${run_id} is not the run that was closed: changed, cut or built anew`);
  const row = rows.get(run_id);
  const used = references
    .filter((r) => r.run_id === run_id)
    .map(({ role, serial_number, certificate_number, due }) => ({ role, serial_number, certificate_number, due }))
    .sort((a, b) => (`${a.role} ${a.serial_number}` < `${b.role} ${b.serial_number}` ? -1 : 1));
  const digest = sha(canonical({ row, references: used })).toString("hex");
  if (row === undefined || digest !== closed.summary_sha256) complain(`the summary of ${run_id} was changed`);
}

const known = new Set(keys.length > 0 ? keys : acts.filter((a) => a.act === "key-used").map((a) => a.public_key));
const PREFIX = hex("302a300506032b6570032100");
let signed = 0;
for (const { run_id, head, utc, public_key, signature } of objects("signatures.jsonl")) {
  const bytes = Buffer.from(canonical({ format: "stillpoint-head 1", run_id, head, utc }));
  const key = createPublicKey({ key: Buffer.concat([PREFIX, hex(public_key)]), format: "der", type: "spki" });
  if (!verify(null, bytes, key, hex(signature))) complain(`a signature of ${run_id} is changed or forged`);
  else if (!known.has(public_key)) complain(`${run_id} is signed with the unknown key ${public_key}`);
  else if (!(run_id.startsWith("ledger:") ? ledgerHeads.has(head) : heads.get(run_id) === head || !heads.has(run_id)))
    complain(`the signed head of ${run_id} is not the one that is there: built anew`);
  else signed += 1;
}

for (const line of wrong) console.log(`WRONG: ${line}`);
console.log(
  `${named.size} runs, ${ledger.events} entries of the bench's chain, ${signed} signatures hold. ` +
    (wrong.length === 0 ? `WHOLE, head of the bench's chain ${ledger.head}` : `${wrong.length} WRONG`),
);
if (keys.length === 0 && signed > 0) console.log("No public key was named: ask the laboratory whether the keys are its own.");
process.exitCode = wrong.length === 0 ? 0 : 1;
