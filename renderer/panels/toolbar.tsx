/** Open, samples, save, units, theme. */
import { openSample, pickAndOpen, samples, saveCase, viewCommands } from '../open.ts';
import {
  density_kg_m3,
  FUEL_UNITS,
  type FuelUnit,
  fuelUnit,
  fuelUnitInUse,
  LENGTH_UNITS,
  lengthUnit,
  openCase,
  THEMES,
  type ThemeChoice,
  theme,
} from '../state.ts';

const THEME_WORD: Record<ThemeChoice, string> = { system: 'System', light: 'Light', dark: 'Dark' };

export function Toolbar() {
  const now = openCase.value;
  const sample = now?.origin.kind === 'sample' ? now.origin.name : '';
  return (
    <div class="toolbar" role="toolbar" aria-label="Main">
      <h1>Lowpoint</h1>
      <button type="button" class="primary" onClick={() => void pickAndOpen()}>
        Open…
      </button>
      <label>
        Sample
        <select value={sample} onChange={(event) => void openSample(event.currentTarget.value)}>
          {sample === '' && <option value="">choose…</option>}
          {samples.value.map((name) => (
            <option key={name} value={name}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <button type="button" disabled={now === null} onClick={() => void saveCase()}>
        Save case…
      </button>
      <button type="button" disabled={now === null} onClick={() => viewCommands.savePicture()}>
        Save picture…
      </button>
      <span class="spring" />
      <label>
        Length unit
        <select
          value={lengthUnit.value}
          onChange={(event) => {
            lengthUnit.value = event.currentTarget.value as (typeof LENGTH_UNITS)[number];
          }}
        >
          {LENGTH_UNITS.map((unit) => (
            <option key={unit}>{unit}</option>
          ))}
        </select>
      </label>
      <label>
        Fuel unit
        <select
          value={fuelUnitInUse.value}
          title={density_kg_m3.value === null ? 'Kilograms and pounds need the fuel density: type it in the case outline' : undefined}
          onChange={(event) => {
            fuelUnit.value = event.currentTarget.value as FuelUnit;
          }}
        >
          {FUEL_UNITS.map((unit) => (
            <option key={unit} disabled={density_kg_m3.value === null && (unit === 'kg' || unit === 'lb')}>
              {unit}
            </option>
          ))}
        </select>
      </label>
      <label>
        Theme
        <select
          value={theme.value}
          onChange={(event) => {
            theme.value = event.currentTarget.value as ThemeChoice;
          }}
        >
          {THEMES.map((each) => (
            <option key={each} value={each}>
              {THEME_WORD[each]}
            </option>
          ))}
        </select>
      </label>
      <button type="button" popovertarget="help">
        Help
      </button>
      <Help />
    </div>
  );
}

function Help() {
  return (
    <div id="help" popover="auto" class="help" role="dialog" aria-label="Help">
      <h2>Axes, signs and keys</h2>
      <dl>
        <dt>Position</dt>
        <dd>Aft X (fuselage station), right Y (buttock line), up Z (waterline), from the tank frame’s origin.</dd>
        <dt>Pitch</dt>
        <dd>Nose up is positive.</dd>
        <dt>Roll</dt>
        <dd>Right side down is positive.</dd>
        <dt>Load factor n</dt>
        <dd>1 at rest. Below zero the fuel lies on the ceiling. At zero there is no free surface.</dd>
        <dt>Attitude pad</dt>
        <dd>Arrow keys 1°, with Shift 5°, Home for level. Any angle can be typed.</dd>
        <dt>3D view</dt>
        <dd>Drag to turn, wheel to come nearer, right drag to move. Arrow keys turn it too. Click on a wall to place a fitting.</dd>
        <dt>Replay</dt>
        <dd>
          Open or drop a history (.csv: time_s with pitch_deg, roll_deg, n or nx, ny, nz). Space plays and pauses, arrow keys move it.
        </dd>
        <dt>Water drop</dt>
        <dd>With Drop water on, click on a wall, or choose a low point in the list, to see where the water runs.</dd>
        <dt>Numbers</dt>
        <dd>One . or , as the decimal mark; a unit may follow: 0.5 in, 12 mm, 3 US gal.</dd>
      </dl>
      <p>Lowpoint supports design and test planning. It replaces no test, no local rule and no licensed person’s judgement.</p>
      <button type="button" popovertarget="help" popovertargetaction="hide">
        Close
      </button>
    </div>
  );
}
