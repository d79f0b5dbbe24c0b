/** What filling the tanks as far as they go shows, in figures: what fits, what air stays, whether its space is enough. */
import type { FillAnswer } from '../../shared/answers.ts';
import { COVER_WORD, showCondition, showFuel, showLength, showShare, showWater } from '../show.ts';
import { openCase } from '../state.ts';
import { FindingGlyph } from './glyphs.tsx';

export function FilledFigures({ fill }: { readonly fill: FillAnswer }) {
  const tanks = openCase.value?.file.tanks ?? [];
  const nameOf = (id: string): string => tanks.find((tank) => tank.id === id)?.name ?? id;
  const least = fill.requirement.expansionShare;
  const conditions = openCase.value?.file.conditions ?? [];
  return (
    <>
      <p class="history">
        Filled through the filler at {showCondition(fill.condition)}, vents open: {showFuel(fill.mostFuel_m3, 4)} of{' '}
        {showFuel(fill.capacity_m3, 4)} fit.
      </p>
      <table class="filled" aria-label="Tanks filled as far as they go">
        <tbody>
          {fill.tanks.flatMap((tank) => {
            const isEnough = tank.expansionShare >= least;
            const state = !tank.isJudged ? 'not shown' : isEnough ? 'met' : 'not met';
            return [
              <tr key={tank.id} class="tank-row">
                <th scope="rowgroup" colSpan={2}>
                  {nameOf(tank.id)}
                </th>
              </tr>,
              <tr key={`${tank.id} fuel`}>
                <th scope="row">Most fuel</th>
                <td class="number">
                  {showFuel(tank.mostFuel_m3, 4)}
                  <span class="level">capacity {showFuel(tank.capacity_m3, 4)}</span>
                </td>
              </tr>,
              <tr key={`${tank.id} trapped`}>
                <th scope="row">Air that cannot leave</th>
                <td class="number">
                  {tank.trappedAir_m3 === 0 ? 'none' : showWater(tank.trappedAir_m3)}
                  {tank.pockets.length > 0 && (
                    <span class="level">
                      {tank.pockets.length === 1 ? 'one pocket' : `${tank.pockets.length} pockets`}, highest at up{' '}
                      {showLength(Math.max(...tank.pockets.map(({ at_m }) => at_m[2])))}
                    </span>
                  )}
                </td>
              </tr>,
              <tr key={`${tank.id} expansion`} class={state === 'not met' ? 'look' : ''}>
                <th scope="row">Expansion space</th>
                <td class="number">
                  <span class="state">
                    <FindingGlyph state={state} />
                    {showShare(tank.expansionShare)}
                  </span>
                  <span class="level">
                    {tank.isJudged ? `${isEnough ? 'met' : 'not met'}: at least ${showShare(least)}` : 'breathes through its lines'}
                  </span>
                </td>
              </tr>,
            ];
          })}
        </tbody>
      </table>
      {fill.coveredVents.length > 0 && (
        <table class="filled" aria-label="Vents that fuel reaches, this full">
          <caption>Vents that fuel reaches, this full</caption>
          <tbody>
            {fill.coveredVents.map(({ tank, vent, condition, cover, depth_m }) => (
              <tr key={`${tank} ${vent} ${condition}`} class="look">
                <th scope="row">
                  {nameOf(tank)}, {vent} <small>{conditions.find(({ id }) => id === condition)?.name ?? condition}</small>
                </th>
                <td class="number">
                  {COVER_WORD[cover]}
                  {depth_m !== null && (
                    <span class="level">
                      fuel {showLength(Math.abs(depth_m))} {depth_m >= 0 ? 'above' : 'below'}
                    </span>
                  )}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <p class="history">Expansion space by 14 CFR 23.969; vents by 14 CFR 23.975(a)(1).</p>
    </>
  );
}
