import { readdir, readlink } from "node:fs/promises";
import { resolve } from "node:path";
import { SerialPort } from "serialport";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";

/** A serial port that the system has now. */
export interface PluggedPort {
  readonly path: string;
  /** Serial number of the adapter, when it has one. It stays the same when the path does not. */
  readonly adapter?: string;
  readonly maker?: string;
  /** Other names of the same port, such as those under `/dev/serial/by-id`. */
  readonly also: readonly string[];
}

export interface PortTrouble {
  readonly reason: string;
  readonly remedy: string;
}

const BY_ID = "/dev/serial/by-id";
const LINUX_PORT = /^tty(USB|ACM|AMA|S|XRUSB|O|mxc)\d+$/u;

const entries = (folder: string): Promise<string[]> => readdir(folder).catch(() => []);

/** Names under `/dev/serial/by-id`, by the path they stand for. */
const namesById = async (): Promise<ReadonlyMap<string, readonly string[]>> => {
  const names = new Map<string, string[]>();
  for (const entry of await entries(BY_ID)) {
    const target = await readlink(`${BY_ID}/${entry}`).catch(() => null);
    if (target === null) continue;
    const path = resolve(BY_ID, target);
    names.set(path, [...(names.get(path) ?? []), `${BY_ID}/${entry}`]);
  }
  return names;
};

/** `usb-Maker_Adapter_SERIAL-if00-port0` carries the serial number last before the interface. */
const adapterIn = (name: string): string | undefined => /_([^_/]+)-if\d+(-port\d+)?$/u.exec(name)?.[1];

/** Without the `udevadm` program the package cannot list; the device folder still tells what is there. */
const listFromDeviceFolder = async (): Promise<readonly PluggedPort[]> => {
  const byId = await namesById();
  return (await entries("/dev"))
    .filter((entry) => LINUX_PORT.test(entry))
    .sort()
    .map((entry) => {
      const path = `/dev/${entry}`;
      const also = byId.get(path) ?? [];
      const adapter = also.map(adapterIn).find((serial) => serial !== undefined);
      return { path, also, ...(adapter === undefined ? {} : { adapter }) };
    });
};

/** What is plugged in, in order of path. Pseudo-terminals are never listed. */
export const listPorts = async (): Promise<readonly PluggedPort[]> => {
  try {
    const [ports, byId] = await Promise.all([SerialPort.list(), namesById()]);
    return ports
      .map(({ path, serialNumber, manufacturer }) => ({
        path,
        also: byId.get(path) ?? [],
        ...(serialNumber === undefined ? {} : { adapter: serialNumber }),
        ...(manufacturer === undefined ? {} : { maker: manufacturer }),
      }))
      .sort((a, b) => (a.path < b.path ? -1 : 1));
  } catch {
    return process.platform === "linux" ? listFromDeviceFolder() : [];
  }
};

const asPattern = (text: string): RegExp =>
  new RegExp(
    `^${text
      .replace(/[.+^${}()|[\]\\]/gu, "\\$&")
      .replaceAll("*", ".*")
      .replaceAll("?", ".")}$`,
    // Port names on Windows do not heed case.
    text.toUpperCase().startsWith("COM") ? "iu" : "u",
  );

const described = (ports: readonly PluggedPort[]): string =>
  ports.length === 0
    ? "none is plugged in"
    : ports.map((port) => port.path + (port.adapter ? ` (adapter ${port.adapter})` : "")).join(", ");

/**
 * The one port that `wanted` names: a plain path as it stands, `adapter:SERIAL`, or a pattern with `*` and `?` over paths
 * and their other names. None or more than one is trouble that names what is there.
 */
export const resolvePort = (wanted: string, ports: readonly PluggedPort[]): Result<string, PortTrouble> => {
  const serial = wanted.startsWith("adapter:") ? wanted.slice("adapter:".length) : null;
  if (serial === null && !/[*?]/u.test(wanted)) return ok(wanted);
  const pattern = asPattern(wanted);
  const fitting = ports.filter((port) =>
    serial !== null ? port.adapter === serial : [port.path, ...port.also].some((name) => pattern.test(name)),
  );
  const [first, ...others] = fitting;
  if (first !== undefined && others.length === 0) return ok(first.path);
  return err(
    first === undefined
      ? {
          reason: `no port fits "${wanted}"`,
          remedy: `Plug the adapter in, or name another; there is: ${described(ports)}.`,
        }
      : { reason: `${fitting.length} ports fit "${wanted}"`, remedy: `Name one of them: ${described(fitting)}.` },
  );
};

/** What a pattern with a folder finds there: names that stand for a port, such as those that udev rules make. */
const listFolderOf = async (pattern: string): Promise<readonly PluggedPort[]> => {
  const folder = pattern.slice(0, pattern.lastIndexOf("/"));
  if (folder === "" || folder === "/dev" || /[*?]/u.test(folder)) return [];
  const name = asPattern(pattern);
  return (await entries(folder))
    .map((entry) => ({ path: `${folder}/${entry}`, also: [] }))
    .filter(({ path }) => name.test(path));
};

/** Resolves `wanted` against what is plugged in now; an adapter may come back under another path. */
export const findPort = async (wanted: string): Promise<Result<string, PortTrouble>> => {
  if (!wanted.startsWith("adapter:") && !/[*?]/u.test(wanted)) return ok(wanted);
  const found = resolvePort(wanted, await listPorts());
  if (found.ok || wanted.startsWith("adapter:")) return found;
  const named = await listFolderOf(wanted);
  return named.length === 0 ? found : resolvePort(wanted, named);
};
