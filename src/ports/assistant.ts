import type { Observable } from "rxjs";

/** What a run asks to be done, or compared, by hand: the act as data for a bench that can do it, and in words for a person. */
export interface ActRequest {
  readonly kind: "confirm" | "set-supply" | "close-valve" | "open-valve" | "mount" | "change-line";
  readonly supply_kPa?: number;
  readonly words: string;
}

/** Whoever sets regulators, closes valves and mounts units: a person who is asked, or a simulated bench. Emits once. */
export interface Assistant {
  act(request: ActRequest): Observable<"done" | "declined">;
}
