/** What a person is asked to do at an instrument that is worked by hand. */
export interface HandQuestion {
  /** Name of the instrument in the bench file. */
  readonly instrument: string;
  /** What to do and what to type, in plain sentences. */
  readonly text: string;
  /** An example of a good answer, such as `60.05 kPa`. */
  readonly example: string;
}

/**
 * Asks the person at the bench. Only one question is shown at a time. The answer is the text as typed; `null` when the
 * person gives up or the question is called off through `signal`. Never rejects.
 */
export interface Prompter {
  ask(question: HandQuestion, signal: AbortSignal): Promise<string | null>;
}
