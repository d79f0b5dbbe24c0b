/** The solid-modelling kernel, manifold-3d: loaded once, and only when bodies have to be joined. Its objects must be `.delete()`d. */
import Module, { type ManifoldToplevel } from 'manifold-3d';

let loading: Promise<ManifoldToplevel> | null = null;

/** Runs in Node and in a web worker alike. */
export function kernel(): Promise<ManifoldToplevel> {
  loading ??= Module().then((top) => {
    top.setup();
    return top;
  });
  return loading;
}
