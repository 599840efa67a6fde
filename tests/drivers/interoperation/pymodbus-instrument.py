"""A gauge that pymodbus 3.0 serves: register map as in the test beside this file, over TCP or a serial line.

Usage: pymodbus-instrument.py tcp PORT | serial PATH       Says "ready" when it is about to serve.
"""
import struct
import sys

from pymodbus.datastore import ModbusSequentialDataBlock, ModbusServerContext, ModbusSlaveContext
from pymodbus.server import StartSerialServer, StartTcpServer
from pymodbus.transaction import ModbusRtuFramer


def words(text, count):
    return list(struct.unpack(">%dH" % count, text.encode("ascii").ljust(2 * count, b"\0")))


def swapped(value):
    high, low = struct.unpack(">2H", struct.pack(">f", value))
    return [low, high]


# Holding: maker, model, serial number of 8 registers each, then the unit (1 = kPa).
holding = words("Harbour Forge", 8) + words("HF-3", 8) + words("HF-3-0042", 8) + [1]
# Input: status, then the pressure with its low word first, then the temperature in tenths of a degree.
inputs = [0] + swapped(60.25) + [215]
block = lambda values: ModbusSequentialDataBlock(1, values + [0] * 8)
slave = ModbusSlaveContext(hr=block(holding), ir=block(inputs))
context = ModbusServerContext(slaves={5: slave}, single=False)

print("ready", flush=True)
if sys.argv[1] == "tcp":
    StartTcpServer(context=context, address=("127.0.0.1", int(sys.argv[2])))
else:
    StartSerialServer(context=context, framer=ModbusRtuFramer, port=sys.argv[2], baudrate=19200, parity="N", timeout=0.01)
