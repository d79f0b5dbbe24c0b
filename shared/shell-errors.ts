/** Why the shell could not hand over or save a file, and the one place that puts it in words. */
export type ShellError =
  | { readonly code: 'file-missing'; readonly name: string }
  | { readonly code: 'file-not-a-file'; readonly name: string }
  | { readonly code: 'file-too-large'; readonly name: string; readonly size_bytes: number; readonly most_bytes: number }
  | { readonly code: 'file-unreadable'; readonly name: string; readonly reason: string }
  | { readonly code: 'sample-unknown'; readonly name: string; readonly known: readonly string[] }
  | { readonly code: 'disk-full'; readonly name: string }
  | { readonly code: 'save-refused'; readonly name: string; readonly reason: string }
  | { readonly code: 'argument-not-valid'; readonly channel: string; readonly reason: string }
  | { readonly code: 'sender-not-ours' };

/** One line for a person. */
export function describeShellError(error: ShellError): string {
  switch (error.code) {
    case 'file-missing':
      return `${error.name}: there is no such file. Check the name and its folder.`;
    case 'file-not-a-file':
      return `${error.name} is not a file. Name a case (.json) or a mesh (.stl, .obj, .3mf).`;
    case 'file-too-large':
      return `${error.name} has ${mebibytes(error.size_bytes)} MiB; at most ${mebibytes(error.most_bytes)} MiB can be opened. Export it with fewer triangles.`;
    case 'file-unreadable':
      return `${error.name} cannot be read (${error.reason}). Check that you may read it, then try again.`;
    case 'sample-unknown':
      return `There is no sample "${error.name}". Choose one of: ${error.known.join(', ')}.`;
    case 'disk-full':
      return `${error.name} was not saved: the disk is full. The file before is unchanged; free some space or save elsewhere.`;
    case 'save-refused':
      return `${error.name} was not saved (${error.reason}). The file before is unchanged; save in another folder.`;
    case 'argument-not-valid':
      return `The window asked its shell for "${error.channel}" in a way it does not know: ${error.reason}.`;
    case 'sender-not-ours':
      return 'A page that is not the window asked the shell for something. It was refused.';
    default:
      return error satisfies never;
  }
}

const mebibytes = (bytes: number): string => String(Math.ceil(bytes / 2 ** 20));
