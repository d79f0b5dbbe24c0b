/** What every mesh reader gives: triangles as the file says them, in the file's unit. */
export interface MeshSoup {
  readonly format: 'stl-binary' | 'stl-ascii' | 'obj' | '3mf';
  /** Corners xyz as stored, file units, finite; shape (9·nTriangles) */
  readonly corners: Float64Array;
  /** The unit the file states of itself; null where its kind has none. */
  readonly unit: { readonly name: string; readonly toMetre: number } | null;
  readonly notices: readonly string[];
}
