import { softwareVersion } from "../../app/package-root.ts";
import { runSelfTest } from "../../app/self-test/run-self-test.ts";
import { selfTestText } from "../../app/self-test-text.ts";
import { jsonText } from "../../app/text-table.ts";
import { EXIT } from "../exit-codes.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

const HELP = `
Published figures (standards, handbooks, certified data) are worked out by this very installation and compared. Keep the
output as evidence that the software in use was validated (ISO/IEC 17025:2017, 7.11.2). What it cannot show: that your
bench file is right. Exit code 0 when everything agrees, 1 when anything does not.
`;

/** Published cases inside the installed product. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .option("--json", "print every case and figure as one JSON document")
    .addHelpText("after", HELP)
    .action((options: { readonly json?: boolean }) => {
      const test = runSelfTest();
      const version = softwareVersion();
      const platform = `Node ${process.versions.node}, ${process.platform} ${process.arch}`;
      say(
        streams.out,
        options.json
          ? jsonText({ format: "stillpoint-self-test 1", software_version: version, platform, ...test })
          : selfTestText(test, version, platform),
      );
      finish(test.passed ? EXIT.success : EXIT.failed);
    });
};
