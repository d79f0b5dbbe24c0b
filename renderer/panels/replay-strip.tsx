/** The strip under the view that plays a recorded manoeuvre: time line, plots, and when an outlet is dry. */
import type { DryInterval, ReplayAnswer } from '../../shared/replay-answer.ts';
import {
  closeReplay,
  dryNow,
  goTo,
  isPlaying,
  pause,
  play,
  type Replay,
  replay,
  row,
  rowAt,
  SPEEDS,
  showInterval,
  speed,
} from '../replaying.ts';
import { showFuel, showLength, showShare } from '../show.ts';
import { isRecorded, openCase } from '../state.ts';
import { PLOT, traceOf } from '../trace.ts';

export function ReplayStrip() {
  const now = replay.value;
  if (now.kind === 'none') return null;
  return (
    <section class="panel replay" aria-labelledby="replay-title" data-testid="replay" data-state={now.kind} onKeyDown={onKey}>
      <header>
        <h2 id="replay-title">Replay</h2>
        <span class="aside">{now.name}</span>
        {now.kind === 'ready' ? <Controls answer={now.answer} /> : <Running now={now} />}
        <button type="button" class="quiet" onClick={closeReplay}>
          {now.kind === 'ready' ? 'Close' : 'Stop'}
        </button>
      </header>
      {now.kind === 'ready' && <Film answer={now.answer} />}
    </section>
  );
}

/** Space starts and stops it, wherever the focus is in the strip; the arrows move the time line. */
function onKey(event: KeyboardEvent): void {
  const target = event.target as HTMLElement;
  if (event.key !== ' ' || target.tagName === 'BUTTON') return;
  event.preventDefault();
  toggle();
}

const toggle = (): void => (isPlaying.value ? pause() : play());

function Running({ now }: { readonly now: Replay & { readonly kind: 'running' } }) {
  return (
    <>
      <span class="aside">Being worked out, row by row: {showShare(Math.floor(now.share * 100) / 100)}</span>
      <progress aria-label="Share of the replay done" max={1} value={now.share} />
    </>
  );
}

function Controls({ answer }: { readonly answer: ReplayAnswer }) {
  const { time_s } = answer;
  const [start, end] = [time_s[0]!, time_s[time_s.length - 1]!];
  const at = row.value;
  return (
    <>
      <button type="button" class="play" aria-pressed={isPlaying.value} onClick={toggle}>
        {isPlaying.value ? 'Pause' : 'Play'}
      </button>
      <fieldset class="speeds">
        <legend class="spoken">Speed</legend>
        {SPEEDS.map((each) => (
          <label key={each}>
            <input
              type="radio"
              name="speed"
              checked={speed.value === each}
              onChange={() => {
                speed.value = each;
              }}
            />
            {each}×
          </label>
        ))}
      </fieldset>
      <span class="clock">
        {clock(time_s[at]! - start)} of {clock(end - start)}
      </span>
    </>
  );
}

function Film({ answer }: { readonly answer: ReplayAnswer }) {
  const { time_s, dry } = answer;
  const [start, end] = [time_s[0]!, time_s[time_s.length - 1]!];
  return (
    <div class="film">
      <div class="plots">
        <TimeLine answer={answer} />
        <Plots answer={answer} />
        <p class="said-now" data-testid="replay-now">
          {isRecorded.value ? (
            <Said answer={answer} />
          ) : (
            'Your own attitude, the fuel on board spread evenly. Play, or move the time line, to go back.'
          )}
        </p>
      </div>
      <div class="dry-list">
        <h3>{dry.length === 0 ? 'No outlet is ever dry' : `Outlets dry ${dry.length === 1 ? 'once' : `${dry.length} times`}`}</h3>
        <ul aria-label="Dry intervals">
          {dry.map((each, i) => (
            <li key={i} class={each.isEngine ? 'engine' : ''}>
              <span>
                <b>{each.isFullyDry ? 'Dry' : 'Partly dry'}</b> {clockOf(each, start, end)}
                <br />
                {outletOf(each)}, <small> {showFuel(each.fuelOnBoard_m3)} on board</small>
              </span>
              <button
                type="button"
                class="quiet"
                aria-label={`Show me: ${outletOf(each)} dry from ${clock(each.from_s - start)}`}
                onClick={() => showInterval(each)}
              >
                Show me
              </button>
            </li>
          ))}
        </ul>
        {answer.notices.map((notice) => (
          <p key={notice} class="keys">
            {notice}
          </p>
        ))}
      </div>
    </div>
  );
}

/** What a row shows in one line. */
function sayRow({ time_s, fuel_m3 }: ReplayAnswer): string {
  const dry = dryNow.value.length === 0 ? '' : `, dry: ${dryNow.value.map(outletOf).join('; ')}`;
  return `${clock(time_s[row.value]! - time_s[0]!)}, ${showFuel(fuel_m3[row.value]!)} on board${dry}`;
}

