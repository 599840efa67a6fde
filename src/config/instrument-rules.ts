import { nearestWord } from "../vocabulary/nearest-word.ts";
import type { BenchFile, InstrumentSettings } from "./bench-file.schema.ts";
import { type KnownDriver, type KnownParts, ROLES_OF_PROFILE } from "./known-drivers.ts";
import { checkMeasured } from "./measured-quantity-rules.ts";
import type { Blame } from "./read-file.ts";

/** `Did you mean x? ` when a name is near. */
export const didYouMean = (written: string, names: readonly string[]): string => {
  const near = nearestWord(written, names);
  return near === null ? "" : `Did you mean ${near}? `;
};

const listed = (names: readonly string[]): string => (names.length === 0 ? "none yet" : names.join(", "));

const checkDriver = (name: string, instrument: InstrumentSettings, known: KnownParts, blame: Blame): void => {
  const names = known.drivers.map((driver) => driver.name);
  blame(["instruments", name, "driver"], {
    code: "unknown-name",
    message: `There is no driver ${instrument.driver}.`,
    remedy: `${didYouMean(instrument.driver, names)}Drivers are ${listed(names)}.`,
  });
};

const checkProfile = (
  name: string,
  instrument: InstrumentSettings,
  driver: KnownDriver,
  known: KnownParts,
  blame: Blame,
): void => {
  const path = ["instruments", name, "profile"];
  const fitting = known.profiles.filter((each) => each.kind === undefined || each.kind === driver.profile);
  const names = fitting.flatMap(({ name: each, role }) => (ROLES_OF_PROFILE[role] === undefined ? [] : [each]));
  if (driver.profile === undefined) {
    if (instrument.profile === undefined) return;
    blame(path, {
      code: "contradiction",
      at: "key",
      message: `The driver ${driver.name} takes no profile.`,
      remedy: "Leave profile out, or choose the driver that takes it.",
    });
  } else if (instrument.profile === undefined) {
    blame(path, {
      code: "missing-key",
      message: `${name} has no profile, and the driver ${driver.name} cannot work without one.`,
      remedy: `Add profile: with one of ${listed(names)}.`,
    });
  } else if (!known.profiles.some((each) => each.name === instrument.profile)) {
    blame(path, {
      code: "unknown-name",
      message: `There is no profile ${instrument.profile}.`,
      remedy: `${didYouMean(instrument.profile, names)}Profiles for ${driver.name} are ${listed(names)}.`,
    });
  } else if (!fitting.some((each) => each.name === instrument.profile)) {
    blame(path, {
      code: "wrong-role",
      message: `The profile ${instrument.profile} is not made of ${driver.profile}, which the driver ${driver.name} needs.`,
      remedy: `Profiles for ${driver.name} are ${listed(names)}.`,
    });
  }
};

const checkLink = (
  name: string,
  instrument: InstrumentSettings,
  driver: KnownDriver,
  bench: BenchFile,
  blame: Blame,
): void => {
  const path = ["instruments", name];
  const links = Object.keys(bench.links);
  if (driver.needs === "none") {
    if (instrument.link !== undefined) {
      blame([...path, "link"], {
        code: "contradiction",
        at: "key",
        message: `The driver ${driver.name} works without a link.`,
        remedy: "Leave link and address out.",
      });
    }
    return;
  }
  if (instrument.link === undefined) {
    blame([...path, "link"], {
      code: "missing-key",
      message: `${name} hangs on no link, and the driver ${driver.name} needs one.`,
      remedy: `Add link: with one of ${listed(links)}.`,
    });
    return;
  }
  const link = bench.links[instrument.link];
  if (link === undefined) {
    const users = Object.entries(bench.instruments).flatMap(([each, { link: used }]) =>
      used === instrument.link ? [each] : [],
    );
    if (users[0] !== name) return;
    blame([...path, "link"], {
      code: "unknown-name",
      message: `There is no link ${instrument.link}, on which ${users.join(", ")} should hang.`,
      remedy: `${didYouMean(instrument.link, links)}Links of this bench are ${listed(links)}.`,
    });
  } else if (driver.addressed === true && instrument.address === undefined) {
    blame([...path, "address"], {
      code: "missing-key",
      message: `${name} has no address, and several instruments may share its link.`,
      remedy: "Add address: with the unit address that is set on the instrument, 1 to 247.",
    });
  } else if (driver.addressed !== true && instrument.address !== undefined) {
    blame([...path, "address"], {
      code: "contradiction",
      at: "key",
      message: `The driver ${driver.name} knows no addresses; its instrument has the link to itself.`,
      remedy: "Leave address out.",
    });
  } else if (link.kind === "serial" && (instrument.address ?? 1) > 247) {
    blame([...path, "address"], {
      code: "bad-value",
      message: `Address ${instrument.address} cannot be used on a serial line.`,
      remedy: "Write the address that is set on the instrument, 1 to 247.",
    });
  }
};

/** Two instruments that would answer to the same call. */
const checkSharing = (bench: BenchFile, blame: Blame): void => {
  const seen = new Map<string, string>();
  for (const [name, { link, address }] of Object.entries(bench.instruments)) {
    if (link === undefined || bench.links[link] === undefined) continue;
    const call = `${link} ${address ?? ""}`;
    const other = seen.get(call);
    if (other === undefined) {
      seen.set(call, name);
    } else if (address === undefined) {
      blame(["instruments", name, "link"], {
        code: "contradiction",
        message: `${name} and ${other} share the link ${link}, and neither has an address.`,
        remedy: "Give each its own link.",
      });
    } else {
      blame(["instruments", name, "address"], {
        code: "contradiction",
        message: `${name} and ${other} have the same address ${address} on the link ${link}.`,
        remedy: "Set another address on one of the instruments and write it here.",
      });
    }
  }
};

/** Driver, profile, link, address, ranges and certificates of every instrument. */
export const checkInstruments = (bench: BenchFile, known: KnownParts, blame: Blame): void => {
  for (const [name, instrument] of Object.entries(bench.instruments)) {
    const driver = known.drivers.find((each) => each.name === instrument.driver);
    if (driver === undefined) {
      checkDriver(name, instrument, known, blame);
    } else {
      checkProfile(name, instrument, driver, known, blame);
      checkLink(name, instrument, driver, bench, blame);
    }
    checkMeasured(["instruments", name], instrument, blame);
  }
  checkSharing(bench, blame);
};
