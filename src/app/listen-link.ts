import type { LinkPlace } from "../../drivers/links/make-link-to.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

const PARITY = { N: "none", E: "even", O: "odd" } as const;

/** A link in words: `tcp://HOST:PORT`, or `PORT,9600,8E1` where PORT is a path, a pattern or `adapter:SERIAL`. */
export const parseLinkText = (text: string): Result<LinkPlace, Fault> => {
  const tcp = /^tcp:\/\/(?<host>[^:/]+|\[[^\]]+\]):(?<port>\d{1,5})$/u.exec(text)?.groups;
  if (tcp?.["host"] !== undefined && Number(tcp["port"]) <= 65_535) {
    return ok({ kind: "tcp", host: tcp["host"].replace(/^\[|\]$/gu, ""), port: Number(tcp["port"]) });
  }
  const serial = /^(?<port>[^,]+),(?<baud>\d+),(?<data>[78])(?<parity>[NEO])(?<stop>[12])$/u.exec(text)?.groups;
  if (serial?.["port"] !== undefined) {
    return ok({
      kind: "serial",
      port: serial["port"],
      baud: Number(serial["baud"]),
      parity: PARITY[serial["parity"] as keyof typeof PARITY],
      data_bits: serial["data"] === "7" ? 7 : 8,
      stop_bits: serial["stop"] === "2" ? 2 : 1,
    });
  }
  return err(
    fault("refused", "bad-option", `"${text}" is no link.`, {
      remedy: "Write tcp://192.168.1.20:502, or a port with its settings such as /dev/ttyUSB0,9600,8E1.",
    }),
  );
};
