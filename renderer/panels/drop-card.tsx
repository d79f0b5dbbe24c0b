/** The card of a water drop: where it is let go, how its way runs, which low point and drain it reaches. Not modal. */
import type { WaterPathView } from '../../shared/engine-contract.ts';
import { cardSide, drop, dropAt, dropProblem, isDropping, setDropping, waterPath } from '../dropping.ts';
import { showAngle, showLength, showSlope } from '../show.ts';
import { isShown, lengthUnit, openCase } from '../state.ts';
import { NumberField } from './number-field.tsx';

const AXES = ['Aft X', 'Right Y', 'Up Z'] as const;

export function DropCard() {
  if (!isDropping.value) return null;
  const now = drop.value;
  const point = now?.spots[now.spot];
  return (
    <div
      class={`place-card drop-card ${cardSide.value === 'right' ? 'at-right' : ''}`}
      role="dialog"
      aria-label="Water drop"
      onKeyDown={(event) => {
        if (event.key === 'Escape') setDropping(false);
      }}
    >
      <header>
        <h3>Water drop</h3>
        <button type="button" class="quiet" aria-label="Close the water drop" onClick={() => setDropping(false)}>
          Close
        </button>
      </header>
      {now === null || point === undefined ? (
        <p>Click on a tank wall, or choose a low point in the list.</p>
      ) : (
        <>
          {now.spots.length > 1 && (
            <button
              type="button"
              class="quiet"
              onClick={() => {
                drop.value = { ...now, spot: (now.spot + 1) % now.spots.length };
              }}
            >
              Wall {now.spot + 1} of {now.spots.length} along your line of sight: take the next
            </button>
          )}
          <div class="drop-place">
            {AXES.map((axis, i) => (
              <NumberField
                key={axis}
                label={axis}
                name={`${axis} of the water drop`}
                value={point[i]!}
                unit={lengthUnit.value}
                quantities={['length']}
                onTake={({ value }) => {
                  dropAt([i === 0 ? value : point[0], i === 1 ? value : point[1], i === 2 ? value : point[2]]);
                  return null;
                }}
              />
            ))}
          </div>
          {dropProblem.value !== null && (
            <p class="field-problem" role="alert">
              {dropProblem.value}
            </p>
          )}
          {waterPath.value !== null && <Way path={waterPath.value} />}
        </>
      )}
    </div>
  );
}

function Way({ path }: { readonly path: WaterPathView }) {
  const tank = openCase.value?.file.tanks.find(({ id }) => id === path.tank);
  const drain = tank?.fittings.find(({ id }) => id === path.drain);
  const flat_m = path.flats.reduce((sum, { length_m }) => sum + length_m, 0);
  const fall_m = path.falls.reduce((sum, { drop_m }) => sum + drop_m, 0);
  return (
    <dl class={isShown.value ? '' : 'pending'} data-testid="water-path" aria-live="polite">
      <dt>Runs</dt>
      <dd>
        {path.length_m === 0 ? 'nowhere: it rests where it lands' : `${showLength(path.length_m)} along the wall`}
        {path.leastSlope_deg !== null && `, least slope ${showSlope(path.leastSlope_deg)}`}
      </dd>
      <dt>Flat</dt>
      <dd>
        {path.flats.length === 0
          ? `nowhere under ${showAngle(path.leastDrainSlope_deg)}`
          : `${showLength(flat_m)} under ${showAngle(path.leastDrainSlope_deg)}`}{' '}
        <small>(common practice, no source)</small>
      </dd>
      <dt>Falls</dt>
      <dd>
        {path.falls.length === 0
          ? 'nowhere'
          : `${path.falls.length === 1 ? 'once' : `${path.falls.length} times`}, ${showLength(fall_m)}${path.falls.length === 1 ? '' : ' in all'}`}
      </dd>
      <dt>Ends</dt>
      <dd>
        {tank?.name ?? path.tank}, {path.lowPoint_m.map((x) => showLength(x)).join(', ')}
      </dd>
      <dt>Drain</dt>
      <dd>{path.drain === null ? <b class="alert-word">none serves this low point</b> : (drain?.name ?? path.drain)}</dd>
    </dl>
  );
}
