import { STEP_S } from "./plant-settings.ts";

/** A 4-20 mA source: converter digit, slew, errors, limited voltage, and a loop that may be open. */
export interface LoopSourceSettings {
  /** Smallest step, mA; 0.001 if left out. */
  readonly resolution_mA?: number;
  /** Greatest speed of the output, mA/s; 40 if left out. */
  readonly slew_mA_per_s?: number;
  readonly offset_mA?: number;
  readonly gain_error?: number;
  /** Voltage the source can bring up, V; 24 if left out. */
  readonly compliance_V?: number;
  /** Resistance of loop, converter coil and meter, ohm; 250 if left out. */
  readonly loop_ohm?: number;
  readonly lower_mA?: number;
  readonly upper_mA?: number;
}

export interface LoopSource {
  /** One step of 20 ms. */
  step(): void;
  /** False when the value lies outside the source's range; nothing changes then. */
  set(current_mA: number): boolean;
  enable(on: boolean): void;
  /** Without a request for `after_s` the source goes to `current_mA` by itself; `after_s` 0 = never. */
  setFallback(after_s: number, current_mA: number): void;
  fallback(): { readonly after_s: number; readonly current_mA: number };
  /** Tells that a request came, whatever it asked. */
  touch(): void;
  openLoop(open: boolean): void;
  setLoopResistance(ohm: number): void;
  loopResistance_ohm(): number;
  commanded_mA(): number;
  enabled(): boolean;
  /** True current in the loop, mA. */
  current_mA(): number;
  status(): { readonly loop_open: boolean; readonly compliance_reached: boolean; readonly fallback_active: boolean };
}

export const createLoopSource = (settings: LoopSourceSettings, start_mA: number): LoopSource => {
  const digit = settings.resolution_mA ?? 0.001;
  const travel = (settings.slew_mA_per_s ?? 40) * STEP_S;
  const compliance_V = settings.compliance_V ?? 24;
  const lower_mA = settings.lower_mA ?? 0;
  const upper_mA = settings.upper_mA ?? 24;
  let ohm = settings.loop_ohm ?? 250;
  let commanded = start_mA;
  let driven = start_mA;
  let on = true;
  let open = false;
  let after_s = 0;
  let fallback_mA = start_mA;
  let silent_s = 0;
  let fallen = false;

  const limit_mA = (): number => (1000 * compliance_V) / Math.max(ohm, 1e-6);
  const ideal = (): number => driven * (1 + (settings.gain_error ?? 0)) + (settings.offset_mA ?? 0) * (on ? 1 : 0);

  return {
    step: () => {
      silent_s += STEP_S;
      if (after_s > 0 && silent_s > after_s && !fallen) {
        fallen = true;
        commanded = fallback_mA;
      }
      const goal = on ? commanded : 0;
      driven += Math.max(-travel, Math.min(travel, goal - driven));
    },
    set: (current_mA) => {
      if (!(current_mA >= lower_mA && current_mA <= upper_mA)) return false;
      commanded = digit > 0 ? Math.round(current_mA / digit) * digit : current_mA;
      fallen = false;
      return true;
    },
    enable: (state) => {
      on = state;
    },
    setFallback: (seconds, current_mA) => {
      after_s = seconds;
      fallback_mA = current_mA;
    },
    fallback: () => ({ after_s, current_mA: fallback_mA }),
    touch: () => {
      silent_s = 0;
    },
    openLoop: (state) => {
      open = state;
    },
    setLoopResistance: (value) => {
      ohm = value;
    },
    loopResistance_ohm: () => ohm,
    commanded_mA: () => commanded,
    enabled: () => on,
    current_mA: () => (open ? 0 : Math.max(0, Math.min(ideal(), limit_mA()))),
    status: () => ({
      loop_open: open,
      compliance_reached: !open && ideal() > limit_mA(),
      fallback_active: fallen,
    }),
  };
};
