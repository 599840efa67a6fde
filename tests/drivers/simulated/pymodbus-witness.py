"""Speaks to the simulated instruments with pymodbus and pyserial, and tells what it saw as one line of JSON.

Usage: pymodbus-witness.py tcp HOST PORT | serial PATH
Units: 1 gauge, 2 source. Addresses are those of the PDU. No parity: a pseudo-terminal has none, and pyserial takes that
for an error when it sets the port a second time.
"""
import json
import struct
import sys

import serial
from pymodbus.client import ModbusSerialClient, ModbusTcpClient
from pymodbus.utilities import computeCRC


def as_float(registers):
    return struct.unpack(">f", struct.pack(">2H", *registers))[0]


def from_float(value):
    return list(struct.unpack(">2H", struct.pack(">f", value)))


def as_text(registers):
    return struct.pack(">%dH" % len(registers), *registers).rstrip(b"\0").decode("ascii")


def talk(client):
    assert client.connect()
    seen = {
        "maker": as_text(client.read_holding_registers(0, 16, slave=1).registers),
        "serial_number": as_text(client.read_holding_registers(32, 16, slave=1).registers),
        "pressure": as_float(client.read_input_registers(0, 2, slave=1).registers),
        "written": not client.write_registers(64, from_float(14.25), slave=2).isError(),
        "commanded": as_float(client.read_holding_registers(64, 2, slave=2).registers),
        "refused": client.write_registers(64, from_float(99), slave=2).exception_code,
        "gap": client.read_holding_registers(60, 1, slave=2).exception_code,
        "output_on": client.read_coils(0, 1, slave=2).bits[0],
    }
    client.close()
    return seen


def wrong_crc(path):
    """A set to 20 mA, right in all but its CRC: what comes back, and what the source then says it commands."""
    body = struct.pack(">BBHHB", 2, 16, 64, 2, 4) + struct.pack(">f", 20.0)
    with serial.Serial(path, 9600, parity="N", timeout=0.3) as port:
        port.write(body + struct.pack(">H", computeCRC(body) ^ 0x0100))
        answer = port.read(8)
        port.write(body[:6] + struct.pack(">H", 0))  # half a frame, then silence
        rest = port.read(8)
    client = ModbusSerialClient(path, baudrate=9600, parity="N", timeout=1)
    assert client.connect()
    commanded = as_float(client.read_holding_registers(64, 2, slave=2).registers)
    client.close()
    return {"wrong_crc_answer": len(answer) + len(rest), "wrong_crc_commanded": commanded}


if sys.argv[1] == "tcp":
    print(json.dumps(talk(ModbusTcpClient(sys.argv[2], port=int(sys.argv[3]), timeout=1))))
else:
    path = sys.argv[2]
    result = talk(ModbusSerialClient(path, baudrate=9600, parity="N", timeout=1))
    result.update(wrong_crc(path))
    print(json.dumps(result))
