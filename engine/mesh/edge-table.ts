/**
 * Which triangles meet at which edge, however many they are. Half-edge 3t+k runs from corner k of triangle t to the next corner.
 */
export interface EdgeTable {
  readonly nEdges: number;
  /** Edge of each half-edge. */
  readonly edgeOf: Uint32Array;
  /** Half-edges of edge e: `halfEdges[start[e]] … halfEdges[start[e+1]−1]`. */
  readonly start: Uint32Array;
  readonly halfEdges: Uint32Array;
}

export const nextHalfEdge = (h: number): number => (h % 3 === 2 ? h - 2 : h + 1);
export const previousHalfEdge = (h: number): number => (h % 3 === 0 ? h + 2 : h - 1);

/** Linear in the triangles, also around a vertex with very many of them. */
export function edgeTable(triangles: Uint32Array, nVertices: number): EdgeTable {
  const nHalf = triangles.length;
  const from = new Uint32Array(nVertices + 1);
  for (let h = 0; h < nHalf; h++) from[Math.min(triangles[h]!, triangles[nextHalfEdge(h)]!) + 1]!++;
  for (let v = 0; v < nVertices; v++) from[v + 1]! += from[v]!;
  const byLower = new Uint32Array(nHalf);
  const fill = from.slice(0, nVertices);
  for (let h = 0; h < nHalf; h++) byLower[fill[Math.min(triangles[h]!, triangles[nextHalfEdge(h)]!)]!++] = h;

  const edgeOf = new Uint32Array(nHalf);
  const seenFrom = new Int32Array(nVertices).fill(-1);
  const edgeTo = new Uint32Array(nVertices);
  let nEdges = 0;
  for (let v = 0; v < nVertices; v++) {
    for (let i = from[v]!; i < from[v + 1]!; i++) {
      const h = byLower[i]!;
      const other = Math.max(triangles[h]!, triangles[nextHalfEdge(h)]!);
      if (seenFrom[other] !== v) {
        seenFrom[other] = v;
        edgeTo[other] = nEdges++;
      }
      edgeOf[h] = edgeTo[other]!;
    }
  }
  const start = new Uint32Array(nEdges + 1);
  for (let h = 0; h < nHalf; h++) start[edgeOf[h]! + 1]!++;
  for (let e = 0; e < nEdges; e++) start[e + 1]! += start[e]!;
  const place = start.slice(0, nEdges);
  const halfEdges = new Uint32Array(nHalf);
  for (let h = 0; h < nHalf; h++) halfEdges[place[edgeOf[h]!]!++] = h;
  return { nEdges, edgeOf, start, halfEdges };
}

export const edgeDegree = (table: EdgeTable, edge: number): number => table.start[edge + 1]! - table.start[edge]!;

/** Whether every edge has exactly two triangles, in opposite directions. */
export function isClosedAndOriented(triangles: Uint32Array, table: EdgeTable): boolean {
  if (table.nEdges * 2 !== triangles.length) return false;
  for (let e = 0; e < table.nEdges; e++) {
    if (edgeDegree(table, e) !== 2) return false;
    const h = table.halfEdges[table.start[e]!]!;
    const g = table.halfEdges[table.start[e]! + 1]!;
    if (triangles[h] === triangles[g]) return false;
  }
  return true;
}
