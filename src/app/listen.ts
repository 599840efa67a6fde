import { performance } from "node:perf_hooks";
import { makeLinkTo } from "../../drivers/links/make-link-to.ts";
import { type Profile, readProfile } from "../../drivers/profiles/read-profile.ts";
import { readGroups } from "../../drivers/registers/read-groups.ts";
import { fieldsOf, type SpeltOut, spellOut } from "../../drivers/registers/spell-out.ts";
import { parseBenchFile } from "../config/bench-file.ts";
import { faultOfFiles } from "../config/file-fault.ts";
import type { LineStation, Link, RegisterStation } from "../ports/link.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { seconds } from "../vocabulary/quantities.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import type { Endpoints } from "./endpoints.ts";
import { readText } from "./job-files.ts";
import { knownParts } from "./known-parts.ts";
import { parseLinkText } from "./listen-link.ts";
import { openLink } from "./open-station.ts";

export interface ListenRequest {
  /** Either an instrument of a bench file, or a link in words with a profile or plain questions. */
  readonly bench?: { readonly file: string; readonly instrument: string; readonly endpoints: Endpoints | null };
  readonly link?: string;
  readonly profile?: string;
  readonly address?: number;
  /** Registers to read without a profile: `input:0:8`. */
  readonly registers?: readonly {
    readonly table: "holding" | "input";
    readonly address: number;
    readonly count: number;
  }[];
  /** Lines to send without a profile. Each is taken for a question. */
  readonly lines?: readonly string[];
}

/** One question and what came of it. */
export interface Heard {
  readonly asked: string;
  /** From the request to the whole answer, ms, the wait for the line's silence included. */
  readonly took_ms: number;
  readonly raw: string;
  readonly says: readonly SpeltOut[];
  readonly fault?: Fault;
}

export interface Listening {
  /** Asks everything once, one question after the other. */
  round(): AsyncIterable<Heard>;
  close(): Promise<void>;
}

type Question = () => Promise<Omit<Heard, "took_ms">>;

const registerQuestions = (
  station: RegisterStation,
  profile: Extract<Profile, { kind: "registers" }>,
): readonly Question[] => {
  const fields = fieldsOf(profile);
  return readGroups(fields).map((group) => async () => {
    const { table, address, count } = group;
    const asked = `${table} ${address}, ${count} long`;
    const answer =
      table === "coil" || table === "discrete"
        ? await station.readBits(table, address, count)
        : await station.readRegisters(table, address, count);
    if (!answer.ok) return { asked, raw: "", says: [], fault: answer.fault };
    const values = "bits" in answer.value ? answer.value.bits.map(Number) : answer.value.registers;
    return { asked, raw: answer.value.raw, says: spellOut(fields, group, values) };
  });
};

const plainRegisters = (
  station: RegisterStation,
  asked: NonNullable<ListenRequest["registers"]>,
): readonly Question[] =>
  asked.map(({ table, address, count }) => async () => {
    const answer = await station.readRegisters(table, address, count);
    const words = `${table} ${address}, ${count} long`;
    if (!answer.ok) return { asked: words, raw: "", says: [], fault: answer.fault };
    const says = answer.value.registers.map((value, index) => ({
      name: String(address + index),
      text: `${value}  0x${value.toString(16).padStart(4, "0")}`,
    }));
    return { asked: words, raw: answer.value.raw, says };
  });

const lineQuestion =
  (station: LineStation, ask: string, name: string, pattern: RegExp | null): Question =>
  async () => {
    const answer = await station.ask(ask);
    if (!answer.ok) return { asked: ask, raw: "", says: [], fault: answer.fault };
    const { text, raw } = answer.value;
    if (pattern === null) return { asked: ask, raw, says: [{ name, text }] };
    const groups = pattern.exec(text.trim())?.groups;
    const said = Object.entries(groups ?? {}).map(([group, value]) => `${group} ${JSON.stringify(value ?? "")}`);
    return {
      asked: ask,
      raw,
      says: [
        groups === undefined
          ? { name, text, doubt: "the pattern of the profile does not fit" }
          : { name, text: said.join(", ") },
      ],
    };
  };

