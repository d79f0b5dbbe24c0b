/**
 * The shell's stand-in where the page runs in a browser: files by `<input type=file>` and drops, saving by a download, samples and the start
 * file from the loopback server. Only what the person picked, or the server hands out, can be read.
 */
import type { PickedFile, Problem, ShellBridge } from '../shared/shell-bridge.ts';

const MOST_BYTES = 256 * 2 ** 20;
/** Files picked or dropped together: a mesh "beside" a case is one of the same set. */
const sets = new Map<string, readonly File[]>();
let lastDrop: string | null = null;

addEventListener(
  'drop',
  (event) => {
    const files = [...(event.dataTransfer?.files ?? [])];
    lastDrop = files.length === 0 ? null : rememberSet(files);
  },
  { capture: true },
);

export const browserShell: ShellBridge = {
  kind: 'browser',
  async startFile() {
    const note = (await askJson('start.json')) as { name: string } | Problem | null;
    return note === null || 'problem' in note ? note : served('start', note.name);
  },
  samples: () => askJson('samples.json') as Promise<readonly string[]>,
  openSample: (name) => served('samples', `${name}.case.json`),
  async pickFile() {
    const files = await chooseFiles();
    const first = files.find((file) => file.name.toLowerCase().endsWith('.json')) ?? files[0];
    return first === undefined ? null : picked(first, files);
  },
  dropped: async (name) => (lastDrop !== null && sets.get(lastDrop)?.some((file) => file.name === name) ? lastDrop : null),
  async readBeside(handle, name) {
    const set = sets.get(handle);
    if (set === undefined) return ask(handle, name);
    const file = set.find((one) => one.name === name.split('/').at(-1));
    return file === undefined || file.size > MOST_BYTES ? null : file.arrayBuffer();
  },
  async save(suggestedName, bytes) {
    const link = document.createElement('a');
    link.href = URL.createObjectURL(new Blob([bytes]));
    link.download = suggestedName;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000); // a slow disk must not find it gone
    return { name: suggestedName };
  },
  onOpen: () => undefined, // nobody else can hand a page a file
  onCommand: () => undefined, // and it has no menu of a shell's
};

function rememberSet(files: readonly File[]): string {
  const handle = `picked-${sets.size}`;
  sets.set(handle, files);
  return handle;
}

async function picked(file: File, set: readonly File[]): Promise<PickedFile | Problem> {
  if (file.size > MOST_BYTES) return { problem: `${file.name} has more than 256 MiB. Export it with fewer triangles.` };
  try {
    return { handle: rememberSet(set), name: file.name, bytes: await file.arrayBuffer() };
  } catch {
    return { problem: `${file.name} cannot be read. Check that you may read it, then try again.` };
  }
}

function chooseFiles(): Promise<readonly File[]> {
  const input = document.createElement('input');
  input.type = 'file';
  input.multiple = true;
  input.accept = '.json,.stl,.csv';
  return new Promise((resolve) => {
    input.addEventListener('change', () => resolve([...(input.files ?? [])]));
    input.addEventListener('cancel', () => resolve([]));
    input.click();
  });
}

async function served(place: string, name: string): Promise<PickedFile | Problem> {
  const bytes = await ask(place, name);
  return bytes === null ? { problem: `${name} was not handed out. Start the program again.` } : { handle: place, name, bytes };
}

async function ask(place: string, name: string): Promise<ArrayBuffer | null> {
  const answer = await fetch(`shell/${place}/${name.split('/').map(encodeURIComponent).join('/')}`);
  return answer.ok ? answer.arrayBuffer() : null;
}

async function askJson(name: string): Promise<unknown> {
  const answer = await fetch(`shell/${name}`);
  if (!answer.ok) throw new Error('The program that opened this window has ended. Start it again.');
  return answer.json();
}
