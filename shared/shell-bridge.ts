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

export interface ShellBridge {
  readonly kind: 'electron' | 'browser';
  /** What the window was started on: a file from the command line, or null for the sample. A bad path comes as a line to show. */
  startFile(): Promise<PickedFile | { readonly problem: string } | null>;
  /** A sample case by its file name without ending; `names` lists them. */
  samples(): Promise<readonly string[]>;
  openSample(name: string): Promise<PickedFile>;
  /** The open dialog; null when the person leaves it. */
  pickFile(): Promise<PickedFile | null>;
  /** A file that lies beside a picked one, by the relative name a case gives it; null when it is not there or not allowed. */
  readBeside(handle: string, name: string): Promise<ArrayBuffer | null>;
  /** Saves where the person says; null when they leave the dialog, else the name it was saved under or a line to show. */
  save(suggestedName: string, bytes: ArrayBuffer): Promise<{ readonly name: string } | { readonly problem: string } | null>;
  /** Called when the shell is told to open another file while running. */
  onOpen(listener: (file: PickedFile) => void): void;
}