const Said = ({ answer }: { readonly answer: ReplayAnswer }) => <>{sayRow(answer)}</>;

function TimeLine({ answer }: { readonly answer: ReplayAnswer }) {
  return (
    <input
      type="range"
      min={0}
      max={answer.time_s.length - 1}
      step={1}
      aria-label="Time"
      aria-valuetext={sayRow(answer)}
      value={row.value}
      onInput={(event) => {
        pause();
        goTo(Number(event.currentTarget.value));
      }}
    />
  );
}

function Cursor({ answer: { time_s } }: { readonly answer: ReplayAnswer }) {
  const [from, to] = [time_s[0]!, time_s[time_s.length - 1]!];
  return <span class="cursor" style={{ left: `${(100 * (time_s[row.value]! - from)) / (to - from || 1)}%` }} />;
}

function Plots({ answer }: { readonly answer: ReplayAnswer }) {
  const { time_s, tanks, dry } = answer;
  const [from, to] = [time_s[0]!, time_s[time_s.length - 1]!];
  const outlets = tanks.flatMap((tank) => tank.outlets.map((outlet) => ({ tank: tank.id, ...outlet })));
  const depths = outlets.flatMap(({ depth_m }) => depth_m.filter((depth) => depth !== null));
  const [low, high] = [depths.reduce((a, b) => Math.min(a, b), 0), depths.reduce((a, b) => Math.max(a, b), 0)];
  const most = answer.fuel_m3.reduce((a, b) => Math.max(a, b), 0);
  const top = high + HEADROOM * (high - low);
  const left = (time: number): string => `${(100 * (time - from)) / (to - from || 1)}%`;
  const wide = (interval: DryInterval): string => `${(100 * (interval.to_s - interval.from_s)) / (to - from || 1)}%`;
  const level = `${(100 * top) / (top - low || 1)}%`;
  const scrub = (event: PointerEvent & { readonly currentTarget: HTMLElement }): void => {
    if (event.buttons !== 1) return;
    const box = event.currentTarget.getBoundingClientRect();
    pause();
    goTo(rowAt(time_s, from + ((event.clientX - box.left) / box.width) * (to - from)));
  };
  return (
    <div class="plot" onPointerDown={scrub} onPointerMove={scrub} aria-hidden="true">
      {dry.map((each, i) => (
        <span key={i} class={`band ${each.isEngine ? 'engine' : ''}`} style={{ left: left(each.from_s), width: wide(each) }} />
      ))}
      <div class="depth">
        <span class="zero" style={{ top: level }} />
        <svg viewBox={`0 0 ${PLOT.width} ${PLOT.height}`} preserveAspectRatio="none" aria-hidden="true">
          {outlets.map(({ tank, id, isEngine, depth_m }, i) => (
            <path
              key={`${tank}/${id}`}
              class={isEngine ? 'trace engine' : `trace dashed-${i % 3}`}
              d={traceOf(time_s, depth_m, { from, to, low, high: top })}
            />
          ))}
        </svg>
        <span class="plot-word">
          Over the outlets: {showLength(low)} to {showLength(high)}
        </span>
      </div>
      <div class="on-board">
        <svg viewBox={`0 0 ${PLOT.width} ${PLOT.height}`} preserveAspectRatio="none" aria-hidden="true">
          <path class="trace fuel" d={traceOf(time_s, answer.fuel_m3, { from, to, low: 0, high: most * (1 + 4 * HEADROOM) })} />
        </svg>
        <span class="plot-word">Fuel on board, up to {showFuel(most)}</span>
      </div>
      <Cursor answer={answer} />
    </div>
  );
}

/** Of the plot's height, kept free for its words. */
const HEADROOM = 0.3;

function outletOf({ tank, outlet }: Pick<DryInterval, 'tank' | 'outlet'>): string {
  const file = openCase.value?.file.tanks.find(({ id }) => id === tank);
  const name = file?.fittings.find(({ id }) => id === outlet)?.name ?? outlet;
  return `${file?.name ?? tank}, ${name}`;
}

function clockOf({ from_s, to_s, isOpenStart, isOpenEnd }: DryInterval, start: number, end: number): string {
  const begin = isOpenStart ? 'from the start' : clock(from_s - start);
  return `${begin} to ${isOpenEnd ? `the end (${clock(end - start)})` : clock(to_s - start)}`;
}

/** "2:05.3": minutes, seconds, tenths. */
function clock(time_s: number): string {
  const tenths = Math.round(time_s * 10);
  const [minutes, rest] = [Math.floor(tenths / 600), tenths % 600];
  return `${minutes}:${String(Math.floor(rest / 10)).padStart(2, '0')}${rest % 10 === 0 ? '' : `.${rest % 10}`}`;
}
