import { describe, expect, test } from 'vitest';
import { readMesh } from '../../engine/mesh/read-mesh.ts';
import { soundMesh } from '../../engine/mesh/sound-mesh.ts';
import { describeMeshError } from '../../shared/mesh-errors.ts';
import { type ModelOptions, meshText, modelText, packageOf, packageOfModel, RELATIONS, relations } from './package-of.ts';
import { binaryStl, box, utf8, volumeOfMesh } from './shapes.ts';

const cube = box([0, 0, 0], [200, 200, 200]);
const cubeObject = `<object id="1" type="model">${meshText(cube)}</object>`;
const good = modelText(cubeObject);
const model = (objects: string, options?: ModelOptions): Promise<Uint8Array> => packageOfModel(modelText(objects, options));

async function volumeOf(bytes: Uint8Array, name = 'a.3mf'): Promise<number> {
  const read = await readMesh(name, bytes);
  if (!read.ok) throw new Error(describeMeshError(read.error));
  const sound = await soundMesh(read.value.corners, { unitToMetre: read.value.unit!.toMetre, space: 'auto' });
  if (!sound.ok) throw new Error(describeMeshError(sound.error));
  return volumeOfMesh(sound.value.mesh) * 1000;
}

/** Copies of copies of the cube, `levels` deep, `wide` of each. */
const tower = (levels: number, wide: number): string =>
  cubeObject +
  Array.from({ length: levels }, (_, i) => {
    const below = `<component objectid="${i + 1}" transform="1 0 0 0 1 0 0 0 1 ${300 * (i + 1)} 0 0"/>`;
    return `<object id="${i + 2}"><components>${below.repeat(wide)}</components></object>`;
  }).join('');

describe('read3mf: what the file says', () => {
  test.each<[string | null, number]>([
    ['micron', 1e-6],
    ['millimeter', 1e-3],
    ['centimeter', 1e-2],
    ['inch', 0.0254],
    ['foot', 0.3048],
    ['meter', 1],
    [null, 1e-3], // the specification's default
  ])('a cube of 200 in unit %s', async (unit, metre) => {
    const litres = (200 * metre) ** 3 * 1000;
    expect(Math.abs((await volumeOf(await model(cubeObject, { unit }))) / litres - 1)).toBeLessThan(1e-12);
  });
  test('a copy turned, scaled by 2, 3, 1 and moved holds six times as much', async () => {
    const build = '<item objectid="1" transform="0 2 0 -3 0 0 0 0 1 500 10.5 -2e1"/>';
    const read = await readMesh('a.3mf', await model(cubeObject, { build }));
    expect(read.ok && [Math.min(...read.value.corners), Math.max(...read.value.corners)]).toEqual([-100, 500]);
    expect(await volumeOf(await model(cubeObject, { build }))).toBeCloseTo(48, 9);
  });
  test('a mirrored copy still faces outward', async () => {
    const read = await readMesh('a.3mf', await model(cubeObject, { build: '<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>' }));
    if (!read.ok) throw new Error(read.error.code);
    const triangles = Uint32Array.from(read.value.corners.slice(0, read.value.corners.length / 3), (_, i) => i);
    expect(volumeOfMesh({ positions: read.value.corners, triangles })).toBeCloseTo(8e6, 3);
  });
  test('components: the inner transform first, then the outer', async () => {
    const outer = '<object id="2"><components><component objectid="1" transform="1 0 0 0 1 0 0 0 1 10 0 0"/></components></object>';
    const read = await readMesh(
      'a.3mf',
      await model(cubeObject + outer, { build: '<item objectid="2" transform="2 0 0 0 2 0 0 0 2 0 0 0"/>' }),
    );
    expect(read.ok && Math.min(...read.value.corners.filter((_, i) => i % 3 === 0))).toBe(20);
  });
  test('16 deep is taken', async () => {
    expect(await volumeOf(await model(tower(16, 1), { build: '<item objectid="17"/>' }))).toBeCloseTo(8, 9);
  });
  test('names without regard to case, foreign elements, metadata, UTF-16, a prefix', async () => {
    const dressed = modelText(
      `<basematerials id="9"><base name="a" displaycolor="#FFFFFF"/></basematerials><x:mesh><x:vertex/></x:mesh>${cubeObject}`,
      {
        attributes: 'xmlns:x="urn:invented"',
      },
    );
    expect(
      await volumeOf(
        await packageOf([
          ['_rels/.RELS', RELATIONS],
          ['3d/3DModel.model', dressed],
        ]),
      ),
    ).toBeCloseTo(8, 9);
    const wide = Uint8Array.from(
      [...`\ufeff${good.replace('UTF-8', 'UTF-16')}`].flatMap((c) => [c.charCodeAt(0) & 255, c.charCodeAt(0) >> 8]),
    );
    expect(await volumeOf(await packageOfModel(wide))).toBeCloseTo(8, 9);
    const prefixed = good.replace(/<(\/?)(?!\?)/g, '<$1c:').replace('xmlns=', 'xmlns:c=');
    expect(await volumeOf(await packageOfModel(prefixed))).toBeCloseTo(8, 9);
  });
  test('support bodies are left out, and it says so', async () => {
    const support = cubeObject.replace('id="1" type="model"', 'id="2" type="support"');
    const read = await readMesh('a.3mf', await model(cubeObject + support, { build: '<item objectid="1"/><item objectid="2"/>' }));
    expect(read.ok && [read.value.corners.length / 9, read.value.notices]).toEqual([12, ['1 support bodies of the 3MF were left out.']]);
  });
  test('told by its content, whatever its name', async () => {
    const read = await readMesh('a.stl', await packageOfModel(good));
    expect(read.ok && read.value.notices).toEqual(['The file ends in .stl; by its content it is 3MF and was read as such.']);
  });
});

