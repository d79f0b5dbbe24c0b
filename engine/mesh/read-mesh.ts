/** The one door for mesh files: chosen by content where that is certain, else by the name's ending. */
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import type { MeshSoup } from './mesh-soup.ts';
import { read3mf } from './read-3mf.ts';
import { readObj } from './read-obj.ts';
import { readStl } from './read-stl.ts';

/** @param name - the file's name, for its ending */
export async function readMesh(name: string, bytes: Uint8Array): Promise<Outcome<MeshSoup, MeshError>> {
  const ending = /\.(stl|obj|3mf)$/i.exec(name)?.[1].toLowerCase();
  if (ending === undefined) return failed({ code: 'mesh-kind', name });
  // Every ZIP with something in it begins so, and no STL or OBJ does.
  const isZip = bytes[0] === 0x50 && bytes[1] === 0x4b && bytes[2] <= 5 && bytes[3] <= 6;
  if (ending === '3mf' || isZip) return saying(await read3mf(bytes), ending, '3mf');
  if (ending === 'stl') return readStl(bytes);
  const asObj = readObj(bytes);
  if (asObj.ok) return asObj;
  const asStl = readStl(bytes);
  return asStl.ok ? saying(asStl, ending, 'stl') : asObj;
}

function saying(read: Outcome<MeshSoup, MeshError>, ending: string, kind: string): Outcome<MeshSoup, MeshError> {
  if (!read.ok || ending === kind) return read;
  return done({
    ...read.value,
    notices: [`The file ends in .${ending}; by its content it is ${kind.toUpperCase()} and was read as such.`, ...read.value.notices],
  });
}
