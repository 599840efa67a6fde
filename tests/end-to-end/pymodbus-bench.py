"""A small bench that nobody of this project wrote the protocol of: pymodbus serves the register maps of drivers/profiles.

Usage: pymodbus-bench.py tcp | serial PATH
Units: 1 source, 2 gauge, 3 meter. Prints "ready PORT" (0 on a serial line), and ends when standard input does.
Floats are IEEE 754 singles, most significant register first, packed here by Python's struct; text is ASCII, two characters
a register, filled up with zeros. No parity: a pseudo-terminal has none.
"""
import asyncio
import struct
import sys

from pymodbus.datastore import ModbusServerContext, ModbusSlaveContext, ModbusSparseDataBlock
from pymodbus.server.async_io import ModbusSerialServer, ModbusTcpServer


def floats(*values):
    packed = struct.pack(">%df" % len(values), *values)
    return list(struct.unpack(">%dH" % (len(packed) // 2), packed))


def text(words):
    return list(struct.unpack(">16H", words.encode("ascii").ljust(32, b"\0")))


def block(parts):
    return ModbusSparseDataBlock({at + i: value for at, values in parts.items() for i, value in enumerate(values)})


def identity(model, serial_number):
    return {0: text("Riverside"), 16: text(model), 32: text(serial_number)}


class GaugeInputs(ModbusSparseDataBlock):
    """The counter goes up with each look, as with each new measurement."""

    def getValues(self, address, count=1):
        self.values[3] = (self.values[3] + 1) % 65536
        return super().getValues(address, count)


def slave(holding, inputs, coils):
    empty = ModbusSparseDataBlock({0: 0})
    return ModbusSlaveContext(hr=holding, ir=inputs, co=coils, di=empty, zero_mode=True)


def source():
    inputs = block({0: floats(4.0), 2: [0]})

    class SourceHolding(ModbusSparseDataBlock):
        """What is commanded flows at once."""

        def setValues(self, address, values, use_as_default=False):
            super().setValues(address, values, use_as_default)
            for i in range(2):
                inputs.values[i] = self.values[64 + i]

    start = block({**identity("PS-24", "PY-SOURCE-1"), 64: floats(4.0), 66: floats(0.0), 68: floats(4.0)})
    return slave(SourceHolding(start.values), inputs, ModbusSparseDataBlock({0: 1}))


def gauge():
    holding = block({**identity("PG-700", "PY-GAUGE-1"), 48: [1, 0], 50: floats(0.0)})
    inputs = block({0: floats(61.2345), 2: [0], 3: [0], 4: floats(0.001), 6: floats(21.5)})
    return slave(holding, GaugeInputs(inputs.values), ModbusSparseDataBlock({0: 0}))


def meter():
    holding = block(identity("PM-3", "PY-METER-1"))
    inputs = block({0: floats(11.9987, 140.25, 20.75, 45.5)})
    return slave(holding, inputs, ModbusSparseDataBlock({0: 0}))


async def main():
    context = ModbusServerContext(slaves={1: source(), 2: gauge(), 3: meter()}, single=False)
    if sys.argv[1] == "tcp":
        server = ModbusTcpServer(context, address=("127.0.0.1", 0))
        serving = asyncio.ensure_future(server.serve_forever())
        await server.serving
        port = server.server.sockets[0].getsockname()[1]
    else:
        server = ModbusSerialServer(context, port=sys.argv[2], baudrate=9600, parity="N", timeout=0.05)
        await server.start()
        serving = asyncio.ensure_future(server.serve_forever())
        port = 0
    print("ready", port, flush=True)
    await asyncio.get_running_loop().run_in_executor(None, sys.stdin.read)
    serving.cancel()


asyncio.run(main())
