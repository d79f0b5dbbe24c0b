/** Everything by which a case or a mesh gets into the window, and out of it again. */
import { computed, signal } from '@preact/signals';
import type { MeshUnit } from '../shared/case.ts';
import { describeCaseError } from '../shared/case-errors.ts';
import type { MeshGlance } from '../shared/engine-contract.ts';
import { describeError } from '../shared/errors.ts';
import type { PickedFile, Problem, ShellBridge } from '../shared/shell-bridge.ts';
import { caseAround } from './case-edit.ts';
import { openHistory } from './replaying.ts';
import { complain, isEdited, live, message, type OpenCase, openCase, savedFile, say, useCase } from './state.ts';

let shell: ShellBridge;

/** Samples the shell offers, the one shown at start first. */
export const samples = signal<readonly string[]>([]);

/** A mesh that waits for its unit. */
export interface UnitQuestion {
  readonly name: string;
  readonly bytes: ArrayBuffer;
  readonly glance: MeshGlance;
}
export const unitQuestion = signal<UnitQuestion | null>(null);

/** What the shell's menu may ask of the view; the view sets it. */
export const viewCommands: { fit: () => void; savePicture: () => void } = { fit: () => undefined, savePicture: () => undefined };

export function useShell(bridge: ShellBridge): void {
  shell = bridge;
  shell.onOpen((file) => void openPicked(file));
  shell.onCommand((command) => {
    if (command === 'open') void pickAndOpen();
    if (command === 'save-picture') viewCommands.savePicture();
    if (command === 'whole-view') viewCommands.fit();
    if (command === 'help') document.getElementById('help')?.showPopover();
  });
}

export async function openAtStart(): Promise<void> {
  await guarded(async () => {
    samples.value = await shell.samples();
    const start = await shell.startFile();
    if (start !== null && !isProblem(start)) return openPicked(start);
    const [first] = samples.value;
    if (first !== undefined) await openSample(first);
    if (start !== null) complain(start.problem);
  });
}

export const openSample = (name: string): Promise<void> =>
  guarded(async () => {
    const file = await shell.openSample(name);
    if (isProblem(file)) complain(file.problem);
    else await openBytes(file.name, file.bytes, (mesh) => shell.readBeside(file.handle, mesh), { kind: 'sample', name });
  });

/** Recorded manoeuvres that lie beside the samples. */
const SAMPLE_HISTORIES: Readonly<Record<string, string>> = { 'low-wing': 'low-wing-circuit.csv' };

export const sampleHistory = computed(() => {
  const origin = openCase.value?.origin;
  return origin?.kind === 'sample' ? SAMPLE_HISTORIES[origin.name] : undefined;
});

export const replaySample = (): Promise<void> =>
  guarded(async () => {
    const sample = openCase.value?.origin.name;
    const history = sampleHistory.value;
    if (sample === undefined || history === undefined) return;
    const file = await shell.openSample(sample);
    if (isProblem(file)) return complain(file.problem);
    const bytes = await shell.readBeside(file.handle, history);
    if (bytes === null) return complain(`${history} was not handed out. Start the program again.`);
    await openHistory(history, new TextDecoder().decode(bytes));
  });

export const pickAndOpen = (): Promise<void> =>
  guarded(async () => {
    const file = await shell.pickFile();
    if (file !== null) await openPicked(file);
  });

const openPicked = (file: PickedFile | Problem): Promise<void> =>
  guarded(async () => {
    if (isProblem(file)) complain(file.problem);
    else await openBytes(file.name, file.bytes, (mesh) => shell.readBeside(file.handle, mesh), { kind: 'file', name: file.name });
  });

/** Files dropped together: a case with its meshes, a case alone where the shell can find them, or one mesh. */
export const openDropped = (files: readonly File[]): Promise<void> =>
  guarded(async () => {
    const cases = files.filter((file) => endsWith(file.name, '.json'));
    const meshes = files.filter((file) => endsWith(file.name, '.stl'));
    const first = cases[0] ?? (meshes.length === 1 ? meshes[0] : undefined);
    if (cases.length > 1) return complain(`${cases.length} cases were dropped. Drop one case at a time, with its meshes.`);
    if (first === undefined && meshes.length > 1) {
      return complain(`${meshes.length} meshes were dropped without a case. Drop one mesh, or the case with its meshes.`);
    }
    const history = files.find((file) => endsWith(file.name, '.csv'));
    if (first === undefined && history !== undefined) return openHistory(history.name, await history.text());
    if (first === undefined) return complain(wrongKind(files[0]?.name ?? 'This'));
    const handle = await shell.dropped(first.name);
    const dropped = new Map(meshes.map((file) => [file.name, file]));
    await openBytes(
      first.name,
      await first.arrayBuffer(),
      async (mesh) => (await dropped.get(baseName(mesh))?.arrayBuffer()) ?? (handle === null ? null : shell.readBeside(handle, mesh)),
      { kind: 'file', name: first.name },
    );
    if (history !== undefined) await openHistory(history.name, await history.text());
  });

type FindMesh = (name: string) => Promise<ArrayBuffer | null>;

