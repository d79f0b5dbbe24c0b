/** The 3D view with its switches: follows the state, and turns a click on a wall into a fitting to place. */
import { effect, signal } from '@preact/signals';
import { useEffect, useRef, useState } from 'preact/hooks';
import { cardSide, dropAt, isDropping, setDropping, waterPath } from '../dropping.ts';
import { filled, showAsBefore, showFilled } from '../filling.ts';
import { savePicture, viewCommands } from '../open.ts';
import { DropCard } from '../panels/drop-card.tsx';
import { PlaceFitting } from '../panels/place-fitting.tsx';
import { showCondition, showFuel } from '../show.ts';
import {
  fuelInHand_m3,
  isLate,
  isLoading,
  loaded,
  message,
  openCase,
  placing,
  pointedFitting,
  selectedFitting,
  settled,
  settleProblem,
  showsAllLabels,
  showsWater,
  staysLevel,
} from '../state.ts';
import { colourScheme } from '../theme.ts';
import { VIEWS, type ViewName } from './eye.ts';
import type { Box } from './label-layout.ts';
import { drawOverlay, type InkColours, readInk } from './overlay.ts';
import { overlayContent } from './overlay-content.ts';
import { pictureOf } from './picture.ts';
import { TankView } from './tank-view.ts';

const isParallel = signal(false);
/** A pointer that moved less than this between down and up was a click. */
const CLICK_px = 4;
/** A fitting's mark is pointed at within this. */
const REACH_px = 16;

export function TankPane() {
  const pane = useRef<HTMLElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const overlay = useRef<HTMLCanvasElement>(null);
  const view = useRef<TankView | null>(null);
  const [hasPicture, setHasPicture] = useState(true);

  useEffect(() => {
    try {
      const made = mount(pane.current!, canvas.current!, overlay.current!);
      view.current = made.view;
      return made.end;
    } catch (thrown) {
      console.warn(thrown);
      // The figures do not hang on the picture: the rest of the window goes on.
      setHasPicture(false);
      return undefined;
    }
  }, []);

  const look = (name: ViewName) => {
    view.current?.eye.look(name);
    view.current?.fit();
  };

  return (
    <section ref={pane} class={`view ${viewState()}`} aria-label="3D view">
      {/* biome-ignore lint/a11y/noInteractiveElementToNoninteractiveRole: it has its own keys, which a picture has not */}
      <canvas
        ref={canvas}
        data-testid="view-canvas"
        tabIndex={0}
        role="application"
        aria-roledescription="3D view"
        aria-label="Tanks with fuel, fittings and low points. The tables under At this attitude say the same in words."
      />
      {!hasPicture && (
        <p class="no-picture" role="status">
          No WebGL here, so no 3D view: figures, tables and findings are all there. Start it by npm start, or update the graphics driver.
        </p>
      )}
      <div class="view-overlay" aria-hidden="true">
        <canvas ref={overlay} />
      </div>
      <div class="view-bar" role="toolbar" aria-label="View">
        {(Object.keys(VIEWS) as ViewName[]).map((name) => (
          <button key={name} type="button" aria-label={VIEWS[name].name} onClick={() => look(name)}>
            {VIEWS[name].word}
          </button>
        ))}
        <button type="button" onClick={() => view.current?.fit()}>
          Fit
        </button>
        <button
          type="button"
          aria-pressed={!isParallel.value}
          onClick={() => {
            isParallel.value = !isParallel.value;
            view.current?.eye.setParallel(isParallel.value);
            view.current?.draw();
          }}
        >
          Perspective
        </button>
        <button type="button" aria-pressed={isDropping.value} onClick={() => setDropping(!isDropping.value)}>
          Drop water
        </button>
        <button
          type="button"
          aria-pressed={showsAllLabels.value}
          onClick={() => {
            showsAllLabels.value = !showsAllLabels.value;
          }}
        >
          All labels
        </button>
      </div>
      <div class="view-switches">
        <fieldset class="segments">
          <legend>What stays level</legend>
          {(['fuel', 'aircraft'] as const).map((each) => (
            <label key={each}>
              <input
                type="radio"
                name="stays-level"
                checked={staysLevel.value === each}
                onChange={() => {
                  staysLevel.value = each;
                }}
              />
              {each === 'fuel' ? 'Fuel' : 'Aircraft'}
            </label>
          ))}
        </fieldset>
        <label class="check">
          <input
            type="checkbox"
            checked={showsWater.value}
            onChange={(event) => {
              showsWater.value = event.currentTarget.checked;
            }}
          />
          What draining leaves
        </label>
        <label class="check">
          <input
            type="checkbox"
            checked={filled.value !== null}
            disabled={loaded.value === null}
            onChange={(event) => {
              if (event.currentTarget.checked) void showFilled();
              else showAsBefore();
            }}
          />
          Filled as far as it goes
        </label>
      </div>
      <PlaceFitting />
      <DropCard />
      {filled.value !== null && <AirKey />}
      {loaded.value === null && <p class="view-empty">Open a case or a mesh, or drop one here.</p>}
    </section>
  );
}

