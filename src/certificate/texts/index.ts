import type { Language } from "../print-number.ts";
import { de } from "./de.ts";
import { en, type Texts } from "./en.ts";

const TEXTS: Readonly<Record<Language, Texts>> = { en, de };

export const textsFor = (language: Language): Texts => TEXTS[language];
