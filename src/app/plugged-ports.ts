import { listPorts, type PluggedPort } from "../../drivers/links/port-list.ts";

/** Serial ports of this machine, in order of path. */
export const pluggedPorts = (): Promise<readonly PluggedPort[]> => listPorts();
