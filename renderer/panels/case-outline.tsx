/** The case as it stands: conditions, tanks with their fittings, and the fuel; everything here is edited in place. */
import type { Condition } from '../../shared/answers.ts';
import type { CaseCondition, CaseFile, CaseTank } from '../../shared/case.ts';
import { showNumber } from '../../shared/units.ts';
import { addCondition, changeCondition, changeTank, freeId, removeCondition, removeLine, withKey } from '../case-edit.ts';
import { isMass, showCondition, showFuel } from '../show.ts';
import { complain, condition, editCase, fuelUnitInUse, isLoading, loaded, openCase, placing } from '../state.ts';
import { FittingEditor } from './fitting-editor.tsx';
import { NumberField } from './number-field.tsx';
import { TextField } from './text-field.tsx';

export function CaseOutline() {
  const now = openCase.value;
  return (
    <section class="panel outline" aria-label="Case" aria-busy={isLoading.value}>
      <header>
        <h2>Case</h2>
        {now !== null && <span class="aside">{now.origin.kind === 'sample' ? 'sample, invented' : now.origin.name}</span>}
      </header>
      {now === null ? (
        <p class="empty">Open a case or a mesh, drop one on the window, or choose a sample above.</p>
      ) : (
        <Outline file={now.file} />
      )}
    </section>
  );
}

function Outline({ file }: { readonly file: CaseFile }) {
  return (
    <>
      <TextField label="Name" name="Name of the case" value={file.name} onTake={(name) => editCase((each) => ({ ...each, name }))} />
      {(loaded.value?.notices.length ?? 0) > 0 && (
        <ul class="notices" aria-label="Remarks on the case">
          {loaded.value?.notices.map((text) => (
            <li key={text}>{text}</li>
          ))}
        </ul>
      )}
      <Conditions file={file} />
      {file.tanks.map((tank) => (
        <Tank key={tank.id} tank={tank} />
      ))}
      {file.lines.length > 0 && (
        <>
          <h3>Lines</h3>
          <ul class="lines">
            {file.lines.map((line) => (
              <li key={line.id}>
                <span>
                  {line.name ?? line.id}{' '}
                  <small>
                    {line.from} to {line.to}
                  </small>
                </span>
                <button
                  type="button"
                  class="quiet"
                  aria-label={`Remove line ${line.id}`}
                  onClick={() => void edit((each) => removeLine(each, line.id))}
                >
                  Remove
                </button>
              </li>
            ))}
          </ul>
        </>
      )}
      <Fuel file={file} />
      <Limits file={file} />
    </>
  );
}

function Conditions({ file }: { readonly file: CaseFile }) {
  const now = condition.value;
  const isNow = (each: CaseCondition) => each.pitch_deg === now.pitch_deg && each.roll_deg === now.roll_deg && each.n === now.n;
  const isKnown = file.conditions.some(isNow);
  return (
    <>
      <h3>Conditions</h3>
      {file.conditions.length === 0 && <p class="empty">None yet: the findings use a usual set of flight conditions.</p>}
      <ul class="conditions" aria-label="Conditions">
        {file.conditions.map((each) => (
          <li key={each.id} class={isNow(each) ? 'now' : ''}>
            <button
              type="button"
              class="choice"
              aria-pressed={isNow(each)}
              onClick={() => {
                condition.value = { pitch_deg: each.pitch_deg, roll_deg: each.roll_deg, n: each.n };
              }}
            >
              <span>{each.name ?? each.id}</span>
              <small>{showCondition(each)}</small>
            </button>
            {isNow(each) && <ConditionEditor each={each} />}
          </li>
        ))}
      </ul>
      {!isKnown && (
        <button type="button" class="quiet add" onClick={() => void edit(keepAttitude)}>
          Keep this attitude as a condition
        </button>
      )}
    </>
  );
}

function ConditionEditor({ each }: { readonly each: CaseCondition }) {
  const change = (to: Partial<CaseCondition>) => editCase((file) => changeCondition(file, each.id, (one) => ({ ...one, ...to })));
  /** The attitude in hand goes along, so that the condition stays the chosen one. */
  const turn = async (to: Partial<Condition>) => {
    const refused = await change(to);
    if (refused === null) condition.value = { ...condition.value, ...to };
    return refused;
  };
  return (
    <details class="condition-edit">
      <summary>Edit</summary>
      <TextField label="Name" name={`Name of condition ${each.id}`} value={each.name ?? each.id} onTake={(name) => change({ name })} />
      <div class="field">
        <label>
          <span class="field-label">Phase</span>
          <select
            aria-label={`Phase of condition ${each.id}`}
            value={each.phase}
            onChange={(event) => {
              const phase = event.currentTarget.value as CaseCondition['phase'];
              void edit((file) => changeCondition(file, each.id, (one) => ({ ...one, phase })));
            }}
          >
            <option value="ground">on the ground</option>
            <option value="flight">in flight</option>
          </select>
        </label>
      </div>
      <NumberField
        label="Pitch"
        name={`Pitch of condition ${each.id}`}
        value={each.pitch_deg}
        unit="°"
        onTake={({ value }) => turn({ pitch_deg: value })}
      />
      <NumberField
        label="Roll"
        name={`Roll of condition ${each.id}`}
        value={each.roll_deg}
        unit="°"
        onTake={({ value }) => turn({ roll_deg: value })}
      />
      <NumberField
        label="n"
        name={`Load factor of condition ${each.id}`}
        value={each.n}
        unit={null}
        onTake={({ value }) => (value === 0 ? 'At n 0 there is no free surface. Give an n above or below zero.' : turn({ n: value }))}
      />
      <button type="button" class="quiet" onClick={() => void edit((file) => removeCondition(file, each.id))}>
        Remove condition
      </button>
    </details>
  );
}

