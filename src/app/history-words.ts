/** Words and checks of the history that the options of commands need. */
export { isDay } from "../history/calendar-days.ts";
export { METHODS, type MethodId } from "../history/methods/proposal.ts";
