import { Socket } from "node:net";
import { err, ok } from "../../src/vocabulary/result.ts";
import type { Transport } from "./transport.ts";

/** A socket of our own: each opening is a fresh one, and whatever an old one still says is dropped. */
export const tcpTransport = (settings: { readonly host: string; readonly port: number }): Transport => ({
  where: `${settings.host}:${settings.port}`,
  open: (events) =>
    new Promise((resolve) => {
      const socket = new Socket();
      let opened = false;
      let ended = false;
      let reason = "the other side closed the connection";
      socket.setNoDelay(true);
      socket.on("data", (bytes: Buffer) => events.bytes(bytes));
      socket.on("error", (trouble) => {
        reason = trouble.message;
      });
      // The other side has said all it will say; half a connection is of no use here.
      socket.on("end", () => socket.destroy());
      socket.on("close", () => {
        if (!opened) resolve(err({ reason, remedy: "Check address, cable and that the instrument is switched on." }));
        else if (!ended) events.closed(reason);
      });
      socket.connect(settings.port, settings.host, () => {
        opened = true;
        resolve(
          ok({
            write: (bytes) => {
              if (!socket.destroyed) socket.write(bytes);
            },
            discard: () => Promise.resolve(),
            close: () => {
              ended = true;
              socket.destroy();
              return Promise.resolve();
            },
          }),
        );
      });
    }),
});
