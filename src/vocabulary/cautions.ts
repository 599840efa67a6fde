/**
 * The usual cautions of a compressed-air bench, in the order in which they matter at the bench. They defer to local codes.
 * Sources: 29 CFR 1910.147(d)(5) (stored energy), 29 CFR 1910.242(b) (never at people), ISO 4414:2010 5.1-5.2 (ratings,
 * restrained hoses); eye protection and the order of work are common practice, no source.
 */
export const CAUTIONS: readonly string[] = [
  "Compressed air injures: wear eye protection, and never point air at a person.",
  "Hose, fittings, gauge and unit must be rated above the supply; regulator and relief valve set below the lowest-rated part.",
  "Restrain hoses whose failure would be dangerous, and make sure that nothing driven by this output can move.",
  "Before opening a fitting: shut the supply, vent, and see the gauge stand at zero; relieve stored pressure and keep it relieved.",
  "Turn the zero and span screws only.",
  "Local codes, the maker's instructions and licensed practice come before anything this program says.",
];
