/**
 * The attitude pad: roll to the right, pitch up the page, as seen from the seat. Drag, click, arrow keys or typed numbers set the
 * condition; the conditions of the case lie on it as marks.
 */
import { useRef } from 'preact/hooks';
import type { Condition } from '../../shared/answers.ts';
import { replaySample, sampleHistory } from '../open.ts';
import { replay } from '../replaying.ts';
import { showCondition } from '../show.ts';
import { condition, LEVEL, openCase, settleProblem } from '../state.ts';
import { NumberField } from './number-field.tsx';

/** Degrees from the middle to the edge. */
const REACH = 30;
/** Drawing units of the SVG: degrees, with a margin for the words. */
const EDGE = 38;
const TICKS = [-30, -20, -10, 0, 10, 20, 30];

export function setAttitude(change: Partial<Condition>): void {
  condition.value = { ...condition.value, ...change };
}

export function AttitudePad() {
  const square = useRef<SVGSVGElement>(null);
  const { pitch_deg, roll_deg } = condition.value;
  const x = clamp(roll_deg);
  const y = -clamp(pitch_deg);
  const isBeyond = Math.abs(pitch_deg) > REACH || Math.abs(roll_deg) > REACH;

  function point(event: PointerEvent): void {
    const box = square.current!.getBoundingClientRect();
    const scale = (2 * EDGE) / box.width;
    const half = (value: number) => Math.round(clamp(value) * 2) / 2 + 0;
    setAttitude({
      roll_deg: half((event.clientX - box.left) * scale - EDGE),
      pitch_deg: half(EDGE - (event.clientY - box.top) * scale),
    });
  }

  function onKeyDown(event: KeyboardEvent): void {
    const step = event.shiftKey ? 5 : 1;
    const moves: Record<string, Partial<Condition>> = {
      ArrowRight: { roll_deg: roll_deg + step },
      ArrowLeft: { roll_deg: roll_deg - step },
      ArrowUp: { pitch_deg: pitch_deg + step },
      ArrowDown: { pitch_deg: pitch_deg - step },
      Home: { pitch_deg: 0, roll_deg: 0 },
    };
    const move = moves[event.key];
    if (move === undefined) return;
    event.preventDefault();
    setAttitude(move);
  }

  return (
    <div
      class="pad"
      role="application"
      // biome-ignore lint/a11y/noNoninteractiveTabindex: role application is the pad's own keyboard control
      tabIndex={0}
      aria-label="Attitude pad"
      aria-roledescription="two-way slider"
      aria-describedby="pad-keys"
      data-pitch={pitch_deg}
      data-roll={roll_deg}
      onKeyDown={onKeyDown}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        event.currentTarget.focus();
        event.preventDefault();
        point(event);
      }}
      onPointerMove={(event) => {
        if (event.currentTarget.hasPointerCapture(event.pointerId)) point(event);
      }}
    >
      <svg ref={square} viewBox={`${-EDGE} ${-EDGE} ${2 * EDGE} ${2 * EDGE}`} aria-hidden="true">
        <rect class="pad-ground" x={-REACH} y={-REACH} width={2 * REACH} height={2 * REACH} rx={1} />
        {TICKS.map((tick) => (
          <g key={tick} class={tick === 0 ? 'pad-axis' : 'pad-grid'}>
            <line x1={tick} y1={-REACH} x2={tick} y2={REACH} />
            <line x1={-REACH} y1={tick} x2={REACH} y2={tick} />
          </g>
        ))}
        {[10, 20].map((tick) => (
          <g key={tick} class="pad-tick">
            <text x={tick} y={2.9}>
              {tick}°
            </text>
            <text x={-tick} y={2.9}>
              {tick}°
            </text>
            <text x={0.8} y={-tick + 0.9} class="beside">
              {tick}°
            </text>
            <text x={0.8} y={tick + 0.9} class="beside">
              {tick}°
            </text>
          </g>
        ))}
        <g class="pad-word">
          <text x={0} y={-REACH - 2.5}>
            Nose up
          </text>
          <text x={0} y={REACH + 5}>
            Nose down
          </text>
          <text transform={`translate(${REACH + 4.6} 0) rotate(-90)`}>Right side down</text>
          <text transform={`translate(${-REACH - 2.6} 0) rotate(-90)`}>Left side down</text>
        </g>
        {openCase.value?.file.conditions.map((each) => (
          <path
            key={each.id}
            class={each.n < 0 ? 'pad-mark inverted' : 'pad-mark'}
            transform={`translate(${clamp(each.roll_deg)} ${-clamp(each.pitch_deg)})`}
            d="M0 -1.3 L1.3 0 L0 1.3 L-1.3 0 Z"
          >
            <title>{`${each.name ?? each.id}: ${showCondition(each)}`}</title>
          </path>
        ))}
        <g class={isBeyond ? 'pad-handle beyond' : 'pad-handle'} transform={`translate(${x} ${y})`}>
          <line x1={-5} y1={0} x2={5} y2={0} />
          <line x1={0} y1={-5} x2={0} y2={5} />
          <circle r={2.2} />
        </g>
        {isBeyond && (
          <text class="pad-beyond" x={0} y={-REACH + 4}>
            beyond the pad: see the numbers
          </text>
        )}
      </svg>
    </div>
  );
}

