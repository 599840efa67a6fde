import { z } from "zod";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { readText } from "./job-files.ts";

/** Where a simulated bench is served: what `stillpoint simulate` says, and what a run that uses it reads. */
const place = z.discriminatedUnion("kind", [
  z.object({ kind: z.literal("serial"), path: z.string() }),
  z.object({ kind: z.literal("tcp"), host: z.string(), port: z.number() }),
]);

const endpointsSchema = z.object({
  format: z.literal("stillpoint-endpoints 1"),
  simulated: z.literal(true),
  /** Simulated seconds per second. */
  factor: z.number().positive(),
  /** By the names of the links in the bench file. */
  links: z.record(z.string(), place),
  /** Modbus TCP, unit 247: screws and faults of the simulated bench. */
  service: place,
});

export type Endpoints = z.infer<typeof endpointsSchema>;
export type EndpointPlace = z.infer<typeof place>;

export const ENDPOINTS_FORMAT = "stillpoint-endpoints 1";

export const parseEndpoints = (text: string, name: string): Result<Endpoints, Fault> => {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch {
    data = null;
  }
  const read = endpointsSchema.safeParse(data);
  return read.success
    ? ok(read.data)
    : err(
        fault("refused", "bad-file", `${name} does not say where a simulated bench is served.`, {
          remedy: "Give the file that `stillpoint simulate --endpoints FILE` wrote.",
        }),
      );
};

export const readEndpoints = (path: string): Result<Endpoints, Fault> => {
  const text = readText(path);
  return text.ok ? parseEndpoints(text.value, path) : text;
};
