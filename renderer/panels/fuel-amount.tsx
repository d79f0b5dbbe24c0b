/** How much fuel is in: by slider as a share of what fits, or typed as a volume or a mass. */
import type { TypedNumber } from '../../shared/units.ts';
import { isMass, showFuel, showShare } from '../show.ts';
import { comesFrom, density_kg_m3, fuel, fuelInHand_m3, fuelUnitInUse, loaded, settleProblem } from '../state.ts';
import { NumberField } from './number-field.tsx';

export function FuelPanel() {
  const capacity_m3 = loaded.value?.check.capacity_m3 ?? null;
  const inHand_m3 = fuelInHand_m3.value;
  const unit = fuelUnitInUse.value;
  const density = density_kg_m3.value;
  const share = capacity_m3 === null || inHand_m3 === null ? 0 : inHand_m3 / capacity_m3;
  const problem = settleProblem.value;
  const isAmountProblem = problem !== null && (problem.error.code === 'more-than-fits' || problem.error.code === 'amount-not-valid');

  function take({ value, unit: typed }: TypedNumber): string | null {
    const mass = isMass(typed ?? unit);
    if (mass && density === null) return 'A mass needs the fuel density: type it in the case outline, under Fuel.';
    const volume_m3 = mass ? value / density! : value;
    if (volume_m3 < 0) return 'An amount below zero cannot be poured. Type zero or more.';
    fuel.value = { fuel_m3: volume_m3 };
    return null;
  }

  return (
    <section class="panel fuel" aria-label="Fuel amount">
      <header>
        <h2>Fuel</h2>
        {capacity_m3 !== null && <span class="aside">of {showFuel(capacity_m3, 4)} that fit</span>}
      </header>
      <div class="fuel-row">
        <input
          type="range"
          min={0}
          max={100}
          step={0.5}
          aria-label="Fuel, share of capacity"
          aria-valuetext={inHand_m3 === null ? undefined : `${showFuel(inHand_m3)}, ${showShare(share)} of capacity`}
          disabled={capacity_m3 === null}
          value={share * 100}
          onInput={(event) => {
            fuel.value = { fill: Number(event.currentTarget.value) / 100 };
          }}
        />
        <span class="fuel-share">{showShare(share)}</span>
        <NumberField
          label=""
          name="Fuel amount"
          value={inHand_m3 === null ? null : isMass(unit) ? inHand_m3 * (density ?? Number.NaN) : inHand_m3}
          unit={unit}
          quantities={density === null ? ['volume'] : ['volume', 'mass']}
          size="large"
          onTake={take}
        />
      </div>
      <fieldset class="comes-from">
        <legend>Fuel comes from</legend>
        {(['parked', 'now'] as const).map((each) => (
          <label key={each}>
            <input
              type="radio"
              name="comes-from"
              checked={comesFrom.value === each}
              onChange={() => {
                comesFrom.value = each;
              }}
            />
            {each === 'parked' ? 'as parked' : 'where it is now'}
          </label>
        ))}
      </fieldset>
      {isAmountProblem && (
        <p class="field-problem" role="alert">
          {problem.text}
        </p>
      )}
    </section>
  );
}
