import type { PressureGauge } from "../../../src/ports/instruments.ts";
import { seconds } from "../../../src/vocabulary/quantities.ts";
import { makeLinkTo, openInstrument, readProfile, wallTimers } from "./built.ts";
import { type Figure, median, now_s, quantile } from "./figures.ts";
import { startRegisterServer } from "./other-process.ts";

const STATIONS = 64;
const PERIOD_S = 0.1;

/** 64 gauges with their whole driver, each on its own socket, each read every tenth of a second; one process. */
export const manyStations = async (quick: boolean): Promise<readonly Figure[]> => {
  const duration_s = quick ? 10 : 60;
  const port = await startRegisterServer();
  const profile = readProfile("reference-gauge-registers");
  if (!profile.ok) throw new Error(profile.fault.message);
  const stamp = () => seconds(now_s());
  const links = Array.from({ length: STATIONS }, (_, index) =>
    makeLinkTo(`station ${index + 1}`, { kind: "tcp", host: "127.0.0.1", port }, TIMING, { stamp }),
  );
  const gauges = links.map((link): PressureGauge => {
    const setup = { name: "gauge", serial_number: "BENCH-1", profile: profile.value, address: 1 };
    const gauge = openInstrument("register", "gauge", setup, { link, timers: wallTimers, stamp });
    if (!gauge.ok) throw new Error(gauge.fault.message);
    return gauge.value;
  });
  for (const gauge of gauges) await gauge.read();

  const begin_s = now_s() + 0.2;
  const late_s: number[] = [];
  let missed = 0;
  const station = async (gauge: PressureGauge, phase_s: number): Promise<void> => {
    for (let beat = 0; beat * PERIOD_S < duration_s; beat += 1) {
      const due_s = begin_s + phase_s + beat * PERIOD_S;
      const wait_s = due_s - now_s();
      if (wait_s > 0) await new Promise((resolve) => setTimeout(resolve, 1000 * wait_s));
      const reading = await gauge.read();
      if (!reading.ok) throw new Error(reading.fault.message);
      if (reading.value.at_s >= due_s + PERIOD_S) missed += 1;
      late_s.push(reading.value.at_s - due_s);
    }
  };
  const cpu = process.cpuUsage();
  await Promise.all(gauges.map((gauge, index) => station(gauge, (index * PERIOD_S) / STATIONS)));
  const { user, system } = process.cpuUsage(cpu);
  await Promise.all(links.map((link) => link.close()));

  const usual_s = median(late_s);
  const jitter = late_s.map((late) => Math.abs(late - usual_s));
  const share = (value_s: number): number => (100 * value_s) / PERIOD_S;
  return [
    { name: `${STATIONS} stations at 10 Hz for ${duration_s} s, readings`, value: late_s.length, unit: "readings" },
    { name: `${STATIONS} stations, missed periods`, value: missed, unit: "", goal: { at: "most", value: 0 } },
    {
      name: `${STATIONS} stations, median jitter`,
      value: share(median(jitter)),
      unit: "% of the period",
      goal: { at: "most", value: 10 },
    },
    {
      name: `${STATIONS} stations, 99 % of jitter below`,
      value: share(quantile(jitter, 0.99)),
      unit: "% of the period",
    },
    { name: `${STATIONS} stations, processor`, value: (user + system) / 1e4 / duration_s, unit: "% of one core" },
  ];
};

const TIMING = { answer_deadline_s: 1, quiet_after_trouble_s: 0.2 };
