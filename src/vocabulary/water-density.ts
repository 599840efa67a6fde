/**
 * Density of water, kg/m3, 0 to 100 degC: formula of Bettin and Spieweck (ITS-90) as tabulated in a public spreadsheet,
 * on which the units of a water column at 20 degC stand too. Newer formulas differ by 4e-6 at 20 degC.
 */
export const waterDensity = (t_degC: number): number => {
  const [a, b, c, d, e] = [16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12];
  const above = 999.83952 + t_degC * (a + t_degC * (b + t_degC * (c + t_degC * (d + t_degC * e))));
  return above / (1 + 16.887236e-3 * t_degC);
};
