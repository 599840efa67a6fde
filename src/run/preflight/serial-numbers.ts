import { failed, look, passed } from "./check.ts";

/** Swapped adapters and exchanged instruments show as a wrong serial number. */
export const serialNumbers = look("serial-numbers", ({ context, instruments }) => {
  const expected = new Map(context.request.preflight.instruments.map((i) => [i.name, i.serial_number]));
  const wrong = instruments.flatMap(({ name, identity }) => {
    const wanted = expected.get(name);
    return identity.ok && wanted !== undefined && wanted !== identity.value.serial_number
      ? [`${name} says ${identity.value.serial_number}, the bench file says ${wanted}`]
      : [];
  });
  return wrong.length === 0
    ? passed("serial numbers agree with the bench file")
    : failed(
        wrong.join("; "),
        "The certificate would name another instrument than the one that measured.",
        "Connect the instruments the bench file names, or correct the file; look for swapped adapters.",
      );
});
