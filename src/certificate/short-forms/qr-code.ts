import qrcode from "qrcode-generator";

/** Rows of dark and light modules, without the quiet zone of four modules that has to stay white around them. */
export const qrModules = (text: string): readonly (readonly boolean[])[] => {
  const code = qrcode(0, "M");
  code.addData(text, "Byte");
  code.make();
  const n = code.getModuleCount();
  return Array.from({ length: n }, (_, row) => Array.from({ length: n }, (_, column) => code.isDark(row, column)));
};

export const QUIET_ZONE = 4;
