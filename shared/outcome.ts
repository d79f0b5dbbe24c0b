/** An expected failure is a value: `error` is a readonly record with a `code` and the facts, never a sentence. */
export type Outcome<T, E> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly error: E };

export const done = <T>(value: T): { ok: true; value: T } => ({ ok: true, value });
export const failed = <E>(error: E): { ok: false; error: E } => ({ ok: false, error });
