/** The second half of a field: regions and their links become arcs, a pool's lives between two saddles. */
import type { Regions } from './regions.ts';

/** Arcs in the making; a list per property, indexed by arc. An arc without a parent and `isGone` is part of another. */
export interface JoinTree {
  readonly parent: number[];
  readonly children: number[][];
  readonly birth: number[];
  readonly death: number[];
  /** Vertex where the arc joins its neighbour, −1 where it never does. */
  readonly saddle: number[];
  /** Lowest vertex under the arc. */
  readonly lowest: number[];
  /** Arc each region begins in. */
  readonly arcOfRegion: Int32Array;
  root: number;
}

/**
 * @param sameHeight - m; a pool no deeper than this is a level floor seen through ties, and was never apart
 * @returns parts before wholes, each arc's parts numbered in one run up to it, lowest low point first
 */
export function joinTree({ pits, regionOf, links }: Regions, heights: Float64Array, sameHeight: number): JoinTree {
  const tree: JoinTree = {
    parent: [],
    children: [],
    birth: [],
    death: [],
    saddle: [],
    lowest: [],
    arcOfRegion: Int32Array.from(pits, (_, region) => region),
    root: 0,
  };
  const { parent, children, birth, death, saddle, lowest, arcOfRegion } = tree;
  const bornOver: number[] = [];
  const open = (over: number, parts: number[], low: number): number => {
    parent.push(-1);
    children.push(parts);
    birth.push(heights[over]);
    death.push(Number.POSITIVE_INFINITY);
    saddle.push(-1);
    lowest.push(low);
    bornOver.push(parts.length === 0 ? -1 : over);
    return parent.length - 1;
  };
  for (const pit of pits) open(pit, [], pit);
  const top = Int32Array.from(pits, (_, region) => region); // union-find over regions
  const held = Int32Array.from(pits, (_, region) => region); // the arc that holds a set of regions, by its top
  const partOf: number[] = []; // where a level floor's pit went
  const find = (region: number): number => {
    while (top[region] !== region) region = top[region] = top[top[region]];
    return region;
  };
  const isLower = (a: number, b: number): boolean =>
    heights[lowest[a]] < heights[lowest[b]] || (heights[lowest[a]] === heights[lowest[b]] && lowest[a] < lowest[b]);
  const hang = (arc: number, under: number, over: number): void => {
    parent[arc] = under;
    death[arc] = heights[over];
    saddle[arc] = over;
  };
  /** Both now live in one arc, which this returns. */
  const join = (low: number, high: number, over: number): number => {
    if (heights[over] - heights[lowest[high]] <= sameHeight) {
      partOf[high] = low;
      return low;
    }
    if (bornOver[low] === over || bornOver[high] === over) {
      // Three or more meet at one saddle: they are parts of one arc, not of a chain.
      const into = bornOver[low] === over ? low : high;
      const other = into === low ? high : low;
      const isBoth = bornOver[other] === over;
      for (const part of isBoth ? children[other] : [other]) {
        children[into].push(part);
        hang(part, into, over);
      }
      lowest[into] = lowest[low];
      return into;
    }
    const joined = open(over, [low, high], lowest[low]);
    hang(low, joined, over);
    hang(high, joined, over);
    return joined;
  };
  for (const { a, b, over } of links) {
    const ra = find(a);
    const rb = find(b);
    if (ra === rb) continue;
    const [arcA, arcB] = [held[ra], held[rb]];
    const arc = isLower(arcA, arcB) ? join(arcA, arcB, over) : join(arcB, arcA, over);
    top[rb] = ra;
    held[ra] = arc;
  }

  const roots = [...new Set(pits.map((_, region) => held[find(region)]))].sort((a, b) => (isLower(a, b) ? -1 : 1));
  closeRoots(roots, tree, heights, (v) => held[find(regionOf[v])]);
  tree.root = roots[0];
  if (roots.length > 1) {
    const highest = roots.reduce((most, arc) => (death[arc] > death[most] ? arc : most));
    tree.root = open(lowest[roots[0]], roots, lowest[roots[0]]);
    birth[tree.root] = death[tree.root] = death[highest];
    for (const arc of roots) parent[arc] = tree.root;
  }
  for (let region = 0; region < pits.length; region++) {
    while (partOf[arcOfRegion[region]] !== undefined) arcOfRegion[region] = partOf[arcOfRegion[region]];
  }
  for (const parts of children) if (parts.length > 1) parts.sort((a, b) => (isLower(a, b) ? -1 : 1));
  return numberPartsFirst(tree);
}

/** What joins nothing more ends at its own top. */
function closeRoots(roots: readonly number[], { death }: JoinTree, heights: Float64Array, rootOf: (vertex: number) => number): void {
  for (const root of roots) death[root] = Number.NEGATIVE_INFINITY;
  for (let v = 0; v < heights.length; v++) {
    const root = roots.length === 1 ? roots[0] : rootOf(v);
    if (heights[v] > death[root]) death[root] = heights[v];
  }
}

/** Renumbers a tree so that the arcs under any arc make one run that ends with it; arcs that cannot be reached from the root fall away. */
export function numberPartsFirst(tree: JoinTree): JoinTree & { readonly renumbered: Int32Array } {
  const backwards: number[] = [];
  const stack = [tree.root];
  while (stack.length > 0) {
    const arc = stack.pop()!;
    backwards.push(arc);
    stack.push(...tree.children[arc]);
  }
  const order = backwards.reverse();
  const renumbered = new Int32Array(tree.parent.length).fill(-1);
  order.forEach((arc, i) => {
    renumbered[arc] = i;
  });
  const pick = (list: readonly number[]): number[] => order.map((arc) => list[arc]);
  return {
    parent: order.map((arc) => (arc === tree.root ? -1 : renumbered[tree.parent[arc]])),
    children: order.map((arc) => tree.children[arc].map((part) => renumbered[part])),
    birth: pick(tree.birth),
    death: pick(tree.death),
    saddle: pick(tree.saddle),
    lowest: pick(tree.lowest),
    arcOfRegion: tree.arcOfRegion.map((arc) => renumbered[arc]),
    root: order.length - 1,
    renumbered,
  };
}
