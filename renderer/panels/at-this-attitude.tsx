/** What the engine says of the attitude in hand, in words and figures: the text equivalent of the 3D view. */
import type { SettledView } from '../../shared/engine-contract.ts';
import type { EngineError } from '../../shared/errors.ts';
import { dropAt } from '../dropping.ts';
import { filled } from '../filling.ts';
import {
  COVER_WORD,
  KIND_WORD,
  kindBeside,
  needsLook,
  showCondition,
  showDepth,
  showFuel,
  showHistory,
  showShare,
  showWater,
} from '../show.ts';
import { isCurrent, isLate, openCase, pointedFitting, selectedFitting, settled, settleProblem } from '../state.ts';
import { FilledFigures } from './filled-figures.tsx';
import { CoverGlyph } from './glyphs.tsx';

export function AtThisAttitude() {
  const answer = settled.value;
  const problem = settleProblem.value;
  return (
    <section
      class={`panel now ${isLate.value ? 'stale' : ''}`}
      aria-labelledby="now-title"
      tabIndex={filled.value === null ? undefined : 0} // without a button in it, a keyboard could not scroll it
    >
      <header>
        <h2 id="now-title">At this attitude</h2>
        {answer !== null && isLate.value && (
          <span class="aside">
            still for {showCondition(answer.condition)}, {showFuel(answer.view.settle.fuel_m3)}
          </span>
        )}
      </header>
      {problem !== null && !isBesideItsField(problem.error) && (
        <p class="field-problem" role="alert">
          {problem.text}
        </p>
      )}
      {filled.value !== null ? (
        <FilledFigures fill={filled.value.fill} />
      ) : answer === null ? (
        <p class="empty">Nothing to show yet.</p>
      ) : (
        <Tables view={answer.view} />
      )}
      <p class="spoken" role="status" data-testid="spoken">
        {answer !== null && isCurrent.value && filled.value === null && spoken(answer.view)}
      </p>
    </section>
  );
}

/** Faults of the attitude and of the amount are told beside those fields; everything else is told here. */
function isBesideItsField(error: EngineError): boolean {
  return ['no-gravity', 'condition-not-finite', 'more-than-fits', 'amount-not-valid'].includes(error.code);
}

function Tables({ view }: { readonly view: SettledView }) {
  const file = openCase.value?.file;
  const many = view.settle.tanks.length > 1;
  const nameOfTank = (id: string) => file?.tanks.find((tank) => tank.id === id)?.name ?? id;
  const nameOfFitting = (tank: string, id: string) =>
    file?.tanks.find((each) => each.id === tank)?.fittings.find((each) => each.id === id)?.name ?? id;
  const fittings = view.settle.tanks.flatMap((tank) => tank.fittings.map((fitting) => ({ tank: tank.id, ...fitting })));
  return (
    <>
      <table class="fittings">
        <caption class="spoken">Fittings at this attitude</caption>
        <thead>
          <tr>
            <th scope="col">Fitting</th>
            <th scope="col">State and fuel level</th>
          </tr>
        </thead>
        {view.settle.tanks
          .filter((tank) => tank.fittings.length > 0)
          .map((tank) => (
            <tbody key={tank.id}>
              {many && (
                <tr class="tank-row">
                  <th scope="rowgroup" colSpan={2}>
                    {nameOfTank(tank.id)}
                  </th>
                </tr>
              )}
              {tank.fittings.map((each) => (
                <tr
                  key={each.id}
                  class={needsLook(each) ? 'look' : ''}
                  onPointerEnter={() => point({ tank: tank.id, fitting: each.id })}
                  onPointerLeave={() => point(null)}
                  onFocusIn={() => point({ tank: tank.id, fitting: each.id })}
                  onFocusOut={() => point(null)}
                  aria-label={`${nameOfTank(tank.id)}, ${each.id}, ${KIND_WORD[each.kind]}, ${COVER_WORD[each.cover]}, fuel ${showDepth(each)}`}
                >
                  <th scope="row">
                    <button type="button" class="link" onClick={() => select(tank.id, each.id)}>
                      {nameOfFitting(tank.id, each.id)}
                    </button>{' '}
                    <small>{kindBeside(nameOfFitting(tank.id, each.id), each.kind)}</small>
                  </th>
                  <td>
                    <span class="state">
                      <CoverGlyph cover={each.cover} alert={needsLook(each)} />
                      {COVER_WORD[each.cover]}
                    </span>{' '}
                    <span class="level">fuel {showDepth(each)}</span>
                  </td>
                </tr>
              ))}
            </tbody>
          ))}
      </table>
      {fittings.length === 0 && <p class="empty">No fittings yet. Click on a tank wall in the view to place one.</p>}
      <table class="pools">
        <caption>Pools at this attitude</caption>
        <tbody>
          {view.settle.tanks.flatMap((tank) =>
            tank.pools.map((pool, i) => (
              <tr key={`${tank.id}/${i}`}>
                <th scope="row">
                  {nameOfTank(tank.id)}
                  {tank.pools.length > 1 ? `, pool ${i + 1}` : ''}
                </th>
                <td class="number">{showFuel(pool.volume_m3)}</td>
              </tr>
            )),
          )}
        </tbody>
      </table>
      <p class="history" data-testid="history">
        {showHistory(view.settle.tanks)}
      </p>
      <table class="low-points">
        <caption>Low points at this attitude</caption>
        <tbody>
          {view.lowPoints.map((point, i) => (
            <tr key={i}>
              <th scope="row">
                <button type="button" class="link" title="Drop water here" onClick={() => dropAt(point.at_m)}>
                  {nameOfTank(point.tank)}
                  {many || view.lowPoints.length > 1 ? `, ${i + 1}` : ''}
                </button>{' '}
                <small>{point.drain === null ? 'no drain here' : `drained by ${nameOfFitting(point.tank, point.drain)}`}</small>
              </th>
              <td class="number">
                {point.holds_m3 === 0 ? 'holds nothing' : `holds ${showWater(point.holds_m3)}`}
                <span class="level">
                  {point.share === undefined ? 'share: being worked out' : `${showShare(point.share)} of the floor`}
                </span>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}

function point(place: typeof pointedFitting.value): void {
  pointedFitting.value = place;
}

function select(tank: string, fitting: string): void {
  selectedFitting.value = { tank, fitting };
}

/** One sentence for a screen reader: what air has reached, else that all outlets are covered. */
function spoken(view: SettledView): string {
  const fittings = view.settle.tanks.flatMap((tank) => tank.fittings.map((fitting) => ({ tank: tank.id, ...fitting })));
  const looks = fittings
    .filter(needsLook)
    .map((each) => `${each.tank} ${each.id}: ${COVER_WORD[each.cover].toLowerCase()}, fuel ${showDepth(each)}`);
  const outlets = fittings.filter((each) => each.kind === 'outlet').length;
  const nPools = view.settle.tanks.reduce((sum, tank) => sum + tank.pools.length, 0);
  const state = looks.length > 0 ? looks.join('; ') : outlets > 0 ? 'every outlet is covered' : 'no outlet placed';
  return `${showCondition(view.settle.condition)}: ${state}; ${nPools} ${nPools === 1 ? 'pool' : 'pools'}, ${showFuel(view.settle.fuel_m3)} in all.`;
}
