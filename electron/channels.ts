/**
 * The words between preload and main: one channel for each thing the bridge does, with the shape its arguments must have.
 * No Electron in here, so every channel can be tested with any argument.
 */
import * as v from 'valibot';
import { done, failed, type Outcome } from '../shared/outcome.ts';
import type { PickedFile, Problem } from '../shared/shell-bridge.ts';
import { describeShellError, type ShellError } from '../shared/shell-errors.ts';
import { MOST_BYTES, type OpenedFiles, sampleNames } from './file-access.ts';

const text = v.pipe(v.string(), v.maxLength(1024));
const bytes = v.pipe(
  v.instance(ArrayBuffer),
  v.check((buffer) => buffer.byteLength <= MOST_BYTES, 'too many bytes'),
);
const dropList = v.pipe(v.array(v.strictObject({ name: text, path: v.pipe(v.string(), v.maxLength(8192)) })), v.maxLength(64));

/** What each channel takes. */
const ARGUMENTS = {
  startFile: v.strictTuple([]),
  samples: v.strictTuple([]),
  openSample: v.strictTuple([text]),
  pickFile: v.strictTuple([]),
  /** From the preload only: the paths of a drop the person made. */
  noteDrop: v.strictTuple([dropList]),
  dropped: v.strictTuple([text]),
  readBeside: v.strictTuple([text, text]),
  save: v.strictTuple([text, bytes]),
};
export type Channel = keyof typeof ARGUMENTS;
export const CHANNELS = Object.keys(ARGUMENTS) as Channel[];

/** What main alone can do: dialogs, and what the program was started on. */
export interface Desk {
  readonly files: OpenedFiles;
  readonly samplesFolder: string;
  startPath(): string | null;
  askOpen(): Promise<string | null>;
  askSave(suggestedName: string): Promise<string | null>;
  save(path: string, bytes: Uint8Array): Promise<Outcome<string, ShellError>>;
}

/** Answers one request of the page. Never throws: a fault comes back as a typed error. */
export type Answer = (channel: Channel, senderIsOurs: boolean, args: readonly unknown[]) => Promise<Outcome<unknown, ShellError>>;

export function answering(desk: Desk): Answer {
  const drops = new Map<string, string>(); // the last drop's file names and their paths
  const picked = async (path: string | null): Promise<PickedFile | Problem | null> =>
    path === null ? null : orProblem(await desk.files.open(path));

  const handlers: { [C in Channel]: (...args: v.InferOutput<(typeof ARGUMENTS)[C]>) => Promise<unknown> } = {
    startFile: () => picked(desk.startPath()),
    samples: () => sampleNames(desk.samplesFolder),
    openSample: async (name) => orProblem(await desk.files.openSample(name)),
    pickFile: async () => picked(await desk.askOpen()),
    async noteDrop(list) {
      drops.clear();
      for (const { name, path } of list) if (path !== '') drops.set(name, path);
    },
    async dropped(name) {
      const path = drops.get(name);
      return path === undefined ? null : desk.files.remember(path);
    },
    readBeside: (handle, name) => desk.files.readBeside(handle, name),
    async save(suggestedName, buffer) {
      const path = await desk.askSave(fileNameOnly(suggestedName));
      if (path === null) return null;
      const saved = await desk.save(path, new Uint8Array(buffer));
      return saved.ok ? { name: saved.value } : { problem: describeShellError(saved.error) };
    },
  };

  return async (channel, senderIsOurs, args) => {
    if (!senderIsOurs) return failed({ code: 'sender-not-ours' });
    const checked = v.safeParse(ARGUMENTS[channel], args);
    if (!checked.success) return failed({ code: 'argument-not-valid', channel, reason: checked.issues[0].message });
    try {
      return done(await (handlers[channel] as (...args: readonly unknown[]) => Promise<unknown>)(...checked.output));
    } catch (error) {
      return failed({ code: 'argument-not-valid', channel, reason: String(error) });
    }
  };
}

const orProblem = (read: Outcome<PickedFile, ShellError>): PickedFile | Problem =>
  read.ok ? read.value : { problem: describeShellError(read.error) };

/** A page may suggest a name, never a folder. */
function fileNameOnly(suggested: string): string {
  const name = [...suggested].filter((letter) => letter >= ' ' && !'/\\:*?"<>|'.includes(letter)).join('');
  return name.replace(/^\.+/, '').slice(0, 120) || 'untitled';
}
