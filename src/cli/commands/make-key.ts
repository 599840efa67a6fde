import { fingerprint, makeKeyPair } from "../../app/sign-certificate.ts";
import { writeWhole } from "../../app/write-whole.ts";
import { EXIT } from "../exit-codes.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

/** Makes a pair of keys: the secret one stays with the laboratory, the public one is given to whoever reads certificates. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .argument("<file>", "where the secret key is written; the public one goes to FILE.public")
    .addHelpText("after", "\nThe password of the secret key is taken from STILLPOINT_KEY_PASSWORD.\n")
    .action(async (path: string) => {
      const password = process.env["STILLPOINT_KEY_PASSWORD"];
      const pair = makeKeyPair(password === "" ? undefined : password);
      const secret = await writeWhole(path, pair.pem, "keep", 0o600);
      if (!secret.ok) return finish(sayFault(streams, secret.fault));
      const open = await writeWhole(`${path}.public`, `${pair.public_key}\n`);
      if (!open.ok) return finish(sayFault(streams, open.fault));
      if (password === undefined || password === "") {
        say(
          streams.talk,
          "The secret key has no password: whoever can read the file can sign. Keep it where nobody else can.",
        );
      }
      say(streams.out, `Secret key: ${path}`);
      say(streams.out, `Public key: ${path}.public (${fingerprint(pair.public_key)})`);
      finish(EXIT.success);
    });
};
