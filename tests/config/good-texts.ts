/** A small bench, unit and laboratory that are right, to be broken one line at a time. Every line differs from the others. */

export const goodBench = `format: stillpoint-bench 1
name: Small bench
links:
  line-1:
    kind: serial
    port: /dev/line-1
    baud: 19200
    parity: even
    answer_deadline: 400 ms
  net-1:
    kind: tcp
    host: gateway.example
    port: 1502
instruments:
  loop-source:
    driver: register
    profile: loop-source-registers
    link: line-1
    address: 1
    serial_number: S-1
    current: { lower: 0 mA, upper: 24 mA }
  gauge:
    driver: register
    profile: reference-gauge-registers
    link: line-1
    address: 2
    serial_number: G-1
    pressure:
      lower: 0 kPa
      upper: 250 kPa
      resolution: 0.001 kPa
      certificate:
        number: K-1
        laboratory: Riverside
        date: 2026-02-01
        due: 2027-01-31
        U: 0.03 kPa
        k: 2
        corrections:
          - { at: 50 kPa, add: 0.01 kPa }
          - { at: 150 kPa, add: -0.01 kPa }
  meter:
    driver: register
    profile: bench-meter-registers
    link: net-1
    address: 3
    serial_number: M-1
    current:
      lower: 0.0 mA
      upper: 25 mA
      certificate: { number: E-1, laboratory: Hillside, date: 2026-03-01, due: 2027-02-28, U: 0.002 mA, k: 2.0 }
    pressure: { lower: 0 bar, upper: 10 bar }
    temperature: { lower: 0 degC, upper: 50 degC }
stations:
  station-1:
    source: loop-source
    gauge: gauge
    supply_gauge: meter
    current_meter: meter
    ambient: meter
limits:
  current:
    lower: 0.00 mA
    upper: 22 mA
  pressure: 240 kPa
`;

export const goodUnit = `format: stillpoint-unit 1
identity:
  maker: Hopwell Instruments
  model: HC-15
  serial_number: HC15-1
  received: 2026-11-20
input:
  lower: 4 mA
  upper: 20 mA
output:
  lower: 3 psi
  upper: 15 psi
  mode: gauge
action: direct
characteristic: linear
tolerance: 0.5 %span
supply:
  nominal: 20 psi
  lower: 18 psi
  upper: 24 psi
rated_maximum: 50 psi
safe_current: 4.0 mA
screws:
  zero: { clockwise: raises }
  span: { clockwise: unknown }
mounting: upright
settling_limit: 60 s
`;

export const goodLaboratory = `format: stillpoint-laboratory 1
name: Valve Workshop
address:
  - 12 Cooper's Lane
contact: valves@three-kettles.example
time_zone: Europe/Brussels
method:
  id: VW-07
  revision: "3"
decision_rule:
  rule: guarded
  share_of_U: 1
smallest_uncertainties:
  - { lower: 0 kPa, upper: 100 kPa, U: 0.05 kPa }
  - { lower: 100 kPa, upper: 700 kPa, U: 0.05 %reading }
people:
  - name: B. Reviewer
    roles: [reviews]
next_due:
  agreed: false
  interval_months: 6
`;

/** The text with one line, or a part of a line, changed; the part has to stand in it exactly once. */
export const changed = (text: string, part: string, into: string): string => {
  if (text.split(part).length !== 2) throw new Error(`"${part}" has to stand in the text exactly once`);
  return text.replace(part, () => into);
};

/** Number of the line on which a part begins; the part has to stand in the text exactly once. */
export const lineOf = (text: string, part: string): number => {
  const before = text.split(part);
  if (before.length !== 2) throw new Error(`"${part}" has to stand in the text exactly once`);
  return (before[0] ?? "").split("\n").length;
};
