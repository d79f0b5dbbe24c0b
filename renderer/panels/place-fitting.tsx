/** The card that asks what the fitting at a clicked wall is. Not modal: the view beside it shows the spot. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { FITTING_KINDS, type FittingKind } from '../../shared/case.ts';
import { addFitting, freeId, ID_RULE } from '../case-edit.ts';
import { KIND_WORD, showLength } from '../show.ts';
import { complain, editCase, openCase, type Placing, placing, selectedFitting } from '../state.ts';

export function PlaceFitting() {
  const now = placing.value;
  return now === null ? null : (
    <div class="place-card" role="dialog" aria-label="Place a fitting here">
      <Card key={now.spots[0]?.at_m.join()} now={now} />
    </div>
  );
}

function Card({ now }: { readonly now: Placing }) {
  const spot = now.spots[now.spot]!;
  const tank = openCase.value?.file.tanks.find((each) => each.id === spot.tank);
  const taken = tank?.fittings.map((each) => each.id) ?? [];
  const [typed, setTyped] = useState<string | null>(null);
  const form = useRef<HTMLFormElement>(null);
  useEffect(() => {
    // A click in the view leaves the focus there; from the outline the card takes it, or a keyboard would not find it.
    if (document.activeElement?.tagName !== 'CANVAS') form.current?.querySelector('select')?.focus();
  }, []);
  const id = typed ?? freeId(now.kind === 'outlet' ? 'out' : now.kind, taken);
  const problem = !ID_RULE.test(id)
    ? 'Up to 40 letters, digits, - or _.'
    : taken.includes(id)
      ? `"${id}" is already in this tank. Give another.`
      : null;

  async function place(): Promise<void> {
    if (problem !== null) return;
    const refused = await editCase((file) =>
      addFitting(file, spot.tank, { id, kind: now.kind, at_m: rounded(spot.at_m), facing: rounded(spot.facing) }),
    );
    if (refused !== null) return complain(refused);
    placing.value = null;
    selectedFitting.value = { tank: spot.tank, fitting: id };
  }

  return (
    <form
      ref={form}
      onSubmit={(event) => {
        event.preventDefault();
        void place();
      }}
      onKeyDown={(event) => {
        if (event.key === 'Escape') placing.value = null;
      }}
    >
      <h3>Place a fitting here</h3>
      <p>
        {tank?.name ?? spot.tank}: aft {showLength(spot.at_m[0])}, right {showLength(spot.at_m[1])}, up {showLength(spot.at_m[2])}
      </p>
      {now.spots.length > 1 && (
        <button
          type="button"
          class="quiet"
          onClick={() => {
            placing.value = { ...now, spot: (now.spot + 1) % now.spots.length };
          }}
        >
          Wall {now.spot + 1} of {now.spots.length} along your line of sight: take the next
        </button>
      )}
      <div class="place-row">
        <label>
          Kind
          <select
            value={now.kind}
            onChange={(event) => {
              placing.value = { ...now, kind: event.currentTarget.value as FittingKind };
            }}
          >
            {FITTING_KINDS.map((kind) => (
              <option key={kind} value={kind}>
                {KIND_WORD[kind]}
              </option>
            ))}
          </select>
        </label>
        <label>
          Name
          <input
            type="text"
            autocomplete="off"
            spellcheck={false}
            value={id}
            aria-invalid={problem !== null}
            onInput={(event) => setTyped(event.currentTarget.value)}
          />
        </label>
      </div>
      {problem !== null && (
        <p class="field-problem" role="alert">
          {problem}
        </p>
      )}
      <footer>
        <button
          type="button"
          onClick={() => {
            placing.value = null;
          }}
        >
          Cancel
        </button>
        <button type="submit" class="primary">
          Place
        </button>
      </footer>
    </form>
  );
}

/** A micrometre is finer than any wall is built; more digits in a case file say nothing. */
const rounded = ([x, y, z]: readonly [number, number, number]): [number, number, number] => [micro(x), micro(y), micro(z)];
const micro = (value: number): number => Math.round(value * 1e6) / 1e6 + 0;
