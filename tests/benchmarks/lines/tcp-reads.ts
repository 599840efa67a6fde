import modbusSerial from "modbus-serial";
import { seconds } from "../../../src/vocabulary/quantities.ts";
import { makeLinkTo } from "./built.ts";
import { type Figure, median, now_s, quantile } from "./figures.ts";
import { type LibmodbusLoop, startRegisterServer } from "./other-process.ts";

/**
 * Two registers over TCP, one read after the other, three clients in turn against one server: the bare library, our
 * link, and libmodbus in C where it is to be had. Rounds are short and alternate, and the ratio is the median over rounds that
 * stand side by side. That of the quickest tenth is told beside it: on an idle machine some rounds run twice as fast as the
 * others, when both processes happen to share a core, so that it says little.
 */
const WARM_UP = 10;
const QUICKEST = 0.1;
const host = "127.0.0.1";

const timed = async (work: () => Promise<void>): Promise<number> => {
  const from_s = now_s();
  await work();
  return now_s() - from_s;
};

const bareRound = async (port: number, reads: number): Promise<number> => {
  const client = new modbusSerial.default();
  await client.connectTCP(host, { port });
  client.setID(1);
  client.setTimeout(1000);
  const took_s = await timed(async () => {
    for (let i = 0; i < reads; i += 1) await client.readHoldingRegisters(0, 2);
  });
  client.destroy(() => undefined);
  return took_s;
};

const ourRound = async (port: number, reads: number): Promise<number> => {
  const timing = { answer_deadline_s: 1, quiet_after_trouble_s: 0.1 };
  const link = makeLinkTo("bench", { kind: "tcp", host, port }, timing, { stamp: () => seconds(now_s()) });
  await link.open();
  const station = link.registers({ instrument: "server", unit: 1 });
  const took_s = await timed(async () => {
    for (let i = 0; i < reads; i += 1) {
      const answer = await station.readRegisters("holding", 0, 2);
      if (!answer.ok) throw new Error(answer.fault.message);
    }
  });
  await link.close();
  return took_s;
};

export const tcpReads = async (quick: boolean, libmodbus: LibmodbusLoop | null): Promise<readonly Figure[]> => {
  const [rounds, reads] = quick ? [20, 600] : [60, 1000];
  const port = libmodbus === null ? await startRegisterServer() : 20_000 + (Math.floor(now_s() * 1000) % 20_000);
  await libmodbus?.serve(port);
  const bare: number[] = [];
  const ours: number[] = [];
  const c: number[] = [];
  for (let round = 0; round < rounds + WARM_UP; round += 1) {
    // Who goes first changes, so that neither always finds the other's warm cache.
    const first = round % 2 === 0 ? await bareRound(port, reads) : null;
    const own = await ourRound(port, reads);
    const other = first ?? (await bareRound(port, reads));
    const inC = libmodbus?.client(port, reads);
    if (round < WARM_UP) continue;
    bare.push(other);
    ours.push(own);
    if (inC !== undefined) c.push(inC);
  }
  const rate = (times: readonly number[]): number => reads / quantile(times, QUICKEST);
  const ratio = (times: readonly number[]): number => rate(ours) / rate(times);
  return [
    { name: "TCP, two registers, our link", value: rate(ours), unit: "reads/s" },
    { name: "TCP, two registers, bare modbus-serial", value: rate(bare), unit: "reads/s" },
    {
      name: "TCP, our link : bare modbus-serial, median of the rounds side by side",
      value: median(bare.map((other, i) => other / (ours[i] ?? Number.NaN))),
      unit: "",
      goal: { at: "least", value: 0.9 },
    },
    { name: "TCP, our link : bare modbus-serial, quickest rounds", value: ratio(bare), unit: "" },
    ...(c.length === 0
      ? []
      : [
          { name: "TCP, two registers, libmodbus in C", value: rate(c), unit: "reads/s" },
          { name: "TCP, our link : libmodbus in C", value: ratio(c), unit: "" },
        ]),
  ];
};
