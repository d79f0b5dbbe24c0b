/** The page's one way to the shell: `shellBridge`, with the keys of shared/shell-bridge.ts and no other. Sandboxed, so it may import little. */
import { contextBridge, ipcRenderer, webUtils } from 'electron';
import type { Outcome } from '../shared/outcome.ts';
import type { PickedFile, Problem, ShellBridge, ShellCommand } from '../shared/shell-bridge.ts';
import { describeShellError, type ShellError } from '../shared/shell-errors.ts';
import { onWire, TO_PAGE } from './wire.ts';

async function ask<T>(channel: string, ...args: unknown[]): Promise<T> {
  const outcome: Outcome<T, ShellError> = await ipcRenderer.invoke(onWire(channel), ...args);
  if (!outcome.ok) throw new Error(describeShellError(outcome.error));
  return outcome.value;
}

/** Resolves when main knows the paths of the last drop. */
let dropNoted: Promise<void> = Promise.resolve();

// Before the page's own listeners. `isTrusted`: a person dropped it, no script. Electron 32 and later tell a path through webUtils, earlier
// ones on the file itself (from memory); a file made by script has none.
window.addEventListener(
  'drop',
  (event) => {
    if (!event.isTrusted || !event.dataTransfer) return;
    const pathOf = (file: File): string => webUtils?.getPathForFile(file) ?? (file as File & { path?: string }).path ?? '';
    dropNoted = ask(
      'noteDrop',
      [...event.dataTransfer.files].slice(0, 64).map((file) => ({ name: file.name, path: pathOf(file) })),
    );
    dropNoted.catch(() => undefined);
  },
  { capture: true },
);

const bridge: ShellBridge = {
  kind: 'electron',
  startFile: () => ask('startFile'),
  samples: () => ask('samples'),
  openSample: (name) => ask('openSample', name),
  pickFile: () => ask('pickFile'),
  dropped: async (name) => {
    await dropNoted;
    return ask('dropped', name);
  },
  readBeside: (handle, name) => ask('readBeside', handle, name),
  save: (suggestedName, bytes) => ask('save', suggestedName, bytes),
  // The event object stays here: it would hand the page the raw bus.
  onOpen: (listener) => void ipcRenderer.on(TO_PAGE.open, (_event, file: PickedFile | Problem) => listener(file)),
  onCommand: (listener) => void ipcRenderer.on(TO_PAGE.command, (_event, command: ShellCommand) => listener(command)),
};
contextBridge.exposeInMainWorld('shellBridge', bridge);
