import type { KnownParts } from "../../src/config/known-drivers.ts";

/** Drivers and profiles that the example benches name. */
export const knownParts: KnownParts = {
  drivers: [
    {
      name: "register",
      roles: ["source", "gauge", "supply-gauge", "current-meter", "ambient", "humidity", "barometer"],
      needs: "link",
      profile: "registers",
      addressed: true,
    },
    { name: "line", roles: ["source", "gauge"], needs: "link", profile: "lines" },
    { name: "person", roles: ["source", "gauge", "supply-gauge", "current-meter", "ambient"], needs: "none" },
  ],
  profiles: [
    { name: "loop-source-registers", role: "current-source", kind: "registers" },
    { name: "loop-source-lines", role: "current-source", kind: "lines" },
    { name: "reference-gauge-registers", role: "pressure-gauge", kind: "registers" },
    { name: "reference-gauge-lines", role: "pressure-gauge", kind: "lines" },
    { name: "bench-meter-registers", role: "bench-meter", kind: "registers" },
    { name: "simulated-service-registers", role: "simulated-service", kind: "registers" },
  ],
};
