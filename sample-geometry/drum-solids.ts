/** Fuel space of the aerobatic sample: a drum along the fuselage with dished ends, a baffle, two stiffening hoops and a sump. All in mm. */
import type { Manifold } from 'manifold-3d';
import { dish, type Hole, type Kernel, plate, post, revolve, revolveAlongX } from '../engine/shape/solids.ts';

/** The drum's own frame has its axis along X at Y 0, Z 0 and its middle at X 0. */
export const DRUM = { radius: 190, length: 480, dishDepth: 56, sides: 96 };
export const DRUM_AT = [1120, 0, 730] as const;
export const SUMP = { x: 150, radius: 36, bottom: -218, dishDepth: 10 };
/** Hoops inside the skin, with one limber hole each, turned off the bottom as no builder means it. */
export const HOOPS = [-130, 95] as const;
export const HOOP_HEIGHT = 12;
export const HOOP_LIMBER_TURN_DEG = 22;
/** Tube to the inverted pickup, and the tube of the vent, both upright. */
export const INVERTED_PICKUP = { x: 180, y: 45, radius: 8, mouth: 168 };
export const VENT = { x: -170, y: 30, radius: 6, mouth: 0 };

export function drum(kernel: Kernel): Manifold {
  const { radius, length, dishDepth, sides } = DRUM;
  const front = dish(radius, dishDepth, 12).map(([r, x]): [number, number] => [r, x - length / 2]);
  const rear = front.map(([r, x]): [number, number] => [r, -x]).reverse();
  const body = revolveAlongX(kernel, [...front, ...rear], sides);
  const bowl = dish(SUMP.radius, SUMP.dishDepth, 6).map(([r, z]): [number, number] => [r, z + SUMP.bottom + SUMP.dishDepth]);
  const sump = revolve(kernel, [...bowl, [SUMP.radius, -160], [0, -160]], 64).translate([SUMP.x, 0, 0]);
  const pickup = post(kernel, [INVERTED_PICKUP.x, INVERTED_PICKUP.y], INVERTED_PICKUP.radius, -250, INVERTED_PICKUP.mouth, 40);
  const vent = post(kernel, [VENT.x, VENT.y], VENT.radius, VENT.mouth, 250, 32);
  return body.add(sump).subtract(kernel.Manifold.union([baffle(kernel), ...HOOPS.map((x) => hoop(kernel, x)), pickup, vent]));
}

const PLATE = { min: [-260, -260] as [number, number], max: [260, 260] as [number, number] };

/** A bulkhead across the middle: five large holes, and four small ones open at the wall, at bottom, top and sides. */
function baffle(kernel: Kernel): Manifold {
  const large = [
    [0, 0],
    [105, 0],
    [-105, 0],
    [0, 105],
    [0, -105],
  ].map((centre): Hole => ({ centre: [centre[0], centre[1]], radius: 42, sides: 48 }));
  const small = [0, 90, 180, 270].map((turn): Hole => ({ centre: onWall(turn, DRUM.radius - 1), radius: 9, sides: 32 }));
  return plate(kernel, 'x', -0.75, { ...PLATE, thickness: 1.5 }, [...large, ...small]);
}

function hoop(kernel: Kernel, x: number): Manifold {
  const opening: Hole = { centre: [0, 0], radius: DRUM.radius - HOOP_HEIGHT, sides: DRUM.sides };
  const limber: Hole = { centre: onWall(HOOP_LIMBER_TURN_DEG, DRUM.radius - 5.5), radius: 4, sides: 24 };
  return plate(kernel, 'x', x, { ...PLATE, thickness: 1.2 }, [opening, limber]);
}

/** Y and Z on a circle about the axis; 0 is the bottom, turning to the right. */
function onWall(turn_deg: number, radius: number): [number, number] {
  const turn = (turn_deg * Math.PI) / 180;
  return [radius * Math.sin(turn), -radius * Math.cos(turn)];
}
