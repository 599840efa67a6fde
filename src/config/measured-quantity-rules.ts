import type { InstrumentSettings } from "./bench-file.schema.ts";
import type { FilePath } from "./file-fault.ts";
import type { Blame } from "./read-file.ts";

const QUANTITIES = ["pressure", "current", "temperature", "humidity", "air_pressure"] as const;

/** A range, resolution and certificate with the dimension taken out, so that one set of rules serves all quantities. */
interface Bare {
  readonly quantity: (typeof QUANTITIES)[number];
  readonly lower: { readonly value: number; readonly text: string };
  readonly upper: { readonly value: number; readonly text: string };
  readonly resolution: { readonly value: number; readonly text: string } | undefined;
  readonly certificate:
    | {
        readonly date: string;
        readonly due: string;
        readonly U: { readonly value: number; readonly text: string };
        readonly at: readonly { readonly value: number; readonly text: string }[];
      }
    | undefined;
}

type Written =
  | { readonly kPa: number; readonly text: string }
  | { readonly mA: number; readonly text: string }
  | { readonly degC: number; readonly text: string }
  | { readonly K: number; readonly text: string }
  | { readonly percentRH: number; readonly text: string }
  | { readonly percent: number; readonly text: string };

const number = (written: Written): { readonly value: number; readonly text: string } => {
  const { text } = written;
  if ("kPa" in written) return { value: written.kPa, text };
  if ("mA" in written) return { value: written.mA, text };
  if ("degC" in written) return { value: written.degC, text };
  if ("percentRH" in written) return { value: written.percentRH, text };
  return { value: "K" in written ? written.K : written.percent, text };
};

const bareOf = (instrument: InstrumentSettings): readonly Bare[] =>
  QUANTITIES.flatMap((quantity) => {
    const measured = instrument[quantity];
    if (measured === undefined) return [];
    const { lower, upper, resolution, certificate } = measured;
    return [
      {
        quantity,
        lower: number(lower),
        upper: number(upper),
        resolution: resolution === undefined ? undefined : number(resolution),
        certificate:
          certificate === undefined
            ? undefined
            : {
                date: certificate.date,
                due: certificate.due,
                U: number(certificate.U),
                at: certificate.corrections.map(({ at }) => number(at)),
              },
      },
    ];
  });

const checkCertificate = (path: FilePath, certificate: NonNullable<Bare["certificate"]>, blame: Blame): void => {
  if (certificate.due < certificate.date) {
    blame([...path, "due"], {
      code: "contradiction",
      message: `The certificate runs out on ${certificate.due}, before its date ${certificate.date}.`,
      remedy: "Check year and month of date and due.",
    });
  }
  if (certificate.U.value <= 0) {
    blame([...path, "U"], {
      code: "bad-value",
      message: `U is ${certificate.U.text}, but no uncertainty is zero or less.`,
      remedy: "Write the expanded uncertainty from the certificate, with the k that belongs to it.",
    });
  }
  certificate.at.forEach((point, index) => {
    const before = certificate.at[index - 1];
    if (before === undefined || point.value > before.value) return;
    blame([...path, "corrections", index, "at"], {
      code: "contradiction",
      message: `The correction at ${point.text} follows the one at ${before.text}.`,
      remedy: "List the corrections in rising order, each indication once.",
    });
  });
};

type Size = readonly [path: FilePath, value: number, text: string];

const size = (path: FilePath, written: Written | undefined): readonly Size[] => {
  if (written === undefined) return [];
  const { value, text } = number(written);
  return [[path, value, text]];
};

/** Limits that go into the uncertainty are sizes: zero or a minus sign says that something else was meant. */
const checkLimits = (path: FilePath, instrument: InstrumentSettings, blame: Blame): void => {
  const { pressure, current } = instrument;
  const sizes = [
    ...(["pressure", "current"] as const).flatMap((quantity) => {
      const { drift, temperature_effect: effect } = (quantity === "pressure" ? pressure : current) ?? {};
      const here = [...path, quantity];
      return [
        ...size([...here, "drift", "limit"], drift?.limit),
        ...size([...here, "temperature_effect", "per_kelvin"], effect?.per_kelvin),
        ...size([...here, "temperature_effect", "difference"], effect?.difference),
      ];
    }),
    ...(["hysteresis", "position_effect", "zero_drift"] as const).flatMap((key) =>
      size([...path, "pressure", key], pressure?.[key]),
    ),
    ...size([...path, "pressure", "dial", "division"], pressure?.dial?.division),
  ];
  for (const [at, value, text] of sizes) {
    if (value > 0) continue;
    blame(at, {
      code: "bad-value",
      message: `${at.slice(-2).join(".")} is ${text}, but it has to be above zero.`,
      remedy: "Write the largest effect without a sign, or leave the key out.",
    });
  }
};

/** Range, resolution and certificate of everything an instrument measures or drives. */
export const checkMeasured = (path: FilePath, instrument: InstrumentSettings, blame: Blame): void => {
  for (const bare of bareOf(instrument)) {
    const here = [...path, bare.quantity];
    if (bare.upper.value <= bare.lower.value) {
      blame([...here, "upper"], {
        code: "contradiction",
        message: `The range ends at ${bare.upper.text}, which is not above its lower end ${bare.lower.text}.`,
        remedy: "Write the lower end first and check both units.",
      });
    }
    if (bare.resolution !== undefined && bare.resolution.value <= 0) {
      blame([...here, "resolution"], {
        code: "bad-value",
        message: `The resolution is ${bare.resolution.text}, but a display digit is above zero.`,
        remedy: "Write the smallest step that the display shows, or leave the key out.",
      });
    }
    if (bare.certificate !== undefined) checkCertificate([...here, "certificate"], bare.certificate, blame);
  }
  checkLimits(path, instrument, blame);
};