async function openBytes(name: string, bytes: ArrayBuffer, findMesh: FindMesh, origin: OpenCase['origin']): Promise<void> {
  if (endsWith(name, '.json')) await openCaseText(name, new TextDecoder().decode(bytes), findMesh, origin);
  else if (endsWith(name, '.stl')) await askUnit(name, bytes);
  else if (endsWith(name, '.csv')) await openHistory(name, new TextDecoder().decode(bytes));
  else complain(wrongKind(name));
}

async function openCaseText(name: string, text: string, findMesh: FindMesh, origin: OpenCase['origin']): Promise<void> {
  const read = await live.ask((engine) => engine.readCase(text));
  if (!read.ok) return complain(`${name}: ${describeError(read.error)}`);
  const meshes: Record<string, ArrayBuffer> = {};
  const missing: string[] = [];
  for (const { id, geometry } of read.value.tanks) {
    if (geometry.kind !== 'mesh' || geometry.file in meshes) continue;
    const bytes = await findMesh(geometry.file);
    if (bytes !== null) meshes[geometry.file] = bytes;
    else missing.push(describeCaseError({ code: 'case-mesh-missing', tank: id, file: geometry.file, why: 'not-found' }));
  }
  if (missing.length > 0) return complain(`${name}: ${missing.join(' ')}`);
  const refused = await replaceCase({ file: read.value, meshes, origin }, null);
  if (refused !== null) complain(`${name}: ${refused}`);
}

/**
 * Shows another case. Nobody is asked before: where the one before had changes that were not saved, the way back is offered.
 * @param note - what to say of the new case
 */
async function replaceCase(next: OpenCase, note: string | null): Promise<string | null> {
  const before = isEdited.value ? openCase.value : null;
  const refused = await useCase(next);
  if (refused !== null) return refused;
  if (before === null) {
    message.value = note === null ? null : { kind: 'note', text: note };
    return null;
  }
  const bringBack = () =>
    void guarded(async () => {
      const lost = await replaceCase(before, null);
      if (lost !== null) return complain(`${before.file.name}: ${lost}`);
      savedFile.value = null;
    });
  message.value = {
    kind: 'note',
    text: `${note === null ? '' : `${note} `}"${before.file.name}" had changes that were not saved.`,
    action: { word: 'Bring it back', run: bringBack },
  };
  return null;
}

/** An STL carries no unit and none is guessed: the person sees what each would make of it and chooses. */
async function askUnit(name: string, bytes: ArrayBuffer): Promise<void> {
  const glance = await live.ask((engine) => engine.glanceAtMesh(name, bytes));
  if (!glance.ok) return complain(`${name}: ${describeError(glance.error)}`);
  message.value = null;
  unitQuestion.value = { name, bytes, glance: glance.value };
}

export async function openMeshIn(unit: MeshUnit): Promise<void> {
  const question = unitQuestion.value;
  if (question === null) return;
  unitQuestion.value = null;
  const { name, bytes } = question;
  const made: OpenCase = { file: caseAround(name, unit), meshes: { [name]: bytes }, origin: { kind: 'mesh', name } };
  const refused = await replaceCase(made, 'A new case was made around the mesh. Click on the tank wall to place an outlet.');
  if (refused !== null) complain(refused); // it names the file itself
}

export const saveCase = (): Promise<void> =>
  guarded(async () => {
    const now = openCase.value;
    if (now === null) return;
    const text = `${JSON.stringify(now.file, null, 2)}\n`;
    const saved = await shell.save(`${fileStem(now.file.name)}.case.json`, new TextEncoder().encode(text).buffer);
    if (saved === null) return;
    if (isProblem(saved)) complain(saved.problem);
    else {
      savedFile.value = now.file;
      say(`Saved ${saved.name}. Keep it in one folder with ${Object.keys(now.meshes).join(', ')}.`);
    }
  });

export const savePicture = (picture: Blob): Promise<void> =>
  guarded(async () => {
    const saved = await shell.save(`${fileStem(openCase.value?.file.name ?? 'view')}.png`, await picture.arrayBuffer());
    if (saved === null) return;
    if (isProblem(saved)) complain(saved.problem);
    else say(`Saved ${saved.name}.`);
  });

/** A shell that fails to answer becomes one line, never a lost promise. */
async function guarded(work: () => Promise<void>): Promise<void> {
  try {
    await work();
  } catch (thrown) {
    complain(`That did not work: ${thrown instanceof Error ? thrown.message : String(thrown)}. Try again.`);
  }
}

const isProblem = (answer: object): answer is Problem => 'problem' in answer;
const endsWith = (name: string, ending: string): boolean => name.toLowerCase().endsWith(ending);
const baseName = (path: string): string => path.slice(path.lastIndexOf('/') + 1);
const wrongKind = (name: string): string => `${name} is neither a case (.json) nor a mesh (.stl), nor a history (.csv). Open one of these.`;
const fileStem = (name: string): string =>
  name
    .replace(/[^A-Za-z0-9 _-]+/g, ' ')
    .trim()
    .replace(/\s+/g, '-') || 'case';
