/** A water drop let go in the tanks: where, and the way it runs at the condition that is shown. */
import { effect, signal } from '@preact/signals';
import type { Condition } from '../shared/answers.ts';
import type { WaterPathView } from '../shared/engine-contract.ts';
import { describeError } from '../shared/errors.ts';
import type { Vector3 } from '../shared/vector.ts';
import { latestWins } from './latest-wins.ts';
import { live, openCase, placing, settled } from './state.ts';

/** Walls along one line of sight, or one point that was typed or taken from the list. */
export interface Drop {
  readonly spots: readonly Vector3[];
  readonly spot: number;
}

/** The card keeps to the side of the view where the drop is not. */
export const cardSide = signal<'left' | 'right'>('left');

/** A click on a wall lets a drop go instead of placing a fitting. */
export const isDropping = signal(false);
export const drop = signal<Drop | null>(null);
export const waterPath = signal<WaterPathView | null>(null);
export const dropProblem = signal<string | null>(null);

export function setDropping(on: boolean): void {
  isDropping.value = on;
  drop.value = null;
  if (on) placing.value = null;
}

export function dropAt(...spots: readonly Vector3[]): void {
  isDropping.value = true;
  placing.value = null;
  drop.value = spots.length === 0 ? null : { spots, spot: 0 };
}

const asking = latestWins(
  ({ point, condition }: { readonly point: Vector3; readonly condition: Condition }) =>
    live.ask((engine) => engine.waterPath(point, condition)),
  (_, outcome) => {
    if (drop.value === null) return;
    waterPath.value = outcome.ok ? outcome.value : null;
    dropProblem.value = outcome.ok ? null : describeError(outcome.error);
  },
);

effect(() => {
  const point = drop.value?.spots[drop.value.spot];
  const condition = settled.value?.condition;
  if (point === undefined) {
    waterPath.value = null;
    dropProblem.value = null;
  } else if (condition !== undefined) asking.ask({ point, condition });
});

let meshes: unknown = null;
effect(() => {
  const now = openCase.value?.meshes;
  if (now !== meshes) setDropping(false);
  meshes = now;
});