/** What the colours and patterns of the filled tanks stand for. */
function AirKey() {
  return (
    <ul class="air-key" aria-label="Key">
      <li class="key-fuel">Fuel</li>
      <li class="key-trapped">Air that cannot leave</li>
      <li class="key-vented">Expansion space, vented</li>
    </ul>
  );
}

function viewState(): string {
  if (isLoading.value) return 'loading';
  if (loaded.value === null || !isLate.value) return '';
  return settleProblem.value === null ? 'stale' : 'refused';
}

/** Ties the view to the state; one effect for each thing that can change alone. */
function mount(pane: HTMLElement, canvas: HTMLCanvasElement, overlay: HTMLCanvasElement): { view: TankView; end: () => void } {
  let ink: InkColours = readInk();
  const write = () => {
    const scale = Math.min(2, devicePixelRatio);
    const { clientWidth: width, clientHeight: height } = canvas;
    const context = overlay.getContext('2d')!;
    context.setTransform(scale, 0, 0, scale, 0, 0);
    drawOverlay(context, width, height, overlayContent(view, keptBoxes(pane)), ink);
  };
  const view = new TankView(canvas, write);
  const resizing = new ResizeObserver(() => {
    const { clientWidth: width, clientHeight: height } = canvas;
    if (width === 0 || height === 0) return;
    const scale = Math.min(2, devicePixelRatio);
    overlay.width = Math.round(width * scale);
    overlay.height = Math.round(height * scale);
    view.resize(width, height);
    if (view.eye.isFitted) view.fit();
  });
  resizing.observe(canvas);

  let fittedTo: unknown = null;
  const ends = [
    effect(() => {
      void colourScheme.value;
      ink = readInk();
      view.repaint();
    }),
    effect(() => {
      const now = loaded.value;
      if (now === null) return;
      view.showTanks(now);
      const meshes = openCase.value?.meshes;
      if (meshes !== fittedTo) view.fit();
      fittedTo = meshes;
    }),
    effect(() => {
      const file = openCase.value?.file;
      const answer = settled.value;
      if (file === undefined || loaded.value === null) return;
      const full = filled.value;
      if (full !== null) view.showFilled(full, file);
      else view.showSettled(answer?.view ?? null, file, showsWater.value);
      const at = full?.fill.condition ?? answer?.condition ?? null;
      view.turnTo(staysLevel.value === 'fuel' ? at : null);
    }),
    effect(() => view.showPath(waterPath.value)),
    effect(() => {
      const now = placing.value;
      view.showSpot(now === null ? null : (now.spots[now.spot] ?? null));
    }),
    effect(() => {
      void isLate.value;
      void message.value;
      void selectedFitting.value;
      void pointedFitting.value;
      void showsAllLabels.value;
      view.draw();
    }),
  ];
  const stopPointing = listenForClicks(canvas, view);

  viewCommands.fit = () => view.fit();
  viewCommands.savePicture = () => {
    const answer = settled.value;
    const caption = [
      openCase.value?.file.name ?? '',
      answer === null ? '' : showCondition(answer.condition),
      fuelInHand_m3.value === null ? '' : `fuel ${showFuel(fuelInHand_m3.value)}`,
    ];
    void pictureOf(view, overlayContent(view, []), ink, caption.filter((each) => each !== '').join(' · ')).then(savePicture);
  };
  return {
    view,
    end() {
      for (const end of ends) end();
      stopPointing();
      resizing.disconnect();
      view.dispose();
    },
  };
}

