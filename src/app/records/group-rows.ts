/** Rows by one of their texts, each group in the order of its rows. */
export const groupRows = <T>(rows: readonly T[], by: (row: T) => string): ReadonlyMap<string, readonly T[]> => {
  const groups = new Map<string, T[]>();
  for (const row of rows) {
    const group = groups.get(by(row));
    if (group === undefined) groups.set(by(row), [row]);
    else group.push(row);
  }
  return groups;
};