export function Attitude() {
  const { pitch_deg, roll_deg, n } = condition.value;
  const problem = settleProblem.value;
  const isAttitudeProblem = problem !== null && (problem.error.code === 'no-gravity' || problem.error.code === 'condition-not-finite');
  return (
    <section class="panel attitude" aria-labelledby="attitude-title">
      <header>
        <h2 id="attitude-title">Attitude</h2>
        <span class="said">{showCondition(condition.value)}</span>
        <button type="button" class="quiet" onClick={() => setAttitude(LEVEL)}>
          Set level
        </button>
      </header>
      <div class="attitude-body">
        <AttitudePad />
        <div class="attitude-numbers">
          <Tilt kind="pitch" angle_deg={pitch_deg} />
          <NumberField
            label="Pitch"
            hint="Nose up is positive"
            value={pitch_deg}
            unit="°"
            step={1}
            size="large"
            onTake={({ value }) => void setAttitude({ pitch_deg: value })}
          />
          <Tilt kind="roll" angle_deg={roll_deg} />
          <NumberField
            label="Roll"
            hint="Right side down is positive"
            value={roll_deg}
            unit="°"
            step={1}
            size="large"
            onTake={({ value }) => void setAttitude({ roll_deg: value })}
          />
          <NumberField
            label="Load factor n"
            hint="1 at rest; below 0 the fuel lies on the ceiling"
            value={n}
            unit={null}
            size="large"
            onTake={({ value }) => void setAttitude({ n: value })}
          />
        </div>
      </div>
      {isAttitudeProblem && (
        <p class="field-problem" role="alert">
          {problem.text}
        </p>
      )}
      <div class="pad-foot">
        <p id="pad-keys" class="keys">
          Drag, or arrow keys (Shift 5°). ◇ conditions
        </p>
        {sampleHistory.value !== undefined && replay.value.kind === 'none' && (
          <button type="button" onClick={() => void replaySample()}>
            Replay the sample circuit
          </button>
        )}
      </div>
    </section>
  );
}

/** A small figure that tilts as the aircraft does: from the left side for pitch, from behind for roll. */
function Tilt({ kind, angle_deg }: { readonly kind: 'pitch' | 'roll'; readonly angle_deg: number }) {
  return (
    <svg class="tilt" viewBox="-20 -10 40 20" aria-hidden="true">
      <line class="tilt-level" x1={-19} y1={0} x2={19} y2={0} />
      <g transform={`rotate(${angle_deg})`}>
        {kind === 'pitch' ? (
          <path d="M-15 1 C-14 -2 -8 -3 0 -2.4 L12 -1.2 L15 -6 L16.5 -6 L15.6 0.6 C8 2.6 -12 3.4 -15 1 Z" />
        ) : (
          <path d="M-17 -1.6 L-3 -1.4 C-2 -3.2 2 -3.2 3 -1.4 L17 -1.6 L17 -0.4 L3.2 0.8 C2.4 3.4 -2.4 3.4 -3.2 0.8 L-17 -0.4 Z M-0.5 -3 L-0.4 -7.5 L0.4 -7.5 L0.5 -3 Z" />
        )}
      </g>
    </svg>
  );
}

const clamp = (value: number): number => Math.min(REACH, Math.max(-REACH, value));
