import { crc16 } from "../../../drivers/frames/crc16.ts";
import type { RegisterBank } from "../../../drivers/frames/register-slave.ts";
import { rtuSlaveStream } from "../../../drivers/frames/slave-stream.ts";
import type { RegisterField, RegisterProfile } from "../../../drivers/profiles/register-profile.schema.ts";
import type { Timers } from "../../../src/ports/timers.ts";
import { inProcessWire } from "../in-process-wire.ts";
import type { FakeInstrument } from "./fake-instrument.ts";

export const FAKE_UNIT = 17;
const WRITES = [5, 6, 15, 16];

/** A register instrument as bytes. Values are laid down here with a DataView of their own, high word first. */
export const fakeRegisterInstrument = (profile: RegisterProfile, timers: Timers): FakeInstrument => {
  const wire = inProcessWire();
  const tables = { holding: new Map<number, number>(), input: new Map<number, number>() };
  const coils = new Map<number, boolean>();
  const fields: Record<string, RegisterField> = { ...profile.settings, ...profile.readings, ...profile.commands };
  let writes = 0;
  let requests = 0;

  const fieldOf = (name: string): RegisterField => {
    const field = fields[name];
    if (field === undefined) throw new Error(`no field ${name}`);
    if (field.order !== "ABCD" || field.scale !== 1 || field.offset !== 0) throw new Error("the fake knows ABCD only");
    return field;
  };

  const put = (name: string, value: number): void => {
    const { table, address, type } = fieldOf(name);
    if (table === "coil" || table === "discrete") {
      coils.set(address, value !== 0);
      return;
    }
    const view = new DataView(new ArrayBuffer(4));
    if (type === "float32") view.setFloat32(0, value);
    else view.setUint16(0, value);
    tables[table].set(address, view.getUint16(0));
    if (type === "float32") tables[table].set(address + 1, view.getUint16(2));
  };

  const get = (name: string): number => {
    const { table, address, type } = fieldOf(name);
    if (table === "coil" || table === "discrete") return coils.get(address) === true ? 1 : 0;
    const view = new DataView(new ArrayBuffer(4));
    view.setUint16(0, tables[table].get(address) ?? 0);
    view.setUint16(2, tables[table].get(address + 1) ?? 0);
    return type === "float32" ? view.getFloat32(0) : view.getUint16(0);
  };

  const putText = (part: "maker" | "model" | "serial_number", text: string): void => {
    const { address, registers = 0 } = profile.identity[part];
    for (let index = 0; index < registers; index += 1) {
      const code = (at: number): number => text.charCodeAt(at) || 0;
      tables.holding.set(address + index, (code(2 * index) << 8) | code(2 * index + 1));
    }
  };

  const fake: FakeInstrument = {
    transport: wire.transport,
    manner: "good",
    exception: 4,
    late_s: 0,
    silentAfter: null,
    obeys: true,
    counting: true,
    put,
    get,
    putText,
    putSetting: (name, shows) => {
      const meanings = profile.settings[name]?.meanings ?? {};
      const found = Object.entries(meanings).find(([, word]) => word === shows)?.[0];
      put(name, Number(found ?? shows));
    },
    putStatus: (bits) => put("status", bits),
    get writes() {
      return writes;
    },
    get requests() {
      return requests;
    },
    pullOut: () => wire.pullOut(),
    plugIn: () => wire.plugIn(),
  };

  for (const name of Object.keys(fields)) put(name, 0);

  const from =
    (table: "holding" | "input") =>
    (address: number, count: number): Uint16Array | null => {
      const counter = profile.readings["count"];
      const values = Array.from({ length: count }, (_, index) => tables[table].get(address + index));
      if (values.some((value) => value === undefined)) return null;
      const counted = counter?.table === table && counter.address >= address && counter.address < address + count;
      if (counted && fake.counting) put("count", (get("count") + 1) & 0xffff);
      return Uint16Array.from({ length: count }, (_, index) => tables[table].get(address + index) ?? 0);
    };

  const bank: RegisterBank = {
    readHolding: from("holding"),
    readInput: from("input"),
    readCoils: (address, count) => {
      const found = Array.from({ length: count }, (_, index) => coils.get(address + index));
      return found.every((bit) => bit !== undefined) ? found.map((bit) => bit === true) : null;
    },
    writeHolding: (address, values) => {
      if (![...values.keys()].every((index) => tables.holding.has(address + index))) return false;
      if (fake.obeys) for (const [index, value] of values.entries()) tables.holding.set(address + index, value);
      return true;
    },
    writeCoils: (address, values) => {
      if (fake.obeys) for (const [index, value] of values.entries()) coils.set(address + index, value);
      return true;
    },
  };

  const refusal = (request: Uint8Array): Uint8Array => {
    const frame = Uint8Array.of(FAKE_UNIT, (request[1] ?? 0) | 0x80, fake.exception, 0, 0);
    const crc = crc16(frame.subarray(0, 3));
    frame[3] = crc & 0xff;
    frame[4] = crc >>> 8;
    return frame;
  };

  wire.device = (request) => {
    requests += 1;
    if (WRITES.includes(request[1] ?? 0)) writes += 1;
    if (fake.manner === "silent") return;
    if (fake.manner === "garbage") {
      timers.after(0.001, () => wire.say(Uint8Array.of(FAKE_UNIT, request[1] ?? 0, 2, 1, 2, 3, 4)));
      return;
    }
    if (fake.manner === "refuses") {
      timers.after(0.001, () => wire.say(refusal(request)));
      return;
    }
    const answers = rtuSlaveStream((unit) => (unit === FAKE_UNIT ? bank : null)).receive(request);
    if (fake.silentAfter !== null) {
      fake.silentAfter -= 1;
      if (fake.silentAfter <= 0) {
        fake.silentAfter = null;
        return;
      }
    }
    const delay_s = fake.manner === "late" ? fake.late_s : 0.001;
    for (const answer of answers) timers.after(delay_s, () => wire.say(answer));
  };

  return fake;
};