const sound = await packageOfModel(good);
/** The place of a part's packed bytes: past its local header. */
const bytesOf = (part: number): number => {
  const text = new TextDecoder('latin1').decode(sound);
  const starts = [0, text.indexOf('PK\u0003\u0004', 1)];
  const view = new DataView(sound.buffer, starts[part]);
  return starts[part] + 30 + view.getUint16(26, true) + view.getUint16(28, true);
};
const changedAt = (at: number): Uint8Array => sound.map((byte, i) => (i === at ? byte ^ 0x10 : byte));
const withPart = (name: string) =>
  packageOf([
    ['_rels/.rels', RELATIONS],
    ['3D/3dmodel.model', good],
    [name, 'x'],
  ]);
const renamed = (from: string, to: string): Uint8Array => {
  const text = new TextDecoder('latin1').decode(sound).replaceAll(from, to);
  return Uint8Array.from(text, (c) => c.charCodeAt(0));
};

const BROKEN: Record<string, [bytes: () => Uint8Array | Promise<Uint8Array>, code: string, says?: string]> = {
  empty: [() => new Uint8Array(0), 'mesh-3mf-package'],
  'not a ZIP': [() => utf8('solid a\nendsolid a\n'), 'mesh-3mf-package'],
  'an STL under the name': [() => binaryStl(cube), 'mesh-3mf-package'],
  'cut short by 30 bytes': [() => sound.slice(0, -30), 'mesh-3mf-package'],
  'cut in half': [() => sound.slice(0, sound.length / 2), 'mesh-3mf-package'],
  'beginning lost': [() => sound.slice(50), 'mesh-3mf-damaged'],
  'one bit of the model changed': [() => changedAt(bytesOf(1) + 60), 'mesh-3mf-damaged'],
  'one bit of the relations changed': [() => changedAt(bytesOf(0) + 60), 'mesh-3mf-damaged'],
  'no relations': [() => packageOf([['3D/3dmodel.model', good]]), 'mesh-3mf-part', '_rels/.rels'],
  'no model': [() => packageOf([['_rels/.rels', RELATIONS]]), 'mesh-3mf-part', '3D/3dmodel.model'],
  'relations to nothing': [
    () =>
      packageOf([
        ['_rels/.rels', '<Relationships/>'],
        ['3D/3dmodel.model', good],
      ]),
    'mesh-3mf-part',
  ],
  'the model outside': [
    () =>
      packageOf([
        ['_rels/.rels', relations('/../3dmodel.model')],
        ['3D/3dmodel.model', good],
      ]),
    'mesh-3mf-name',
  ],
  'a part outside': [() => withPart('../3dmodel.model'), 'mesh-3mf-package', 'unsafe'],
  'a part outside, further in': [() => withPart('3D/../../x'), 'mesh-3mf-package', 'unsafe'],
  'a part at the root of the disk': [() => withPart('/etc/x'), 'mesh-3mf-package', 'unsafe'],
  'a part with backslashes': [() => withPart('3D\\x'), 'mesh-3mf-name'],
  'a part twice, by case': [() => withPart('3d/3DMODEL.model'), 'mesh-3mf-name'],
  'a part on a drive': [() => withPart('C:/x'), 'mesh-3mf-package', 'unsafe'],
  'a wrong name in the list': [() => renamed('_rels/.rels', '_rels/.xxxx'), 'mesh-3mf-part'],
  'XML cut in a tag': [() => packageOfModel(good.slice(0, good.indexOf('<triangle v1="9"') + 8)), 'mesh-3mf-xml', 'Line'],
  'XML cut between tags': [() => packageOfModel(good.slice(0, good.indexOf('<triangle v1="9"'))), 'mesh-3mf-xml'],
  'XML cut after five triangles, tags left open': [() => packageOfModel(good.slice(0, good.indexOf('<triangle v1="15"'))), 'mesh-3mf-xml'],
  'tags crossed': [() => packageOfModel(good.replace('</mesh></object>', '</object></mesh>')), 'mesh-3mf-xml'],
  'an entity': [() => packageOfModel(good.replace('x="200"', 'x="&big;"')), 'mesh-3mf-xml'],
  'a document type': [
    () => packageOfModel(good.replace('?>', '?><!DOCTYPE model [<!ENTITY big "200">]>')),
    'mesh-3mf-xml',
    'document type',
  ],
  'two roots': [() => packageOfModel(`${good}<model/>`), 'mesh-3mf-xml'],
  'not UTF-8': [
    () => packageOfModel(Uint8Array.from([...utf8(good).slice(0, 200), 0xff, ...utf8(good).slice(200)])),
    'mesh-3mf-xml',
    'not text',
  ],
  'an empty model': [() => packageOfModel(''), 'mesh-3mf-xml'],
  'nested 100 deep': [
    () => packageOfModel(good.replace('<resources>', `<resources>${'<x:a xmlns:x="u">'.repeat(100)}`)),
    'mesh-3mf-xml',
    'deep',
  ],
  'another document': [() => packageOfModel('<svg/>'), 'mesh-3mf-value', 'model'],
  'another namespace': [() => packageOfModel(good.replace('core/2015/02', 'core/2099/01')), 'mesh-3mf-value', 'namespace'],
  'a namespace changed inside': [() => packageOfModel(good.replace('<mesh>', '<mesh xmlns="urn:x">')), 'mesh-3mf-value', 'namespace'],
  'a needed extension': [
    () => model(cubeObject, { attributes: 'xmlns:b="urn:lattice" requiredextensions="b"' }),
    'mesh-3mf-extension',
    'urn:lattice',
  ],
  'an unknown unit': [() => model(cubeObject, { unit: 'furlong' }), 'mesh-3mf-value', 'furlong'],
  'an unknown element': [() => packageOfModel(good.replace('<triangles>', '<triangles><strip/>')), 'mesh-3mf-value', 'strip'],
  'a triangle among vertices': [
    () => packageOfModel(good.replace('<vertices>', '<vertices><triangle v1="0" v2="1" v3="2"/>')),
    'mesh-3mf-value',
  ],
  'a coordinate missing': [() => packageOfModel(good.replace(' z="200"', '')), 'mesh-3mf-value', 'z of vertex is missing'],
  'a coordinate with a comma': [() => packageOfModel(good.replace('x="200"', 'x="2,5"')), 'mesh-3mf-value', '"2,5"'],
  'a coordinate nan': [() => packageOfModel(good.replace('x="200"', 'x="NaN"')), 'mesh-3mf-value'],
  'a coordinate inf': [() => packageOfModel(good.replace('x="200"', 'x="1e999"')), 'mesh-3mf-value'],
  'a coordinate in hexadecimal': [() => packageOfModel(good.replace('x="200"', 'x="0xC8"')), 'mesh-3mf-value'],
  'a corner beyond the vertices': [() => packageOfModel(good.replace('v2="4"', 'v2="36"')), 'mesh-3mf-value', 'vertex 36'],
  'a corner below zero': [() => packageOfModel(good.replace('v2="4"', 'v2="-1"')), 'mesh-3mf-value'],
  'a corner with a fraction': [() => packageOfModel(good.replace('v2="4"', 'v2="4.5"')), 'mesh-3mf-value'],
  'an object twice': [() => model(cubeObject + cubeObject), 'mesh-3mf-value', 'used before'],
  'an object with no id': [() => model(cubeObject.replace('id="1" ', '')), 'mesh-3mf-value', 'id of object'],
  'an id that is a word': [() => model(cubeObject.replace('id="1"', 'id="__proto__"')), 'mesh-3mf-value', '__proto__'],
  'an item of nothing': [() => model(cubeObject, { build: '<item objectid="7"/>' }), 'mesh-3mf-value', 'objectid is 7'],
  'nothing to build': [() => model(cubeObject, { build: '' }), 'mesh-empty'],
  'no triangles': [() => model('<object id="1"><mesh><vertices/><triangles/></mesh></object>'), 'mesh-empty'],
  'a transform of eleven': [
    () => model(cubeObject, { build: '<item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0"/>' }),
    'mesh-3mf-value',
    '11 numbers',
  ],
  'a transform that flattens': [
    () => model(cubeObject, { build: '<item objectid="1" transform="1 0 0 0 1 0 0 0 0 0 0 0"/>' }),
    'mesh-3mf-value',
    'flat',
  ],
  'a transform beyond numbers': [
    () => model(cubeObject, { build: '<item objectid="1" transform="1e300 0 0 0 1e300 0 0 0 1e308 0 0 0"/>' }),
    'mesh-not-finite',
  ],
  'an object in itself': [
    () => model('<object id="1"><components><component objectid="1"/></components></object>'),
    'mesh-3mf-cycle',
    '1, 1',
  ],
  'objects in a circle': [
    () =>
      model(
        '<object id="1"><components><component objectid="2"/></components></object><object id="2"><components><component objectid="1"/></components></object>',
      ),
    'mesh-3mf-cycle',
  ],
  '17 deep': [() => model(tower(17, 1), { build: '<item objectid="18"/>' }), 'mesh-3mf-deep'],
  '22 lines that ask for four million copies': [() => model(tower(11, 4), { build: '<item objectid="12"/>' }), 'mesh-too-large'],
  'copies of nothing without end': [
    () => model(tower(15, 9).replace(/<mesh>[\s\S]*<\/mesh>/, meshText(cube.slice(0, 1))), { build: '<item objectid="16"/>' }),
    'mesh-too-large',
  ],
};

