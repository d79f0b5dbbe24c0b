/** One line per requirement or practice: its state, figure, limit and source, and the condition to look at. */
import { effect, signal } from '@preact/signals';
import type { Finding } from '../../shared/answers.ts';
import { replay } from '../replaying.ts';
import { showCondition, showFuel, showLength, showShare, showWater } from '../show.ts';
import { condition, findings, findingsState, runStudy, stopStudy } from '../state.ts';
import { FindingGlyph } from './glyphs.tsx';

const WORD: Record<Finding['state'], string> = { met: 'Met', 'not met': 'Not met', 'not shown': 'Not shown' };

/** Folded away, the view has their room; a replay folds them by itself. */
const isOpen = signal(true);
effect(() => {
  if (replay.value.kind !== 'none') isOpen.value = false;
});

export function Findings() {
  const state = findingsState.value;
  const isStale = state.kind !== 'current' && findings.value.length > 0;
  return (
    <section class={`panel findings ${isStale ? 'stale' : ''} ${isOpen.value ? '' : 'folded'}`} aria-labelledby="findings-title">
      <header>
        <h2 id="findings-title">Findings</h2>
        <button
          type="button"
          class="quiet fold"
          aria-expanded={isOpen.value}
          aria-controls="findings-body"
          onClick={() => {
            isOpen.value = !isOpen.value;
          }}
        >
          {isOpen.value ? 'Fold' : 'Unfold'}
        </button>
        {findings.value.length > 0 && <span class="aside">{tally(findings.value)}</span>}
        {state.kind === 'running' && (
          <>
            <span class="aside">
              {isStale ? 'Being worked out again; these are from before the change.' : 'Being worked out over all slopes and conditions.'}
            </span>
            <progress aria-label="Share of the study done" max={1} value={state.share} />
            <button type="button" class="quiet" onClick={stopStudy}>
              Stop
            </button>
          </>
        )}
        {state.kind === 'stopped' && (
          <>
            <span class="aside">Stopped before the end{isStale ? '; these are from before the change' : ''}.</span>
            <button type="button" class="quiet" onClick={() => void runStudy()}>
              Work out
            </button>
          </>
        )}
      </header>
      {state.kind === 'failed' && (
        <p class="field-problem" role="alert">
          {state.text}{' '}
          <button type="button" class="quiet" onClick={() => void runStudy()}>
            Try again
          </button>
        </p>
      )}
      <div id="findings-body" hidden={!isOpen.value}>
        {findings.value.length === 0 ? (
          <p class="empty">
            {state.kind === 'running'
              ? 'The first answers come in a moment.'
              : 'Findings for the outlets, drains and low points appear here once a case is open.'}
          </p>
        ) : (
          <ul aria-label="Findings">
            {findings.value.map((finding) => (
              <Line key={finding.id} finding={finding} />
            ))}
          </ul>
        )}
      </div>
      <p class="caution">Supports design and test planning. It replaces no test, no local rule and no licensed person’s judgement.</p>
    </section>
  );
}

/** "2 not met, 5 met": what a person wants to know before reading on. */
function tally(list: readonly Finding[]): string {
  return (['not met', 'met', 'not shown'] as const)
    .map((state) => ({ state, count: list.filter((finding) => finding.state === state).length }))
    .filter(({ count }) => count > 0)
    .map(({ state, count }) => `${count} ${state}`)
    .join(', ');
}

function Line({ finding }: { readonly finding: Finding }) {
  const { title, state, value, limit, text, source, show } = finding;
  return (
    <li class={state.replace(' ', '-')}>
      <FindingGlyph state={state} />
      <div class="finding-text">
        <span>
          <strong>{title}</strong> <span class="word">{WORD[state]}</span>
        </span>
        <span>
          {inChosenUnit(text)} <small>{source}</small>
        </span>
      </div>
      <div class="finding-figure">
        {value !== null && <b>{figure(value)}</b>}
        {limit !== null && <small>limit {figure(limit)}</small>}
      </div>
      {show !== null ? (
        <button
          type="button"
          aria-label={`Show me: ${title}`}
          title={showCondition(show)}
          onClick={() => {
            condition.value = { pitch_deg: show.pitch_deg, roll_deg: show.roll_deg, n: show.n };
          }}
        >
          Show me
        </button>
      ) : (
        <span />
      )}
    </li>
  );
}

/** The engine's sentences are in litres; here in the volume unit that was chosen. */
const inChosenUnit = (text: string): string => text.replace(/([\d.]+)\u00a0L\b/g, (_, litres: string) => showWater(Number(litres) / 1000));

function figure({ amount, quantity }: NonNullable<Finding['value']>): string {
  if (quantity === 'volume') return showFuel(amount);
  return quantity === 'length' ? showLength(amount) : showShare(amount);
}
