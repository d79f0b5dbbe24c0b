/** From the state to what is written over the view: most important first, because the last labels may find no place. */

import { showNumber } from '../../shared/units.ts';
import { COVER_WORD, KIND_WORD, needsLook, showDepth, showWater } from '../show.ts';
import { isCurrent, openCase, selectedFitting, settled, showsWater } from '../state.ts';
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
  return { labels, axes, isStale: settled.value !== null && !isCurrent.value, kept };
}

function fittingLabels(view: TankView): Label[] {
  const chosen = selectedFitting.value;
  const labels = openCase.value!.file.tanks.flatMap((tank) =>
    tank.fittings.map((fitting): Label => {
      const state = settled.value?.view.settle.tanks.find((each) => each.id === tank.id)?.fittings.find((each) => each.id === fitting.id);
      const base = {
        ...view.project(fitting.at_m),
        title: fitting.name ?? `${KIND_WORD[fitting.kind]} ${fitting.id}`,
        chosen: chosen?.tank === tank.id && chosen.fitting === fitting.id,
      };
      if (state === undefined) return { ...base, line: KIND_WORD[fitting.kind], mark: { kind: 'plain' }, alert: false };
      return {
        ...base,
        line: `${COVER_WORD[state.cover]}, ${showDepth(state)}`,
        mark: { kind: 'cover', cover: state.cover },
        alert: needsLook(state),
      };
    }),
  );
  return labels.sort((a, b) => rank(a) - rank(b));
}

const rank = (label: Label): number => (label.chosen ? 0 : label.alert ? 1 : 2);

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
    .filter((point) => point.holds_m3 > 0)
    .sort((a, b) => b.holds_m3 - a.holds_m3)
    .slice(0, LOW_POINT_LABELS)
    .map((point) => ({
      ...view.project(point.at_m),
      title: '',
      line: `${showWater(point.holds_m3)} stays here`,
      mark: { kind: 'low' },
      alert: false,
      chosen: false,
    }));
}
