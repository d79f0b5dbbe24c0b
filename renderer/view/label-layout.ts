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
const DISTANCES = [22, 44, 72, 108, 150, 200];
/** Right and left first: words beside a point read best. */
const DIRECTIONS = [
  [1, -0.5],
  [-1, -0.5],
  [1, 0.5],
  [-1, 0.5],
  [0.3, -1],
  [-0.3, -1],
  [0.3, 1],
  [-0.3, 1],
] as const;

/**
 * @param wishes - most important first
 * @param area - labels stay inside it
 * @param kept - boxes that no label may cover
 * @returns a box for each wish, null where no free place was found
 */
export function placeLabels(wishes: readonly LabelWish[], area: Box, kept: readonly Box[] = []): (Box | null)[] {
  const taken: Box[] = [...kept, ...wishes.map(({ anchorX, anchorY }) => ({ x: anchorX - 7, y: anchorY - 7, width: 14, height: 14 }))];
  return wishes.map((wish) => {
    const place = candidates(wish).find((box) => isInside(box, area) && !taken.some((other) => overlaps(box, other)));
    if (place === undefined) return null;
    taken.push(place);
    return place;
  });
}

function candidates({ anchorX, anchorY, width, height }: LabelWish): Box[] {
  return DISTANCES.flatMap((distance) =>
    DIRECTIONS.map(([dx, dy]) => ({
      x: anchorX + dx * distance - (dx > 0.5 ? 0 : dx < -0.5 ? width : width / 2),
      y: anchorY + dy * distance - (dy > 0.9 ? 0 : dy < -0.9 ? height : height / 2),
      width,
      height,
    })),
  );
}

function isInside(box: Box, area: Box): boolean {
  return box.x >= area.x && box.y >= area.y && box.x + box.width <= area.x + area.width && box.y + box.height <= area.y + area.height;
}

export function overlaps(a: Box, b: Box): boolean {
  return a.x < b.x + b.width + GAP && b.x < a.x + a.width + GAP && a.y < b.y + b.height + GAP && b.y < a.y + a.height + GAP;
}
