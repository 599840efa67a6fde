import { checkFiles } from "../../app/check-files.ts";
import { EXIT } from "../exit-codes.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

/** Checks files as they are, and says for each what is wrong, where, and what to write. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .argument("<files...>", "bench, unit, laboratory and profile files")
    .option("--json", "print the complaints as JSON")
    .addHelpText("after", "\nExample:\n  stillpoint check my-bench.yaml my-unit.yaml\n")
    .action((files: readonly string[], options: { readonly json?: boolean }) => {
      const checked = checkFiles(files);
      const bad = checked.filter((file) => file.complaints.length > 0);
      if (options.json) say(streams.out, JSON.stringify({ format: "stillpoint-check 1", files: checked }, null, 2));
      else {
        for (const { file, kind, complaints } of checked) {
          if (complaints.length === 0) say(streams.out, `${file}: a good ${kind} file`);
          for (const complaint of complaints) say(streams.out, complaint);
        }
      }
      finish(bad.length === 0 ? EXIT.success : EXIT.wrongUse);
    });
};
