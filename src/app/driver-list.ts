import { profileNames, readProfile } from "../../drivers/profiles/read-profile.ts";
import { drivers } from "../../drivers/registry.ts";

/** What a bench file may name, with a sentence for each. */
export const driverList = () => ({
  drivers: drivers.map(({ name, summary, roles }) => ({ name, summary, roles })),
  profiles: profileNames().flatMap((name) => {
    const profile = readProfile(name);
    return profile.ok ? [{ name, title: profile.value.title, role: profile.value.role }] : [];
  }),
});
