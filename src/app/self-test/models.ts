/** Published measurement models as budget files, so that what a user writes is what is checked. */

const file = (body: string): string => `format: stillpoint-budget 1\n${body}`;

type Numbers = Readonly<Record<string, number>>;

/** JCGM 100:2008, H.1, in nm. */
export const endGauge = (i: Numbers): string =>
  file(`title: gauge block
coverage: ${i["level"]}
degrees_of_freedom: truncated
inputs:
  lS: { distribution: normal, value: ${(i["lS_mm"] ?? 0) * 1e6}, U: ${i["U_lS_nm"]}, k: ${i["k_lS"]}, degrees_of_freedom: ${i["dof_lS"]}, unit: nm }
  d: { distribution: normal, value: ${i["d_nm"]}, u: ${i["u_d_nm"]}, degrees_of_freedom: ${i["dof_d"]}, unit: nm }
  dalpha: { distribution: rectangular, value: 0, half_width: ${i["dalpha_half_width"]}, degrees_of_freedom: ${i["dof_dalpha"]} }
  theta: { distribution: normal, value: ${i["theta_degC"]}, u: ${i["u_theta_degC"]} }
  alphaS: { distribution: rectangular, value: ${i["alphaS_per_degC"]}, half_width: 2e-6 }
  dtheta: { distribution: rectangular, value: 0, half_width: ${i["dtheta_half_width_degC"]}, degrees_of_freedom: ${i["dof_dtheta"]} }
outputs:
  l: { model: "lS + d - lS * (dalpha * theta + alphaS * dtheta)", unit: nm }
`);

/** JCGM 100:2008, H.2: readings that were taken together. */
export const impedance = (i: Readonly<Record<"V" | "I_mA" | "phi_rad", readonly number[]>>): string =>
  file(`title: impedance
inputs:
  V: { distribution: readings, readings: ${JSON.stringify(i.V)}, unit: V }
  I: { distribution: readings, readings: ${JSON.stringify(i.I_mA.map((x) => x * 1e-3))}, unit: A }
  phi: { distribution: readings, readings: ${JSON.stringify(i.phi_rad)}, unit: rad }
outputs:
  R: { model: "V / I * cos(phi)", unit: ohm }
  X: { model: "V / I * sin(phi)", unit: ohm }
  Z: { model: "V / I", unit: ohm }
correlations:
  - { between: [V, I], r: readings }
  - { between: [V, phi], r: readings }
  - { between: [I, phi], r: readings }
`);

/** A correction read from a fitted line, JCGM 100:2008, H.3.4. */
export const fittedCorrection = (y1: number, u1: number, y2: number, u2: number, r: number, t_degC: number): string =>
  file(`title: correction
inputs:
  y1: { distribution: normal, value: ${y1}, u: ${u1} }
  y2: { distribution: normal, value: ${y2}, u: ${u2} }
outputs:
  b: { model: "y1 + y2 * (${t_degC} - 20)" }
correlations:
  - { between: [y1, y2], r: ${r} }
`);

/** JCGM 101:2008, 9.2: `shape` as it stands behind `distribution:`. */
export const sumOfFour = (shape: string, interval = "symmetric"): string =>
  file(`title: sum of four
interval: ${interval}
inputs:
${["a", "b", "c", "d"].map((n) => `  ${n}: { distribution: ${shape} }`).join("\n")}
outputs:
  y: { model: a + b + c + d }
`);

/** JCGM 101:2008, 9.3. */
export const massInAir = (): string =>
  file(`title: mass in air
digits: 1
inputs:
  mR: { distribution: normal, value: 100000, u: 0.05, unit: mg }
  dmR: { distribution: normal, value: 1.234, u: 0.02, unit: mg }
  rho_a: { distribution: rectangular, value: 1.2, half_width: 0.1, unit: kg/m3 }
  rho_W: { distribution: rectangular, value: 8000, half_width: 1000, unit: kg/m3 }
  rho_R: { distribution: rectangular, value: 8000, half_width: 50, unit: kg/m3 }
outputs:
  dm: { model: "(mR + dmR) * (1 + (rho_a - 1.2) * (1 / rho_W - 1 / rho_R)) - 100000", unit: mg }
`);

/** JCGM 101:2008, 9.4. */
export const comparisonLoss = (x1: number, u1: number, x2: number, u2: number): string =>
  file(`title: comparison loss
inputs:
  X1: { distribution: normal, value: ${x1}, u: ${u1} }
  X2: { distribution: normal, value: ${x2}, u: ${u2} }
outputs:
  dY: { model: "X1^2 + X2^2" }
`);

/** JCGM 101:2008, 9.5, in nm. */
export const gaugeBlock = (): string =>
  file(`title: gauge block
coverage: 0.99
degrees_of_freedom: truncated
inputs:
  Ls: { distribution: t, value: 50000623, u: 25, degrees_of_freedom: 18, unit: nm }
  D: { distribution: t, value: 215, u: 6, degrees_of_freedom: 24, unit: nm }
  d1: { distribution: t, value: 0, u: 4, degrees_of_freedom: 5, unit: nm }
  d2: { distribution: t, value: 0, u: 7, degrees_of_freedom: 8, unit: nm }
  as: { distribution: rectangular, value: 11.5e-6, half_width: 2e-6 }
  t0: { distribution: normal, value: -0.1, u: 0.2 }
  Delta: { distribution: arcsine, value: 0, half_width: 0.5 }
  da: { distribution: curved-trapezoid, value: 0, half_width: 1e-6, doubt: 0.1e-6 }
  dt: { distribution: curved-trapezoid, value: 0, half_width: 0.05, doubt: 0.025 }
outputs:
  dL: { model: "Ls + D + d1 + d2 - Ls * (da * (t0 + Delta) + as * dt) - 50e6", unit: nm }
`);
