/**
 * The package of a 3MF file: a ZIP of parts, and each part's XML as it streams out. Nothing is taken on trust: checksums are checked,
 * sizes are capped while unpacking, names may not leave the package, the XML must be whole.
 * Source: Open Packaging Conventions, ECMA-376 part 2 (from memory).
 */
import { type Entry, type FileEntry, Uint8ArrayReader, ZipReader } from '@zip.js/zip.js';
import { SaxesParser, type SaxesTagPlain } from 'saxes';
import type { MeshError } from '../../shared/mesh-errors.ts';

export const PACKAGE_LIMITS = {
  /** Unpacked bytes of one part: room for MAX_TRIANGLES as text. */
  part_bytes: 512 * 1024 ** 2,
  /** Characters without a tag ending: no true model has such a text or tag. */
  stretch: 4 * 1024 ** 2,
  parts: 4096,
  nesting: 64,
} as const;

/** Leaves the parser and the unpacking; `read3mf` catches it. */
export class Refusal extends Error {
  readonly error: MeshError;
  constructor(error: MeshError) {
    super(error.code);
    this.error = error;
  }
}

export function refuse(error: MeshError): never {
  throw new Refusal(error);
}

export interface XmlReader {
  /** A tag begins; `line` counts from 1. */
  open(tag: SaxesTagPlain, line: number): void;
  close(tag: SaxesTagPlain, line: number): void;
}

export class Package {
  private readonly zip: ZipReader<Uint8Array>;
  private parts: ReadonlyMap<string, FileEntry> = new Map();

  constructor(bytes: Uint8Array) {
    this.zip = new ZipReader(new Uint8ArrayReader(bytes), { useWebWorkers: false, checkSignature: true });
  }

  async open(): Promise<void> {
    this.parts = partsOf(await this.zip.getEntries().catch((fault) => refuse({ code: 'mesh-3mf-package', reason: reasonOf(fault) })));
  }

  /** @param limit_bytes - most that a part may unpack to */
  async read(name: string, reader: XmlReader, limit_bytes: number = PACKAGE_LIMITS.part_bytes): Promise<void> {
    const part = shown(name);
    const entry = this.parts.get(keyOf(name)) ?? refuse({ code: 'mesh-3mf-part', part });
    const xml = new XmlStream(part, reader, limit_bytes);
    await entry.getData(xml.sink()).catch((fault) => {
      // The unpacking wraps what the sink throws: what went wrong first is kept there.
      throw xml.fault ?? new Refusal({ code: 'mesh-3mf-damaged', part, reason: reasonOf(fault) });
    });
    xml.end();
  }
}

/** Parts by name, which are compared without regard to case. */
function partsOf(entries: readonly Entry[]): ReadonlyMap<string, FileEntry> {
  if (entries.length > PACKAGE_LIMITS.parts) refuse({ code: 'mesh-3mf-package', reason: `it has ${entries.length} parts` });
  const parts = new Map<string, FileEntry>();
  for (const entry of entries) {
    if (entry.directory) continue;
    const key = keyOf(entry.filename);
    if (!isPlainName(entry.filename) || entry.encrypted || parts.has(key)) refuse({ code: 'mesh-3mf-name', part: shown(entry.filename) });
    parts.set(key, entry);
  }
  return parts;
}

const keyOf = (name: string): string => name.toLowerCase();

/** Inside the package: no step up, no root, no drive, no backslash. */
export const isPlainName = (name: string): boolean =>
  name !== '' &&
  !name.includes('\\') &&
  !name.includes('\0') &&
  name.split('/').every((step) => step !== '' && step !== '.' && step !== '..' && !step.endsWith(':'));

export const shown = (text: string): string => (text.length > 60 ? `${text.slice(0, 60)}…` : text);
const reasonOf = (fault: unknown): string => {
  const text = fault instanceof Error ? fault.message : String(fault);
  return text.charAt(0).toLowerCase() + text.slice(1);
};

/** Feeds a part's bytes to the XML parser as they come. */
class XmlStream {
  fault: Refusal | null = null;
  private readonly parser = new SaxesParser<{ xmlns: false }>({ xmlns: false });
  private decoder: TextDecoder | null = null;
  private size = 0;
  private stretch = 0;
  private depth = 0;
  private readonly part: string;
  private readonly limit_bytes: number;

  constructor(part: string, reader: XmlReader, limit_bytes: number) {
    this.part = part;
    this.limit_bytes = limit_bytes;
    const { parser } = this;
    parser.on('error', ({ message }) => this.refuseXml(message.replace(/^\d+:\d+: /, '')));
    parser.on('doctype', () => this.refuseXml('a document type is not allowed'));
    parser.on('opentag', (tag) => {
      this.stretch = 0;
      if (++this.depth > PACKAGE_LIMITS.nesting) this.refuseXml(`tags are nested more than ${PACKAGE_LIMITS.nesting} deep`);
      reader.open(tag, parser.line);
    });
    parser.on('closetag', (tag) => {
      this.stretch = 0;
      this.depth--;
      reader.close(tag, parser.line);
    });
  }

  sink(): WritableStream<Uint8Array> {
    return new WritableStream({ write: (bytes) => this.keep(() => this.take(bytes)) });
  }

  end(): void {
    if (this.decoder === null) this.refuseXml('it is empty');
    this.decode(undefined);
    this.parser.close();
  }

  private take(bytes: Uint8Array): void {
    this.size += bytes.length;
    this.stretch += bytes.length;
    if (this.size > this.limit_bytes || this.stretch > PACKAGE_LIMITS.stretch + bytes.length) {
      refuse({
        code: 'mesh-3mf-too-big',
        part: this.part,
        limit_bytes: this.size > this.limit_bytes ? this.limit_bytes : PACKAGE_LIMITS.stretch,
      });
    }
    // UTF-8, or UTF-16 by its mark: the two a part may be in.
    const isWide = (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff);
    this.decoder ??= new TextDecoder(isWide ? (bytes[0] === 0xff ? 'utf-16le' : 'utf-16be') : 'utf-8', { fatal: true });
    this.decode(bytes);
  }

  private decode(bytes: Uint8Array | undefined): void {
    let text = '';
    try {
      text = this.decoder!.decode(bytes, { stream: bytes !== undefined });
    } catch {
      this.refuseXml('there are bytes that are not text');
    }
    this.parser.write(text);
  }

  private keep(work: () => void): void {
    try {
      work();
    } catch (fault) {
      if (fault instanceof Refusal) this.fault = fault;
      throw fault;
    }
  }

  private refuseXml(reason: string): never {
    return refuse({ code: 'mesh-3mf-xml', part: this.part, line: this.parser.line, reason });
  }
}
