/** What the bench file may name. The registry of drivers is handed in, so that checking a file needs no driver. */

/** What an instrument does in a station. */
export type StationRole = "source" | "gauge" | "supply-gauge" | "current-meter" | "ambient" | "humidity" | "barometer";

export interface KnownDriver {
  readonly name: string;
  readonly roles: readonly StationRole[];
  /** `none`: nothing is plugged in, such as an instrument that a person reads. */
  readonly needs: "link" | "none";
  /** Kind of profile that it needs; a driver without this takes no profile. */
  readonly profile?: "registers" | "lines";
  /** Whether several instruments may share its link, each under its own address. */
  readonly addressed?: boolean;
}

interface KnownProfile {
  readonly name: string;
  /** The role that the profile states: `current-source`, `pressure-gauge` or `bench-meter`. */
  readonly role: string;
  /** Left out: fits every driver that takes a profile. */
  readonly kind?: "registers" | "lines";
}

export interface KnownParts {
  readonly drivers: readonly KnownDriver[];
  readonly profiles: readonly KnownProfile[];
}

/** What an instrument with a profile of that role may do in a station. */
export const ROLES_OF_PROFILE: Readonly<Record<string, readonly StationRole[]>> = {
  "current-source": ["source"],
  "pressure-gauge": ["gauge", "supply-gauge"],
  "bench-meter": ["current-meter", "supply-gauge", "ambient", "humidity", "barometer"],
};
