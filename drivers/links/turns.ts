/** Waiting work, given out in turns: one piece for each owner that has any, then the next round. */
export interface Turns<O, J> {
  add(owner: O, job: J): void;
  /** The job whose turn it is, taken off. */
  next(): J | null;
  remove(owner: O, job: J): void;
  /** Takes everything off, of one owner or of all. */
  drain(owner?: O): readonly J[];
  readonly waiting: number;
}

export const fairTurns = <O, J>(): Turns<O, J> => {
  // A Map keeps the order of insertion: an owner that had its turn goes to the end.
  const queues = new Map<O, J[]>();
  return {
    get waiting() {
      let sum = 0;
      for (const queue of queues.values()) sum += queue.length;
      return sum;
    },
    add: (owner, job) => {
      const queue = queues.get(owner);
      if (queue === undefined) queues.set(owner, [job]);
      else queue.push(job);
    },
    next: () => {
      for (const [owner, queue] of queues) {
        const job = queue.shift();
        queues.delete(owner);
        if (job === undefined) continue;
        if (queue.length > 0) queues.set(owner, queue);
        return job;
      }
      return null;
    },
    remove: (owner, job) => {
      const queue = queues.get(owner);
      const index = queue?.indexOf(job) ?? -1;
      if (queue !== undefined && index >= 0) queue.splice(index, 1);
    },
    drain: (owner) => {
      if (owner !== undefined) {
        const jobs = queues.get(owner) ?? [];
        queues.delete(owner);
        return jobs;
      }
      const jobs = [...queues.values()].flat();
      queues.clear();
      return jobs;
    },
  };
};
