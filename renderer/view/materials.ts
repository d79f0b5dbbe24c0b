/** Everything the 3D view is painted with. Colours come from the style sheet, so the view follows the theme with the panels. */
import { BackSide, Color, DoubleSide, FrontSide, LineBasicMaterial, MeshBasicMaterial, MeshLambertMaterial } from 'three';
import { LineMaterial } from 'three/addons/lines/LineMaterial.js';
import { cssColour } from '../theme.ts';

export type Materials = ReturnType<typeof makeMaterials>;

export function makeMaterials() {
  /** Fuel lies a hair behind the wall it wets, so that the wall's edges stay crisp on it. */
  const behindWall = { polygonOffset: true, polygonOffsetFactor: 1.5, polygonOffsetUnits: 2 };
  return {
    shellBack: new MeshLambertMaterial({ transparent: true, opacity: 0.16, side: BackSide, depthWrite: false, flatShading: true }),
    shellFront: new MeshLambertMaterial({ transparent: true, opacity: 0.1, side: FrontSide, depthWrite: false, flatShading: true }),
    edges: new LineBasicMaterial({ transparent: true, opacity: 0.75 }),
    /** Only the nearest skin of a pool is painted: first its depth, then its colour. */
    poolDepth: new MeshBasicMaterial({ colorWrite: false, side: DoubleSide, ...behindWall }),
    poolWall: new MeshLambertMaterial({ transparent: true, opacity: 0.66, side: DoubleSide, flatShading: true, ...behindWall }),
    poolSurface: new MeshLambertMaterial({ transparent: true, opacity: 0.78, side: DoubleSide, ...behindWall }),
    waterline: new LineMaterial({ linewidth: 2.2 }),
    residueLine: new LineMaterial({ linewidth: 2.2, dashed: true, dashSize: 0.012, gapSize: 0.008 }),
    /** Never painted: a click meets walls from inside and outside alike. */
    walls: new MeshBasicMaterial({ side: DoubleSide }),
    water: hatched(new MeshLambertMaterial({ side: DoubleSide, flatShading: true, ...behindWall })),
    /** Air that cannot leave, and air that a vent still serves. */
    trappedAir: ringed(new MeshLambertMaterial({ side: DoubleSide, flatShading: true })),
    expansionAir: new MeshLambertMaterial({ transparent: true, opacity: 0.5, side: DoubleSide, flatShading: true }),
    /** A water drop's way is seen through walls and fuel. */
    pathRun: new LineMaterial({ linewidth: 3.4, depthTest: false, transparent: true }),
    pathFall: new LineMaterial({ linewidth: 3.4, depthTest: false, transparent: true, dashed: true, dashSize: 0.012, gapSize: 0.01 }),
    pathFlat: new LineMaterial({ linewidth: 8, depthTest: false, transparent: true, opacity: 0.75 }),
    drop: new MeshBasicMaterial({ depthTest: false, transparent: true }),
    lowPoint: new MeshLambertMaterial(),
    plumb: new LineBasicMaterial(),
    bob: new MeshLambertMaterial(),
    spot: new MeshBasicMaterial({ depthTest: false, transparent: true, opacity: 0.9 }),
    fitting: new MeshLambertMaterial(),
    fittingAlert: new MeshLambertMaterial(),
    fittingWet: new MeshLambertMaterial(),
  };
}

const COLOURS: Record<keyof Materials, string> = {
  shellBack: '--shell',
  shellFront: '--shell',
  edges: '--edge',
  poolDepth: '--fuel',
  poolWall: '--fuel',
  poolSurface: '--fuel-surface',
  waterline: '--waterline',
  residueLine: '--water-ink',
  walls: '--shell',
  water: '--water',
  trappedAir: '--air',
  expansionAir: '--air-vented',
  pathRun: '--path',
  pathFall: '--path',
  pathFlat: '--alert',
  drop: '--path',
  lowPoint: '--water',
  plumb: '--ink',
  bob: '--ink',
  spot: '--accent',
  fitting: '--fitting',
  fittingAlert: '--alert',
  fittingWet: '--wet',
};

export function paint(materials: Materials): void {
  for (const name of Object.keys(COLOURS) as (keyof Materials)[]) materials[name].color.set(new Color(opaque(cssColour(COLOURS[name]))));
}

/** System colours may carry a transparency that paint does not have. */
const opaque = (colour: string): string => colour.replace(/^rgba\(([^,]+),([^,]+),([^,]+),.*\)$/, 'rgb($1,$2,$3)');

/** Water is told from fuel by stripes as well as by colour; they run across the screen, so every face shows them alike. */
const hatched = (material: MeshLambertMaterial): MeshLambertMaterial =>
  patterned(material, '0.6 * step(0.62, fract((gl_FragCoord.x + gl_FragCoord.y) / 11.0))');

/** Trapped air by rings, as bubbles. */
const ringed = (material: MeshLambertMaterial): MeshLambertMaterial =>
  patterned(material, '0.75 * step(abs(length(fract(gl_FragCoord.xy / 13.0) - 0.5) - 0.3), 0.09)');

/** @param whiteness - in the shading language, by the place on the screen: 0 to 1 */
function patterned(material: MeshLambertMaterial, whiteness: string): MeshLambertMaterial {
  material.onBeforeCompile = (shader) => {
    shader.fragmentShader = shader.fragmentShader.replace(
      '#include <color_fragment>',
      `#include <color_fragment>
       diffuseColor.rgb = mix(diffuseColor.rgb, vec3(1.0), ${whiteness});`,
    );
  };
  // Without a key of its own a changed shader may be taken for another's.
  material.customProgramCacheKey = () => whiteness;
  return material;
}
