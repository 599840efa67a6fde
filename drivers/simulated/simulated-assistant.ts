import { catchError, defer, from, map, type Observable, of, type SchedulerLike, switchMap, timer } from "rxjs";
import type { ActRequest, Assistant } from "../../src/ports/assistant.ts";
import type { SimulatedBench } from "./simulated-bench.ts";

/** Time that a hand takes at a regulator or a valve, s on the scheduler. */
const HAND_S = 5;

/** What a simulated bench can be asked to do: set the regulator, close or open the valve. Resolves when it is done. */
export interface SimulatedMeans {
  setSupply(supply_kPa: number): Promise<unknown> | undefined;
  isolate(closed: boolean): Promise<unknown> | undefined;
}

const doing = (means: SimulatedMeans, request: ActRequest): Promise<unknown> | undefined => {
  if (request.kind === "set-supply" && request.supply_kPa !== undefined) return means.setSupply(request.supply_kPa);
  if (request.kind === "close-valve") return means.isolate(true);
  if (request.kind === "open-valve") return means.isolate(false);
  // The simulated unit feels neither its mounting nor a change of line: what is asked is taken for done.
  return undefined;
};

/** A helper at the simulated bench, through whatever means reach it. */
export const createServiceAssistant = (means: SimulatedMeans, scheduler: SchedulerLike): Assistant => ({
  act: (request): Observable<"done" | "declined"> =>
    // The simulated unit is what its file says.
    request.kind === "confirm"
      ? of("done")
      : timer(HAND_S * 1000, scheduler).pipe(
          switchMap(() => defer(() => from(doing(means, request) ?? of(null)))),
          map((): "done" => "done"),
          catchError(() => of<"declined">("declined")),
        ),
});

/** A helper straight at the model, for benches without bytes. Everything happens within the call. */
export const createVirtualAssistant = (model: SimulatedBench, scheduler: SchedulerLike): Assistant =>
  createServiceAssistant(
    {
      setSupply: (supply_kPa) => {
        model.supply.set(supply_kPa);
        return undefined;
      },
      isolate: (closed) => {
        model.plant.isolate(closed);
        return undefined;
      },
    },
    scheduler,
  );
