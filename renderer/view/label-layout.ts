/** Where labels go so that none covers another: greedy in order of importance, each near its own anchor. Screen pixels, y down. */

export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface LabelWish {
  readonly anchorX: number;
  readonly anchorY: number;
  readonly width: number;
  readonly height: number;
}

const GAP = 4;
const DISTANCES = [20, 34, 52, 76, 106, 142, 186, 240, 300];
/** Sixteen ways out, right first. */
const DIRECTIONS = Array.from({ length: 16 }, (_, i) => [Math.cos((i * Math.PI) / 8), -Math.sin((i * Math.PI) / 8)] as const);
/** Lying wholly on the drawing costs as much as this many pixels of leader line. */
const COVERING = 160;
/** So does each leader line that is crossed, and each label that a leader line would run under. */
const CROSSING = 70;

/**
 * @param wishes - most important first
 * @param area - labels stay inside it
 * @param kept - boxes that no label may cover
 * @param drawing - where the drawing itself lies; labels keep off it where there is room beside it
 * @returns a box for each wish, null where no free place was found
 */
export function placeLabels(
  wishes: readonly LabelWish[],
  area: Box,
  kept: readonly Box[] = [],
  drawing: readonly Box[] = [],
): (Box | null)[] {
  const taken: Box[] = [...kept, ...wishes.map(({ anchorX, anchorY }) => ({ x: anchorX - 7, y: anchorY - 7, width: 14, height: 14 }))];
  const placed: Box[] = [];
  const leaders: Leader[] = [];
  return wishes.map((wish) => {
    const from = { x: wish.anchorX, y: wish.anchorY };
    let best: Box | null = null;
    let least = Number.POSITIVE_INFINITY;
    for (const distance of DISTANCES) {
      if (distance >= least) break;
      for (const direction of DIRECTIONS) {
        const box = boxAt(wish, direction, distance);
        const plain = distance + COVERING * shareCovered(box, drawing);
        if (plain >= least || !isInside(box, area) || taken.some((other) => overlaps(box, other))) continue;
        const leader = { from, to: nearestPoint(box, from) };
        const nCrossed = leaders.filter((other) => cross(leader, other)).length + placed.filter((other) => runsUnder(leader, other)).length;
        const cost = plain + CROSSING * nCrossed;
        if (cost >= least) continue;
        best = box;
        least = cost;
      }
    }
    if (best !== null) {
      taken.push(best);
      placed.push(best);
      leaders.push({ from, to: nearestPoint(best, from) });
    }
    return best;
  });
}

/** The label touches the end of a leader line of that length with the side that faces the anchor. */
function boxAt({ anchorX, anchorY, width, height }: LabelWish, [dx, dy]: readonly [number, number], distance: number): Box {
  return { x: anchorX + dx * distance + ((dx - 1) * width) / 2, y: anchorY + dy * distance + ((dy - 1) * height) / 2, width, height };
}

interface Spot {
  readonly x: number;
  readonly y: number;
}
interface Leader {
  readonly from: Spot;
  readonly to: Spot;
}

/** Where a leader line meets its label. */
export function nearestPoint(box: Box, { x, y }: Spot): Spot {
  return { x: Math.min(Math.max(x, box.x), box.x + box.width), y: Math.min(Math.max(y, box.y), box.y + box.height) };
}

const side = (a: Spot, b: Spot, c: Spot): number => Math.sign((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x));

function cross(one: Leader, other: Leader): boolean {
  return (
    side(one.from, one.to, other.from) * side(one.from, one.to, other.to) < 0 &&
    side(other.from, other.to, one.from) * side(other.from, other.to, one.to) < 0
  );
}

function runsUnder(leader: Leader, { x, y, width, height }: Box): boolean {
  const [a, b, c, d] = [
    { x, y },
    { x: x + width, y },
    { x: x + width, y: y + height },
    { x, y: y + height },
  ] as const;
  return cross(leader, { from: a, to: c }) || cross(leader, { from: b, to: d });
}

function isInside(box: Box, area: Box): boolean {
  return box.x >= area.x && box.y >= area.y && box.x + box.width <= area.x + area.width && box.y + box.height <= area.y + area.height;
}

export function overlaps(a: Box, b: Box): boolean {
  return a.x < b.x + b.width + GAP && b.x < a.x + a.width + GAP && a.y < b.y + b.height + GAP && b.y < a.y + a.height + GAP;
}

function shareCovered(box: Box, drawing: readonly Box[]): number {
  let covered = 0;
  for (const other of drawing) {
    const width = Math.min(box.x + box.width, other.x + other.width) - Math.max(box.x, other.x);
    const height = Math.min(box.y + box.height, other.y + other.height) - Math.max(box.y, other.y);
    if (width > 0 && height > 0) covered += width * height;
  }
  return Math.min(1, covered / (box.width * box.height));
}