const lineQuestions = (station: LineStation, profile: Extract<Profile, { kind: "lines" }>): readonly Question[] => [
  lineQuestion(station, profile.identity.ask, "identity", profile.identity.answer),
  ...(["settings", "readings"] as const).flatMap((section) =>
    Object.entries(profile[section]).map(([name, { ask, answer }]) =>
      lineQuestion(station, ask, `${section}.${name}`, answer),
    ),
  ),
  ...Object.entries(profile.commands).map(([name, { confirm, answer }]) =>
    lineQuestion(station, confirm, `commands.${name}`, answer),
  ),
];

interface Target {
  readonly link: Link;
  readonly profile: Profile | null;
  readonly address: number;
  readonly name: string;
}

const stamp = () => seconds(performance.now() / 1000);

const targetInBench = ({ file, instrument, endpoints }: NonNullable<ListenRequest["bench"]>): Result<Target, Fault> => {
  const text = readText(file);
  if (!text.ok) return text;
  const bench = parseBenchFile(text.value, file, knownParts());
  if (!bench.ok) return err(faultOfFiles(bench.fault));
  const settings = bench.value.instruments[instrument];
  const linkSettings = settings?.link === undefined ? undefined : bench.value.links[settings.link];
  if (settings?.link === undefined || linkSettings === undefined) {
    const reachable = Object.entries(bench.value.instruments).flatMap(([name, { link }]) => (link ? [name] : []));
    return err(
      fault("refused", "bad-option", `${file} has no instrument ${instrument} on a link.`, {
        remedy: `There are: ${reachable.join(", ") || "none"}.`,
      }),
    );
  }
  const profile = readProfile(settings.profile ?? "");
  if (!profile.ok) return profile;
  const link = openLink(settings.link, linkSettings, { stamp, endpoints });
  if (!link.ok) return link;
  return ok({ link: link.value, profile: profile.value, address: settings.address ?? 1, name: instrument });
};

const TIMING = { answer_deadline_s: 1, quiet_after_trouble_s: 0.5 };

const targetOnLink = (request: ListenRequest): Result<Target, Fault> => {
  const place = parseLinkText(request.link ?? "");
  if (!place.ok) return place;
  const profile = request.profile === undefined ? null : readProfile(request.profile);
  if (profile !== null && !profile.ok) return profile;
  const link = makeLinkTo("link", place.value, TIMING, { stamp });
  return ok({ link, profile: profile?.value ?? null, address: request.address ?? 1, name: "the instrument" });
};

/** Opens the line and gets ready to ask. Nothing is ever written to the instrument but questions. */
export const listenTo = async (request: ListenRequest): Promise<Result<Listening, Fault>> => {
  const target = request.bench === undefined ? targetOnLink(request) : targetInBench(request.bench);
  if (!target.ok) return target;
  const { link, profile, address, name } = target.value;
  const opened = await link.open();
  if (!opened.ok) {
    await link.close();
    return opened;
  }
  const questions: Question[] = [];
  if (profile?.kind === "registers") {
    questions.push(...registerQuestions(link.registers({ instrument: name, unit: address }), profile));
  }
  if (profile?.kind === "lines")
    questions.push(...lineQuestions(link.lines({ instrument: name, ...profile.line }), profile));
  if (request.registers !== undefined) {
    questions.push(...plainRegisters(link.registers({ instrument: name, unit: address }), request.registers));
  }
  if (request.lines !== undefined) {
    const station = link.lines({ instrument: name, ends_with: "\n", encoding: "latin1" });
    questions.push(...request.lines.map((line) => lineQuestion(station, line, line, null)));
  }
  return ok({
    round: async function* () {
      for (const question of questions) {
        const from_ms = performance.now();
        const heard = await question();
        yield { ...heard, took_ms: performance.now() - from_ms };
      }
    },
    close: () => link.close(),
  });
};
