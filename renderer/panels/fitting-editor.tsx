/** One fitting of the outline: closed it shows what it is and its state, open its place, bore and facing. */
import { useEffect, useRef } from 'preact/hooks';
import { type CaseFitting, type CaseTank, FITTING_KINDS, type FittingKind } from '../../shared/case.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { changeFitting, linesAt, removeFitting, withKey } from '../case-edit.ts';
import { COVER_WORD, KIND_WORD, kindBeside, needsLook } from '../show.ts';
import { complain, editCase, isCurrent, lengthUnit, openCase, selectedFitting, settled } from '../state.ts';
import { CoverGlyph } from './glyphs.tsx';
import { NumberField } from './number-field.tsx';
import { TextField } from './text-field.tsx';

const AXES = [
  { label: 'Aft X', hint: 'Fuselage station: aft of the origin is positive' },
  { label: 'Right Y', hint: 'Buttock line: right of the origin is positive' },
  { label: 'Up Z', hint: 'Waterline: above the origin is positive' },
] as const;

const FACINGS: readonly { readonly word: string; readonly facing: Vector3 }[] = [
  { word: 'Up', facing: [0, 0, 1] },
  { word: 'Down', facing: [0, 0, -1] },
  { word: 'Aft', facing: [1, 0, 0] },
  { word: 'Forward', facing: [-1, 0, 0] },
  { word: 'Right', facing: [0, 1, 0] },
  { word: 'Left', facing: [0, -1, 0] },
];

interface FittingProps {
  readonly tank: CaseTank;
  readonly fitting: CaseFitting;
}

export function FittingEditor({ tank, fitting }: FittingProps) {
  const details = useRef<HTMLDetailsElement>(null);
  const chosen = selectedFitting.value;
  const isChosen = chosen?.tank === tank.id && chosen.fitting === fitting.id;
  useEffect(() => {
    if (!isChosen || details.current === null) return;
    details.current.open = true;
    details.current.scrollIntoView({ block: 'nearest' });
  }, [isChosen]);
  const state = settled.value?.view.settle.tanks.find((each) => each.id === tank.id)?.fittings.find((each) => each.id === fitting.id);
  const edit = (change: (one: CaseFitting) => CaseFitting) => editCase((file) => changeFitting(file, tank.id, fitting.id, change));

  return (
    <details
      ref={details}
      class={`fitting ${isChosen ? 'chosen' : ''}`}
      onToggle={(event) => {
        if (event.currentTarget.open) selectedFitting.value = { tank: tank.id, fitting: fitting.id };
        else if (isChosen) selectedFitting.value = null;
      }}
    >
      <summary>
        <span class="fitting-name">{fitting.name ?? fitting.id}</span>
        <small>{kindBeside(fitting.name ?? fitting.id, fitting.kind)}</small>
        {state !== undefined && (
          <span class={`state ${isCurrent.value ? '' : 'stale'}`}>
            <CoverGlyph cover={state.cover} alert={needsLook(state)} />
            {COVER_WORD[state.cover]}
          </span>
        )}
      </summary>
      <fieldset aria-label={`Fitting ${fitting.id}`}>
        <TextField
          label="Name"
          name={`Name of ${fitting.id}`}
          value={fitting.name ?? fitting.id}
          onTake={(name) => edit((one) => ({ ...one, name }))}
        />
        <div class="field">
          <label>
            <span class="field-label">Kind</span>
            <select
              aria-label={`Kind of ${fitting.id}`}
              value={fitting.kind}
              onChange={(event) => {
                const kind = event.currentTarget.value as FittingKind;
                void edit((one) => ({ ...one, kind })).then(complainIf);
              }}
            >
              {FITTING_KINDS.map((kind) => (
                <option key={kind} value={kind}>
                  {KIND_WORD[kind]}
                </option>
              ))}
            </select>
          </label>
        </div>
        {AXES.map(({ label, hint }, axis) => (
          <NumberField
            key={label}
            label={label}
            name={`${label} of ${fitting.id}`}
            hint={hint}
            value={fitting.at_m[axis]!}
            unit={lengthUnit.value}
            onTake={({ value }) => edit((one) => ({ ...one, at_m: withAxis(one.at_m, axis, value) }))}
          />
        ))}
        <NumberField
          label="Bore"
          name={`Bore of ${fitting.id}`}
          hint="Inside diameter; without it the fitting is a point"
          value={fitting.bore_m ?? null}
          unit={lengthUnit.value}
          optional
          onTake={({ value }) =>
            value > 0 ? edit((one) => ({ ...one, bore_m: value })) : 'A bore is above zero. Clear the field for a point.'
          }
          onClear={() => edit((one) => withKey(one, 'bore_m', undefined))}
        />
        <Facing fitting={fitting} edit={edit} />
        <button type="button" class="quiet" aria-label={`Remove fitting ${fitting.id}`} onClick={() => void remove(tank.id, fitting.id)}>
          Remove fitting
        </button>
      </fieldset>
    </details>
  );
}

function Facing({
  fitting,
  edit,
}: {
  readonly fitting: CaseFitting;
  readonly edit: (change: (one: CaseFitting) => CaseFitting) => Promise<string | null>;
}) {
  const { facing } = fitting;
  const known = FACINGS.find((each) => facing?.every((value, axis) => value === each.facing[axis]));
  const choice = facing === undefined ? 'none' : (known?.word ?? 'other');
  return (
    <>
      <div class="field">
        <label>
          <span class="field-label" title="Outward direction of the opening; without it the fitting is a point">
            Facing
          </span>
          <select
            aria-label={`Facing of ${fitting.id}`}
            value={choice}
            onChange={(event) => {
              const picked = FACINGS.find((each) => each.word === event.currentTarget.value);
              void edit((one) => withKey(one, 'facing', picked && [...picked.facing])).then(complainIf);
            }}
          >
            <option value="none">none (a point)</option>
            {FACINGS.map(({ word }) => (
              <option key={word}>{word}</option>
            ))}
            {choice === 'other' && <option value="other">along these numbers</option>}
          </select>
        </label>
      </div>
      {facing !== undefined && choice === 'other' && (
        <div class="facing">
          {AXES.map(({ label }, axis) => (
            <NumberField
              key={label}
              label={label.slice(0, -2)}
              name={`Facing of ${fitting.id}, ${label}`}
              value={facing[axis]!}
              unit={null}
              onTake={({ value }) => {
                const turned = withAxis(facing, axis, value);
                return turned.every((each) => each === 0)
                  ? 'All three are 0, which points nowhere. Give a direction.'
                  : edit((one) => ({ ...one, facing: turned }));
              }}
            />
          ))}
        </div>
      )}
    </>
  );
}

async function remove(tank: string, fitting: string): Promise<void> {
  const file = openCase.value?.file;
  const lines = file === undefined ? [] : linesAt(file, tank, fitting);
  if (lines.length > 0) return complain(`Line ${lines.join(', ')} ends at ${tank}/${fitting}. Remove the line first, under Lines.`);
  complainIf(await editCase((each) => removeFitting(each, tank, fitting)));
}

function complainIf(refused: string | null): void {
  if (refused !== null) complain(refused);
}

function withAxis(vector: readonly number[], axis: number, value: number): [number, number, number] {
  const [x, y, z] = vector.map((each, i) => (i === axis ? value : each)) as [number, number, number];
  return [x, y, z];
}
