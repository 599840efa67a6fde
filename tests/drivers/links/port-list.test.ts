import { describe, expect, it } from "vitest";
import { listPorts, type PluggedPort, resolvePort } from "../../../drivers/links/port-list.ts";

const ports: readonly PluggedPort[] = [
  { path: "/dev/ttyUSB0", adapter: "A10K", also: ["/dev/serial/by-id/usb-Works_Adapter_A10K-if00-port0"] },
  { path: "/dev/ttyUSB1", adapter: "B20L", also: ["/dev/serial/by-id/usb-Works_Adapter_B20L-if00-port0"] },
  { path: "COM7", also: [] },
];

const shown = (wanted: string): string => {
  const found = resolvePort(wanted, ports);
  return found.ok ? found.value : `${found.fault.reason}. ${found.fault.remedy}`;
};

describe("naming a port", () => {
  it("takes a plain path as it stands, plugged in or not", () => {
    expect(shown("/dev/pts/9")).toBe("/dev/pts/9");
    expect(shown("COM3")).toBe("COM3");
  });

  it("finds an adapter by its serial number, whatever path it has now", () => {
    expect(shown("adapter:B20L")).toBe("/dev/ttyUSB1");
  });

  it("finds the one port that fits a pattern, also by its other names and without case on Windows", () => {
    expect(shown("/dev/serial/by-id/*A10K*")).toBe("/dev/ttyUSB0");
    expect(shown("com?")).toBe("COM7");
    expect(shown("/dev/ttyUSB?")).toContain("2 ports fit");
    expect(shown("/dev/ttyUSB?")).toContain("/dev/ttyUSB1 (adapter B20L)");
  });

  it("names what is there when nothing fits", () => {
    expect(shown("adapter:C30M")).toContain('no port fits "adapter:C30M"');
    expect(shown("adapter:C30M")).toContain("/dev/ttyUSB0 (adapter A10K)");
    const none = resolvePort("/dev/tty.usb*", []);
    expect(none.ok ? "" : none.fault.remedy).toContain("none is plugged in");
    // A point in a pattern is a point.
    expect(shown("/dev/ttyUSB.")).toBe("/dev/ttyUSB.");
  });

  it("lists what is plugged in, even where the system's listing program is missing", async () => {
    const listed = await listPorts();
    expect(Array.isArray(listed)).toBe(true);
    for (const port of listed) expect(port.path).not.toContain("/dev/pts/");
  });
});
