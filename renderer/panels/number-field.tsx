/** A typed number with its unit: strict reading, what was understood shown at once, the error beside the field. */
import { useId, useRef, useState } from 'preact/hooks';
import {
  describeNumberError,
  fromSi,
  type Quantity,
  readNumber,
  showNumber,
  showQuantity,
  type TypedNumber,
  UNITS,
  type UnitName,
} from '../../shared/units.ts';

interface NumberFieldProps {
  /** What a person reads beside the field. */
  readonly label: string;
  /** The whole accessible name where the visible label is short. */
  readonly name?: string;
  /** SI, degrees for angles; null for "not given". */
  readonly value: number | null;
  readonly unit: UnitName | null;
  readonly quantities?: readonly Quantity[];
  readonly optional?: boolean;
  readonly step?: number;
  readonly hint?: string;
  readonly size?: 'large';
  /** @returns the line to show where the number is refused; nothing where it was taken */
  readonly onTake: (typed: TypedNumber) => Promise<string | null> | string | null | undefined;
  readonly onClear?: () => Promise<string | null>;
}

export function NumberField(props: NumberFieldProps) {
  const { label, name, value, unit, quantities, optional = false, step, hint, size, onTake, onClear } = props;
  const [draft, setDraft] = useState<string | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const input = useRef<HTMLInputElement>(null);
  const noteId = useId();
  const shown = value === null ? '' : figure(value, unit);
  const read = draft === null || draft.trim() === '' ? null : readNumber(draft, unit, quantities);
  const understood = read?.ok && read.value.unit !== null && read.value.unit !== unit ? inSi(read.value) : null;

  async function take(): Promise<void> {
    if (draft === null) return;
    if (draft.trim() === shown) return leave();
    if (draft.trim() === '' && optional) return finish((await onClear?.()) ?? null);
    const typed = readNumber(draft, unit, quantities);
    if (!typed.ok) return setProblem(describeNumberError(typed.error));
    finish((await onTake(typed.value)) ?? null);
  }

  function finish(refused: string | null): void {
    setProblem(refused);
    if (refused === null) setDraft(null);
  }

  function leave(): void {
    setDraft(null);
    setProblem(null);
  }

  function onKeyDown(event: KeyboardEvent): void {
    if (event.key === 'Enter') void take();
    if (event.key === 'Escape' && draft !== null) {
      event.stopPropagation();
      leave();
    }
    const turn = event.key === 'ArrowUp' ? 1 : event.key === 'ArrowDown' ? -1 : 0;
    if (turn !== 0 && step !== undefined && value !== null) {
      event.preventDefault();
      leave();
      void onTake({ value: value + turn * step * (event.shiftKey ? 5 : 1), unit });
    }
  }

  return (
    <div class={`field ${size ?? ''}`}>
      <label>
        <span class="field-label" title={hint}>
          {label}
        </span>
        <input
          ref={input}
          type="text"
          inputMode="decimal"
          autocomplete="off"
          spellcheck={false}
          aria-label={name ?? label}
          aria-invalid={problem !== null}
          aria-describedby={problem !== null || understood !== null ? noteId : undefined}
          placeholder={optional ? 'none' : undefined}
          value={draft ?? shown}
          onFocus={() => input.current?.select()}
          onInput={(event) => {
            setDraft(event.currentTarget.value);
            setProblem(null);
          }}
          onBlur={() => void take()}
          onKeyDown={onKeyDown}
        />
      </label>
      {problem !== null && (
        <p id={noteId} class="field-problem" role="alert">
          {problem}
        </p>
      )}
      {problem === null && understood !== null && (
        <p id={noteId} class="field-note">
          = {understood}
        </p>
      )}
    </div>
  );
}

/** Six digits show what is stored; the stored number itself is never rounded. */
function figure(value: number, unit: UnitName | null): string {
  return unit === null ? showNumber(value, 6) : `${showNumber(fromSi(value, unit), 6)}${unit === '°' ? '°' : ` ${unit}`}`;
}

function inSi({ value, unit }: TypedNumber): string {
  const quantity = unit === null ? 'number' : UNITS[unit].quantity;
  if (quantity === 'length') return showQuantity(value, 'm', 6);
  if (quantity === 'volume') return showQuantity(value, 'L', 6);
  return quantity === 'mass' ? showQuantity(value, 'kg', 6) : showNumber(value, 6);
}
