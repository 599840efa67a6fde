import { createServer, type Server, Socket } from "node:net";

/** A line to a server that is cut after so many bytes, counted in both directions together. */
export interface CuttingProxy {
  readonly port: number;
  /** Bytes of the next connection before it is cut; Infinity lets it live. `silent` swallows what follows instead of closing. */
  cutAfter(bytes: number, how?: "reset" | "silent"): void;
  /** Bytes that the last connection carried. */
  readonly carried: () => number;
  close(): Promise<void>;
}

export const startCuttingProxy = (to: number): Promise<CuttingProxy> =>
  new Promise((resolve) => {
    let limit = Number.POSITIVE_INFINITY;
    let manner: "reset" | "silent" = "reset";
    let carried = 0;
    const sockets = new Set<Socket>();
    const server: Server = createServer((near) => {
      const far = new Socket().connect(to, "127.0.0.1");
      let left = limit;
      carried = 0;
      for (const socket of [near, far]) {
        sockets.add(socket);
        socket.on("error", () => {});
        socket.on("close", () => {
          sockets.delete(socket);
          (socket === near ? far : near).destroy();
        });
      }
      const pass = (from: Socket, onward: Socket): void => {
        from.on("data", (chunk: Buffer) => {
          const part = chunk.subarray(0, Math.max(0, left));
          left -= chunk.length;
          carried += part.length;
          if (part.length > 0) onward.write(part);
          if (left > 0 || manner === "silent") return;
          near.resetAndDestroy();
          far.destroy();
        });
      };
      pass(near, far);
      pass(far, near);
    });
    server.listen(0, "127.0.0.1", () => {
      const address = server.address();
      resolve({
        port: typeof address === "object" && address !== null ? address.port : 0,
        cutAfter: (bytes, how = "reset") => {
          limit = bytes;
          manner = how;
        },
        carried: () => carried,
        close: () =>
          new Promise((done) => {
            for (const socket of sockets) socket.destroy();
            server.close(() => done());
          }),
      });
    });
  });