/** The fitting whose mark lies under a place of the view. */
function fittingNear(view: TankView, x: number, y: number): typeof pointedFitting.value {
  let nearest: typeof pointedFitting.value = null;
  let least = REACH_px;
  for (const { id, fittings } of openCase.value?.file.tanks ?? []) {
    for (const fitting of fittings) {
      const at = view.project(fitting.at_m);
      const away = Math.hypot(at.x - x, at.y - y);
      if (away >= least) continue;
      nearest = { tank: id, fitting: fitting.id };
      least = away;
    }
  }
  return nearest;
}

/** What lies over the view, so that no label hides beneath it. */
function keptBoxes(pane: HTMLElement): Box[] {
  const origin = pane.getBoundingClientRect();
  return [...document.querySelectorAll('.view-bar, .view-switches, .place-card, .air-key, .message')].map((each) => {
    const box = each.getBoundingClientRect();
    return { x: box.left - origin.left, y: box.top - origin.top, width: box.width, height: box.height };
  });
}

function listenForClicks(canvas: HTMLCanvasElement, view: TankView): () => void {
  let from: { readonly x: number; readonly y: number } | null = null;
  const down = (event: PointerEvent) => {
    from = event.button === 0 ? { x: event.clientX, y: event.clientY } : null;
  };
  const up = (event: PointerEvent) => {
    if (from === null || Math.hypot(event.clientX - from.x, event.clientY - from.y) > CLICK_px) return;
    const box = canvas.getBoundingClientRect();
    const spots = view.wallsAt(event.clientX - box.left, event.clientY - box.top);
    if (isDropping.value) {
      cardSide.value = event.clientX - box.left < box.width / 2 ? 'right' : 'left';
      return dropAt(...spots.map(({ at_m }) => at_m));
    }
    const hasOutlet = openCase.value?.file.tanks
      .find((tank) => tank.id === spots[0]?.tank)
      ?.fittings.some((each) => each.kind === 'outlet');
    placing.value = spots.length === 0 ? null : { spots, spot: 0, kind: placing.value?.kind ?? (hasOutlet ? 'drain' : 'outlet') };
  };
  const key = (event: KeyboardEvent) => {
    const moves: Record<string, () => void> = {
      ArrowLeft: () => view.eye.turn(-5, 0),
      ArrowRight: () => view.eye.turn(5, 0),
      ArrowUp: () => view.eye.turn(0, 5),
      ArrowDown: () => view.eye.turn(0, -5),
      '+': () => view.eye.nearer(1.1),
      '=': () => view.eye.nearer(1.1),
      '-': () => view.eye.nearer(1 / 1.1),
      Home: () => view.fit(),
      Escape: () => {
        placing.value = null;
        setDropping(false);
      },
    };
    const move = moves[event.key];
    if (move === undefined) return;
    event.preventDefault();
    move();
  };
  const hover = (event: PointerEvent) => {
    if (event.buttons !== 0) return;
    const box = canvas.getBoundingClientRect();
    const found = fittingNear(view, event.clientX - box.left, event.clientY - box.top);
    const before = pointedFitting.value;
    if (found?.tank !== before?.tank || found?.fitting !== before?.fitting) pointedFitting.value = found;
  };
  const away = () => {
    pointedFitting.value = null;
  };
  canvas.addEventListener('pointermove', hover);
  canvas.addEventListener('pointerleave', away);
  canvas.addEventListener('pointerdown', down);
  canvas.addEventListener('pointerup', up);
  canvas.addEventListener('keydown', key);
  return () => {
    canvas.removeEventListener('pointermove', hover);
    canvas.removeEventListener('pointerleave', away);
    canvas.removeEventListener('pointerdown', down);
    canvas.removeEventListener('pointerup', up);
    canvas.removeEventListener('keydown', key);
  };
}
