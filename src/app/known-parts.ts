import { profileNames, readProfile } from "../../drivers/profiles/read-profile.ts";
import { drivers } from "../../drivers/registry.ts";
import type { KnownDriver, KnownParts } from "../config/known-drivers.ts";

const stationRoles = ["source", "gauge", "supply-gauge", "current-meter", "ambient", "humidity", "barometer"] as const;

/** What a bench file may name: the drivers of the registry and the profiles that come along. */
export const knownParts = (): KnownParts => ({
  drivers: drivers.map(
    ({ name, roles, needs, profile, addressed }): KnownDriver => ({
      name,
      needs,
      roles: stationRoles.filter((role) => roles.includes(role)),
      ...(profile === undefined ? {} : { profile }),
      ...(addressed === undefined ? {} : { addressed }),
    }),
  ),
  profiles: profileNames().flatMap((name) => {
    const profile = readProfile(name);
    return profile.ok ? [{ name, role: profile.value.role, kind: profile.value.kind }] : [];
  }),
});