describe('broken 3MF files: one line, what and where', () => {
  test('there are at least 15', () => expect(Object.keys(BROKEN).length).toBeGreaterThanOrEqual(15));
  test.each(Object.entries(BROKEN))('%s', async (_, [bytes, code, says]) => {
    const read = await readMesh('a.3mf', await bytes());
    if (read.ok) throw new Error(`taken, with ${read.value.corners.length / 9} triangles`);
    const line = describeMeshError(read.error);
    expect(read.error.code, line).toBe(code);
    expect(line).toMatch(/^[A-Z0-9][^\n]{20,}\.$/);
    expect(line).toContain(says ?? '');
  });
  test('the line of a fault is the line of the file', async () => {
    const text = good.replace('v2="4"', 'v2="4.5"');
    const read = await readMesh('a.3mf', await packageOfModel(text));
    expect(!read.ok && read.error).toMatchObject({ line: text.slice(0, text.indexOf('4.5')).split('\n').length });
  });
  test('a part that unpacks without end is stopped on the way, by size and by the longest piece', { timeout: 30_000 }, async () => {
    for (const filler of [`<!--${' '.repeat(9e6)}-->`, `<a b="${' '.repeat(9e6)}"/>`, ' '.repeat(9e6)]) {
      const read = await readMesh('a.3mf', await packageOfModel(good.replace('<resources>', `<resources>${filler}`)));
      expect(!read.ok && read.error.code).toBe('mesh-3mf-too-big');
    }
    const read = await readMesh(
      'a.3mf',
      await packageOf([
        ['_rels/.rels', `<R>${'<a/>'.repeat(1.2e6)}</R>`],
        ['3D/3dmodel.model', good],
      ]),
    );
    expect(!read.ok && read.error.code).toBe('mesh-3mf-too-big');
  });
});
