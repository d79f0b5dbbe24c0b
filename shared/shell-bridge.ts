/**
 * What the window may ask of its shell (Electron, or the loopback server's page). The shell carries bytes and never reads geometry.
 * A handle stands for a place the person picked; paths never reach the page.
 */
export interface PickedFile {
  /** Opaque; names the file's folder for `readBeside`. */
  readonly handle: string;
  readonly name: string;
  readonly bytes: ArrayBuffer;
}

/** One line to show: what, where, what to do. */
export interface Problem {
  readonly problem: string;
}

/** What a menu item asks of the page. */
export const SHELL_COMMANDS = ['open', 'save-picture', 'whole-view', 'help'] as const;
export type ShellCommand = (typeof SHELL_COMMANDS)[number];

export interface ShellBridge {
  readonly kind: 'electron' | 'browser';
  /** What the window was started on: a file from the command line, or null for the sample. A bad path comes as a line to show. */
  startFile(): Promise<PickedFile | Problem | null>;
  /** The names of the sample cases, the one shown at start first. */
  samples(): Promise<readonly string[]>;
  /** A sample case by one of those names. */
  openSample(name: string): Promise<PickedFile | Problem>;
  /** The open dialog; null when the person leaves it. */
  pickFile(): Promise<PickedFile | Problem | null>;
  /**
   * After a drop on the window: a handle for the dropped file of that name, so that `readBeside` finds its meshes; null when the shell
   * cannot say. The page reads the dropped file itself.
   */
  dropped(name: string): Promise<string | null>;
  /** A file that lies beside a picked one, by the relative name a case gives it; null when it is not there or not allowed. */
  readBeside(handle: string, name: string): Promise<ArrayBuffer | null>;
  /** Saves where the person says; null when they leave the dialog, else the name it was saved under or a line to show. */
  save(suggestedName: string, bytes: ArrayBuffer): Promise<{ readonly name: string } | Problem | null>;
  /** Called when the shell is told to open another file while running. */
  onOpen(listener: (file: PickedFile | Problem) => void): void;
  /** Called when the person chooses an item of the shell's own menu. */
  onCommand(listener: (command: ShellCommand) => void): void;
}

/** The published list: the bridge has these keys and no other. */
export const BRIDGE_KEYS = [
  'kind',
  'startFile',
  'samples',
  'openSample',
  'pickFile',
  'dropped',
  'readBeside',
  'save',
  'onOpen',
  'onCommand',
] as const satisfies readonly (keyof ShellBridge)[];
