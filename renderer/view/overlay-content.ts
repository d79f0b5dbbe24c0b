/** From the state to what is written over the view: most important first, because the last labels may find no place. */

import type { CaseFitting } from '../../shared/case.ts';
import { showNumber } from '../../shared/units.ts';
import { COVER_WORD, DROPS_m3, KIND_WORD, needsLook, showDepth, showWater } from '../show.ts';
import { isLate, openCase, selectedFitting, settled, showsWater } from '../state.ts';
import type { Box } from './label-layout.ts';
import type { Label, OverlayContent, ScreenAxis } from './overlay.ts';
import type { TankView } from './tank-view.ts';

/** More than this many low points would hide the tank behind its own labels; the table lists them all. */
const LOW_POINT_LABELS = 4;

export function overlayContent(view: TankView, kept: readonly Box[]): OverlayContent {
  const axes: ScreenAxis[] = [
    { word: 'Aft', direction: view.directionOnScreen([1, 0, 0]) },
    { word: 'Right', direction: view.directionOnScreen([0, 1, 0]) },
    { word: 'Up', direction: view.directionOnScreen([0, 0, 1]) },
  ];
  const labels = openCase.value === null ? [] : [...fittingLabels(view), ...plumbLabel(view), ...lowPointLabels(view)];
  return { labels, axes, isStale: isLate.value, kept, drawing: view.boxesOnScreen() };
}

/** In full for outlets, for what needs a look and for the chosen one; of the others only name and state: the table has the figures. */
function fittingLabels(view: TankView): Label[] {
  const chosen = selectedFitting.value;
  const labels = openCase.value!.file.tanks.flatMap((tank) =>
    tank.fittings.map((fitting): Label => {
      const state = settled.value?.view.settle.tanks.find((each) => each.id === tank.id)?.fittings.find((each) => each.id === fitting.id);
      const title = titleOf(fitting);
      const isChosen = chosen?.tank === tank.id && chosen.fitting === fitting.id;
      const base = { ...view.project(fitting.at_m), chosen: isChosen, alert: false };
      if (state === undefined) return { ...base, title: '', line: title, mark: { kind: 'plain' } };
      const mark = { kind: 'cover', cover: state.cover } as const;
      const alert = needsLook(state);
      if (!isChosen && !alert && fitting.kind !== 'outlet') return { ...base, title: '', line: title, mark };
      return { ...base, title, line: `${COVER_WORD[state.cover]}, fuel ${showDepth(state)}`, mark, alert };
    }),
  );
  return labels.sort((a, b) => rank(a) - rank(b));
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
  if (!showsWater.value) return [];
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
