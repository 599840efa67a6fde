import { firstTables } from "./0001-records.ts";
import { finding } from "./0002-finding.ts";
import type { RecordMigration } from "./migration.ts";

/** All steps, oldest first. A step that was released is never changed; a correction is another step. */
export const MIGRATIONS: readonly RecordMigration[] = [firstTables, finding];
