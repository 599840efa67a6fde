/** Where the definitions come from. A definition that was recalled and not read in the standard says so. */
export const ISA_51_1 = "ANSI/ISA-51.1-1979 (R1993); wording recalled, not read in the standard";
export const ISA_51_1_READ = "ANSI/ISA-51.1-1979 (R1993), accuracy terms";
export const IEC_61298_2 = "IEC 61298-2, clause 4; wording recalled, not read in the standard";
export const CFR_3175_135 = "43 CFR 3175.135(a)";
export const DKD_R_6_1 = "DKD-R 6-1; formula recalled, not read in the guideline";
export const STATIC_ERROR_BAND = "Wheeler and Ganji, static error band, as worked in open curve-fitting test data";
export const RETURN_TO_ZERO = "return-to-zero as defined for load-cell data after Wheeler and Ganji";
export const LEAST_SQUARES = "Gauss, least squares; arithmetic checked against the NIST StRD certified values";
export const LINEAR_INSTRUMENT = "Kuphaldt, Lessons in Industrial Instrumentation (CC BY), zero and span errors";
