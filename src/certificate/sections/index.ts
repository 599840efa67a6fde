import { adjustment } from "./adjustment.ts";
import { beforeUse } from "./before-use.ts";
import { conditions } from "./conditions.ts";
import { deviations } from "./deviations.ts";
import { figures } from "./figures.ts";
import { furtherTests } from "./further-tests.ts";
import { instruments } from "./instruments.ts";
import { itemAndWork } from "./item-and-work.ts";
import { recordBehind } from "./record-behind.ts";
import { replaces } from "./replaces.ts";
import type { SectionBuilder } from "./section-context.ts";
import { signatures } from "./signatures.ts";
import { stageResults } from "./stage-results.ts";
import { statements } from "./statements.ts";
import { traceability } from "./traceability.ts";
import { uncertainty } from "./uncertainty.ts";
import { verdict } from "./verdict.ts";

/** The order of the certificate. A new section is one file and one line here. */
export const sections: readonly SectionBuilder[] = [
  replaces,
  verdict,
  itemAndWork,
  traceability,
  statements,
  signatures,
  stageResults(0),
  stageResults(1),
  figures,
  adjustment,
  conditions,
  instruments,
  uncertainty,
  deviations,
  furtherTests,
  beforeUse,
  recordBehind,
];
