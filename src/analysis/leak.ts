/**
 * Leak of a closed volume from two pressures. Pressures are ABSOLUTE. The temperature has to be steady: 0.1 K at
 * 293 K looks like a change of 0.034 % of the absolute pressure.
 */

/** Molar gas constant, J/(mol K), as printed in 40 CFR 1065.644. */
export const MOLAR_GAS_CONSTANT = 8.314472;

/** Q = V (p2 - p1) / dt, in Pa m3/s; positive where the pressure rises. Source: leak-rate formula of isothermal volumes. */
export const isothermalLeak_Pa_m3_per_s = (volume_m3: number, p1_Pa: number, p2_Pa: number, over_s: number): number =>
  (volume_m3 * (p2_Pa - p1_Pa)) / over_s;

export interface GasState {
  readonly absolute_Pa: number;
  readonly temperature_K: number;
}

/** Amount of gas that came in, mol/s; negative where it went out. Source: 40 CFR 1065.644, Eq. 1065.644-1. */
export const molarLeak_mol_per_s = (volume_m3: number, before: GasState, after: GasState, over_s: number): number =>
  ((volume_m3 / MOLAR_GAS_CONSTANT) *
    (after.absolute_Pa / after.temperature_K - before.absolute_Pa / before.temperature_K)) /
  over_s;
