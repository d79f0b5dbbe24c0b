/** A count and its noun, in the singular where it is one. */
export const many = (count: number, one: string, more = `${one}s`): string => `${count} ${count === 1 ? one : more}`;
