import fc from 'fast-check';
import { expect, test } from 'vitest';
import { overlaps, placeLabels } from '../../renderer/view/label-layout.ts';

const area = { x: 0, y: 0, width: 800, height: 500 };
const wish = fc.record({
  anchorX: fc.integer({ min: -50, max: 850 }),
  anchorY: fc.integer({ min: -50, max: 550 }),
  width: fc.integer({ min: 40, max: 220 }),
  height: fc.integer({ min: 20, max: 44 }),
});

test('placeLabels: no two overlap, none leaves the area, none covers what is kept (300 crowds of up to 40)', () => {
  const kept = [{ x: 0, y: 400, width: 120, height: 100 }];
  fc.assert(
    fc.property(fc.array(wish, { maxLength: 40 }), (wishes) => {
      const boxes = placeLabels(wishes, area, kept).filter((box) => box !== null);
      const inside = boxes.every((box) => box.x >= 0 && box.y >= 0 && box.x + box.width <= 800 && box.y + box.height <= 500);
      const apart = boxes.every((box, i) => !overlaps(box, kept[0]!) && boxes.every((other, j) => i === j || !overlaps(box, other)));
      return inside && apart;
    }),
    { seed: 32, numRuns: 300 },
  );
});

test('placeLabels: a lone label in the middle finds a place, and off the drawing when there is room beside it', () => {
  const lone = { anchorX: 400, anchorY: 250, width: 100, height: 30 };
  const drawing = { x: 350, y: 200, width: 100, height: 100 };
  const [box] = placeLabels([lone], area, [], [drawing]);
  expect(box).not.toBeNull();
  expect(overlaps(box!, { ...drawing, x: drawing.x + 5, y: drawing.y + 5, width: 90, height: 90 })).toBe(false);
});

test('placeLabels: where nothing is free there is no label, rather than one on top of another', () => {
  const small = { x: 0, y: 0, width: 120, height: 60 };
  const wishes = [1, 2, 3].map(() => ({ anchorX: 60, anchorY: 30, width: 110, height: 40 }));
  expect(placeLabels(wishes, small)).toEqual([null, null, null]);
});

test('overlaps: sees an overlap, and does not see one across a gap', () => {
  expect(overlaps({ x: 0, y: 0, width: 10, height: 10 }, { x: 9, y: 9, width: 10, height: 10 })).toBe(true);
  expect(overlaps({ x: 0, y: 0, width: 10, height: 10 }, { x: 30, y: 0, width: 10, height: 10 })).toBe(false);
});