function keepAttitude(file: CaseFile): CaseFile {
  const now = condition.value;
  const taken = file.conditions.map((each) => each.id);
  return addCondition(file, { id: freeId('condition', taken), name: showCondition(now), phase: 'flight', ...now });
}

function Tank({ tank }: { readonly tank: CaseTank }) {
  const check = loaded.value?.check.tanks.find((each) => each.id === tank.id);
  return (
    <fieldset class="tank" aria-label={tank.name ?? tank.id}>
      <TextField
        label="Tank"
        name={`Name of tank ${tank.id}`}
        value={tank.name ?? tank.id}
        onTake={(name) => editCase((file) => changeTank(file, tank.id, (each) => ({ ...each, name })))}
      />
      {check !== undefined && (
        <>
          <p class="tank-facts">
            Holds <b>{showFuel(check.capacity_m3, 4)}</b>. {sourceOf(tank)}, {showNumber(check.triangles, 9)} triangles,{' '}
            {check.watertight ? 'closed' : 'not closed'}.
          </p>
          {check.repairs.length + check.notices.length > 0 && (
            <details class="repairs">
              <summary>Mesh: {check.repairs.length + check.notices.length} remarks</summary>
              <ul class="notices">
                {[...check.repairs.map((repair) => repair.text), ...check.notices].map((text) => (
                  <li key={text}>{text}</li>
                ))}
              </ul>
            </details>
          )}
        </>
      )}
      {tank.fittings.map((fitting) => (
        <FittingEditor key={fitting.id} tank={tank} fitting={fitting} />
      ))}
      {tank.fittings.length === 0 && <p class="empty">No fittings yet. Click on the tank wall in the view to place an outlet.</p>}
      <button
        type="button"
        class="quiet add"
        aria-label={`Add a fitting at the lowest point of ${tank.name ?? tank.id}`}
        onClick={() => {
          const kind = tank.fittings.some((each) => each.kind === 'outlet') ? 'drain' : 'outlet';
          placing.value = { spots: [{ tank: tank.id, at_m: check?.lowest_m ?? [0, 0, 0], facing: [0, 0, -1] }], spot: 0, kind };
        }}
      >
        Add a fitting at the lowest point
      </button>
    </fieldset>
  );
}

/** What a tank's shape is made from, in words. */
function sourceOf({ geometry }: CaseTank): string {
  if (geometry.kind !== 'mesh') return `A ${geometry.kind} by its parameters`;
  return geometry.unit === undefined ? geometry.file : `${geometry.file} in ${geometry.unit}`;
}

function Fuel({ file }: { readonly file: CaseFile }) {
  const { fuel } = file;
  return (
    <fieldset class="tank" aria-label="Fuel">
      <legend>Fuel</legend>
      <NumberField
        label="Density, kg/m³"
        name="Fuel density, kg/m³"
        hint="Needed for amounts in kg or lb"
        value={fuel?.density_kg_m3 ?? null}
        unit={null}
        optional
        onTake={({ value }) =>
          value > 0
            ? editCase((each) => ({ ...each, fuel: { ...each.fuel, density_kg_m3: value } }))
            : 'A density is above zero. Type it in kg/m³.'
        }
        onClear={() => editCase((each) => withKey(each, 'fuel', undefined))}
      />
    </fieldset>
  );
}

/** What the case asks for; the findings hold the answers against it. Always typed as volumes: a limit may be on water. */
function Limits({ file }: { readonly file: CaseFile }) {
  const { requirements } = file;
  const volume = isMass(fuelUnitInUse.value) ? 'L' : fuelUnitInUse.value;
  const change = (key: keyof CaseFile['requirements'], value: number | undefined) =>
    editCase((each) => ({ ...each, requirements: withKey(each.requirements, key, value) }));
  const fields = [
    { key: 'rampSlope_deg', label: 'Ramp slope', unit: '°', hint: 'The steepest ground to park on, in any direction' },
    { key: 'unusableFuel_m3', label: 'Unusable', unit: volume, hint: 'The most fuel that may be left when air first reaches an outlet' },
    { key: 'waterLeft_m3', label: 'Water left', unit: volume, hint: 'The most that may stay in the tanks with the drains open, parked' },
  ] as const;
  return (
    <fieldset class="tank" aria-label="Limits">
      <legend>Limits</legend>
      {fields.map(({ key, label, unit, hint }) => (
        <NumberField
          key={key}
          label={label}
          name={`${label}, limit`}
          hint={hint}
          value={requirements[key] ?? null}
          unit={unit}
          optional
          onTake={({ value }) => {
            if (value < 0) return 'A limit is zero or more.';
            if (key === 'rampSlope_deg' && value > 45) return 'A ramp slope is at most 45°.';
            return change(key, value);
          }}
          onClear={() => change(key, undefined)}
        />
      ))}
    </fieldset>
  );
}

async function edit(change: (file: CaseFile) => CaseFile): Promise<void> {
  const refused = await editCase(change);
  if (refused !== null) complain(refused);
}
