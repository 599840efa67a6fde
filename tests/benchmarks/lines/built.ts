/**
 * The program as it is built, since that is what a user runs: the runner of TypeScript wraps each inner function, which
 * costs a link about a third of its own time.
 */
const built = (path: string): string => new URL(`../../../dist/drivers/${path}.js`, import.meta.url).href;

export const { makeLinkTo } = (await import(
  built("links/make-link-to")
)) as typeof import("../../../drivers/links/make-link-to.ts");
export const { makeLink } = (await import(
  built("links/make-link")
)) as typeof import("../../../drivers/links/make-link.ts");
export const { wallTimers } = (await import(
  built("links/wall-timers")
)) as typeof import("../../../drivers/links/wall-timers.ts");
export const { openInstrument } = (await import(built("registry"))) as typeof import("../../../drivers/registry.ts");
export const { readProfile } = (await import(
  built("profiles/read-profile")
)) as typeof import("../../../drivers/profiles/read-profile.ts");
