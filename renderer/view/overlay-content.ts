/** From the state to what is written over the view: most important first, because the last labels may find no place. */

import type { CaseFitting } from '../../shared/case.ts';
import { showNumber } from '../../shared/units.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { waterPath } from '../dropping.ts';
import { filled } from '../filling.ts';
import { COVER_WORD, DROPS_m3, KIND_WORD, needsLook, showDepth, showLength, showSlope, showWater } from '../show.ts';
import { isLate, openCase, pointedFitting, selectedFitting, settled, showsAllLabels, showsWater } from '../state.ts';
import type { Box } from './label-layout.ts';
import type { Label, OverlayContent, ScreenAxis } from './overlay.ts';
import type { TankView } from './tank-view.ts';

/** More than this many low points would hide the tank behind its own labels; the table lists them all. */
const LOW_POINT_LABELS = 3;
/** Falls and flats of a water drop's way that are told in the view. */
const PATH_LABELS = 3;
const AIR_LABELS = 5;
/** Shorter flats, of the tanks' radius, are told in the card alone. */
const TOLD_FLAT = 0.01;

export function overlayContent(view: TankView, kept: readonly Box[]): OverlayContent {
  const axes: ScreenAxis[] = [
    { word: 'Aft', direction: view.directionOnScreen([1, 0, 0]) },
    { word: 'Right', direction: view.directionOnScreen([0, 1, 0]) },
    { word: 'Up', direction: view.directionOnScreen([0, 0, 1]) },
  ];
  const isOpen = openCase.value !== null;
  const labels = isOpen
    ? [...pathLabels(view), ...airLabels(view), ...fittingLabels(view), ...plumbLabel(view), ...lowPointLabels(view)]
    : [];
  return { labels, axes, isStale: isLate.value, kept, drawing: view.boxesOnScreen() };
}

const isAt = (place: { readonly tank: string; readonly fitting: string } | null, tank: string, fitting: string): boolean =>
  place?.tank === tank && place.fitting === fitting;

/** Outlets, what needs a look, the chosen one and the one pointed at; with "All labels" the others by name: the table has the figures. */
function fittingLabels(view: TankView): Label[] {
  const labels = openCase.value!.file.tanks.flatMap((tank) =>
    tank.fittings.flatMap((fitting): Label[] => {
      const isFull = filled.value !== null;
      const state = isFull
        ? undefined
        : settled.value?.view.settle.tanks.find((each) => each.id === tank.id)?.fittings.find((each) => each.id === fitting.id);
      const title = titleOf(fitting);
      const isChosen = isAt(selectedFitting.value, tank.id, fitting.id);
      const isPointed = isAt(pointedFitting.value, tank.id, fitting.id);
      const alert = state !== undefined && needsLook(state);
      const isBreather = isFull && (fitting.kind === 'vent' || fitting.kind === 'filler');
      const isTold = isChosen || isPointed || alert || (fitting.kind === 'outlet' && !isFull && waterPath.value === null) || isBreather;
      if (!isTold && !showsAllLabels.value) return [];
      const base = { ...view.project(fitting.at_m), chosen: isChosen || isPointed, alert };
      if (state === undefined) return [{ ...base, title: '', line: title, mark: { kind: 'plain' } }];
      const mark = { kind: 'cover', cover: state.cover } as const;
      if (!isTold) return [{ ...base, title: '', line: title, mark }];
      return [{ ...base, title, line: `${COVER_WORD[state.cover]}, fuel ${showDepth(state)}`, mark }];
    }),
  );
  return labels.sort((a, b) => rank(a) - rank(b));
}

function pathLabels(view: TankView): Label[] {
  const path = waterPath.value;
  if (path === null) return [];
  const { points_m: points, falls, flats, lowPoint_m } = path;
  const between = (from: number, to: number): Vector3 => {
    const [a, b] = [points[Math.floor((from + to) / 2)]!, points[Math.ceil((from + to) / 2)]!];
    return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2];
  };
  const label = (at: Vector3, line: string, alert = false): Label => ({
    ...view.project(at),
    title: '',
    line,
    mark: { kind: 'plain' },
    alert,
    chosen: false,
  });
  const longest = flats
    .filter(({ length_m }) => length_m > TOLD_FLAT * view.radius)
    .sort((a, b) => b.length_m - a.length_m)
    .slice(0, PATH_LABELS);
  const highest = [...falls].sort((a, b) => b.drop_m - a.drop_m).slice(0, PATH_LABELS);
  return [
    { ...label(points[0]!, 'Water drop'), chosen: true },
    label(lowPoint_m, path.drain === null ? 'Ends here, no drain' : 'Ends here, at a drain', path.drain === null),
    ...longest.map(({ from, to, leastSlope_deg }) => label(between(from, to), `Flat: ${showSlope(leastSlope_deg)}`, true)),
    ...highest.map(({ from, drop_m }) => label(between(from, from + 1), `Falls ${showLength(drop_m)}`)),
  ];
}

function airLabels(view: TankView): Label[] {
  const full = filled.value;
  if (full === null) return [];
  const trapped = full.fill.pockets
    .slice()
    .sort((a, b) => b.volume_m3 - a.volume_m3)
    .slice(0, AIR_LABELS)
    .map(({ at_m, volume_m3 }) => ({ at_m, line: `${showWater(volume_m3)} of air trapped` }));
  return trapped.map(({ at_m, line }) => ({
    ...view.project(at_m),
    title: '',
    line,
    mark: { kind: 'air' },
    alert: false,
    chosen: false,
  }));
}

/** "Outlet" for the id "out" or "outlet-2": the word is there already; any other id is told with its kind. */
function titleOf({ name, id, kind }: CaseFitting): string {
  return (
    name ?? (id.startsWith(kind.slice(0, 3)) ? `${KIND_WORD[kind]}${id.replace(/^[a-z]+/i, ' ').trimEnd()}` : `${KIND_WORD[kind]} ${id}`)
  );
}

const rank = (label: Label): number => (label.chosen ? 0 : label.alert ? 1 : label.title !== '' ? 2 : 3);

function plumbLabel(view: TankView): Label[] {
  const answer = settled.value;
  if (answer === null) return [];
  const { x, y } = view.project(view.plumbEnd(answer.view.up));
  return [
    {
      x,
      y,
      title: '',
      line: `Plumb line, ${showNumber(Math.abs(answer.condition.n), 3)} g`,
      mark: { kind: 'plain' },
      alert: false,
      chosen: false,
    },
  ];
}

function lowPointLabels(view: TankView): Label[] {
  if (!showsWater.value || filled.value !== null || waterPath.value !== null) return [];
  return [...(settled.value?.view.lowPoints ?? [])]
    .filter((point) => point.holds_m3 >= DROPS_m3)
    .sort((a, b) => b.holds_m3 - a.holds_m3)
    .slice(0, LOW_POINT_LABELS)
    .map((point) => ({
      ...view.project(point.at_m),
      title: '',
      line: `${showWater(point.holds_m3)} stays`,
      mark: { kind: 'low' },
      alert: false,
      chosen: false,
    }));
}
