/** The window: four regions around one case, and what happens when files are dropped on it. */

import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { openDropped } from './open.ts';
import { AtThisAttitude } from './panels/at-this-attitude.tsx';
import { Attitude } from './panels/attitude-pad.tsx';
import { CaseOutline } from './panels/case-outline.tsx';
import { Findings } from './panels/findings.tsx';
import { FuelPanel } from './panels/fuel-amount.tsx';
import { MessageBar } from './panels/message-bar.tsx';
import { ReplayStrip } from './panels/replay-strip.tsx';
import { Toolbar } from './panels/toolbar.tsx';
import { UnitQuestion } from './panels/unit-question.tsx';
import { findingsState, isCurrent, isEdited, isLoading, openCase, settleProblem } from './state.ts';
import { TankPane } from './view/tank-pane.tsx';

/** What a drop would do, while files hang over the window. */
const hanging = signal<string | null>(null);

export function App() {
  useEffect(() => {
    const name = openCase.value?.file.name;
    document.title = name === undefined ? 'Lowpoint' : `${name}${isEdited.value ? ', not saved' : ''} – Lowpoint`;
  }, [openCase.value, isEdited.value]);
  useEffect(watchDrops, []);
  const findingsWord = findingsState.value.kind === 'stopped' || findingsState.value.kind === 'failed' ? 'stale' : findingsState.value.kind;
  return (
    <div
      class="window"
      data-testid="window"
      data-state={openCase.value === null ? (isLoading.value ? 'loading' : 'empty') : isLoading.value ? 'loading' : 'ready'}
      data-settled={settleProblem.value !== null && !isCurrent.value ? 'refused' : isCurrent.value ? 'current' : 'stale'}
      data-findings={findingsWord}
    >
      <header>
        <Toolbar />
      </header>
      <main>
        <CaseOutline />
        <TankPane />
        <MessageBar />
        <div class="side">
          <Attitude />
          <FuelPanel />
          <AtThisAttitude />
        </div>
        <ReplayStrip />
        <Findings />
      </main>
      <UnitQuestion />
      {hanging.value !== null && (
        <div class="drop-target" data-testid="drop-target">
          <p>{hanging.value}</p>
        </div>
      )}
    </div>
  );
}

function watchDrops(): () => void {
  let depth = 0;
  const carriesFiles = (event: DragEvent) => event.dataTransfer?.types.includes('Files') ?? false;
  const enter = (event: DragEvent) => {
    if (!carriesFiles(event)) return;
    event.preventDefault();
    depth++;
    hanging.value = promise(event.dataTransfer!);
  };
  const over = (event: DragEvent) => {
    if (carriesFiles(event)) event.preventDefault();
  };
  const leave = () => {
    depth = Math.max(0, depth - 1);
    if (depth === 0) hanging.value = null;
  };
  const drop = (event: DragEvent) => {
    depth = 0;
    hanging.value = null;
    if (!carriesFiles(event)) return;
    event.preventDefault();
    void openDropped([...event.dataTransfer!.files]);
  };
  const listeners = { dragenter: enter, dragover: over, dragleave: leave, drop } as const;
  for (const [name, listener] of Object.entries(listeners)) window.addEventListener(name, listener as EventListener);
  return () => {
    for (const [name, listener] of Object.entries(listeners)) window.removeEventListener(name, listener as EventListener);
  };
}

/** Names are hidden until the drop; the kinds are enough to say no early. */
function promise(transfer: DataTransfer): string {
  const kinds = [...transfer.items].map((item) => item.type);
  const wrong = kinds.length > 0 && kinds.every((kind) => /^(image|audio|video|text\/(html|css))/.test(kind));
  if (wrong) return 'This kind cannot be opened. Drop a case (.json) with its meshes, one mesh (.stl), or a history (.csv).';
  return kinds.length > 1
    ? 'Drop to open: a case (.json) together with its meshes (.stl)'
    : 'Drop to open: a case (.json), a mesh (.stl) or a history (.csv)';
}
