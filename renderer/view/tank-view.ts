/**
 * The 3D view: tanks as translucent shells, fuel and water as the solids the engine cut, fittings and low points as marks.
 * Everything lies in the tank frame (X aft, Y right, Z up, m) under one pivot, which turns the whole so that either apparent up or
 * the aircraft's up is up on the screen. Drawn only when something changed.
 */
import {
  Box3,
  BufferGeometry,
  ConeGeometry,
  DirectionalLight,
  EdgesGeometry,
  Float32BufferAttribute,
  Group,
  HemisphereLight,
  LineSegments,
  type Material,
  Mesh,
  Vector3 as Point,
  Quaternion,
  RingGeometry,
  Scene,
  Sphere,
  SphereGeometry,
  WebGLRenderer,
} from 'three';
import type { LineMaterial } from 'three/addons/lines/LineMaterial.js';
import { LineSegments2 } from 'three/addons/lines/LineSegments2.js';
import { LineSegmentsGeometry } from 'three/addons/lines/LineSegmentsGeometry.js';
import { acceleratedRaycast, MeshBVH } from 'three-mesh-bvh';
import type { Condition } from '../../shared/answers.ts';
import type { CaseFile } from '../../shared/case.ts';
import type { DrawnMesh, DrawnPool, FillView, LoadedCase, SettledView, WaterPathView } from '../../shared/engine-contract.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { needsLook } from '../show.ts';
import type { Placing } from '../state.ts';
import { Eye } from './eye.ts';
import { FITTING_SHAPES } from './fitting-shapes.ts';
import { enclosed, geometryOf, rimOf } from './geometry.ts';
import { makeMaterials, paint } from './materials.ts';
import { levelPose } from './pose.ts';

/** Edges sharper than this are drawn. */
const CREASE_deg = 30;

/** Share of the tank up to which a residue is drawn as a solid. */
const PUDDLE = 0.05;

/** A spot on a wall, and the outward direction there. Tank frame. */
export type Spot = Placing['spots'][number];

const Z = new Point(0, 0, 1);

export class TankView {
  readonly renderer: WebGLRenderer;
  readonly eye: Eye;
  readonly #scene = new Scene();
  readonly #pivot = new Group();
  readonly #tankFrame = new Group();
  readonly #shells = new Group();
  readonly #liquids = new Group();
  readonly #fittings = new Group();
  readonly #lowPoints = new Group();
  readonly #plumb = new Group();
  readonly #path = new Group();
  readonly #spot: Mesh;
  readonly #materials = makeMaterials();
  readonly #bounds = new Box3();
  #boxes: readonly Box3[] = [];
  #capacities: ReadonlyMap<string, number> = new Map();
  readonly #whole = new Sphere(new Point(), 1);
  readonly #onDrawn: () => void;
  #isAsked = false;

  /** @param onDrawn - called after each frame, to write what stands over it */
  constructor(canvas: HTMLCanvasElement, onDrawn: () => void) {
    this.#onDrawn = onDrawn;
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.setClearColor(0x000000, 0);
    this.eye = new Eye(canvas, () => this.draw());
    const key = new DirectionalLight(0xffffff, 1.35);
    key.position.set(-0.6, 0.9, 1);
    this.eye.carry(key);
    this.#spot = new Mesh(new RingGeometry(0.7, 1, 32), this.#materials.spot);
    this.#spot.visible = false;
    this.#spot.renderOrder = 9;
    this.#scene.add(new HemisphereLight(0xffffff, 0xb8b8b8, 1.7), this.#pivot, ...this.eye.objects);
    this.#pivot.add(this.#tankFrame);
    this.#tankFrame.add(this.#shells, this.#liquids, this.#fittings, this.#lowPoints, this.#plumb, this.#path, this.#spot);
    this.repaint();
  }

  /** Metres: the radius of everything, from which the sizes of marks follow. */
  get radius(): number {
    return this.#whole.radius;
  }

  repaint(): void {
    paint(this.#materials);
    this.draw();
  }

  resize(width: number, height: number): void {
    this.renderer.setPixelRatio(Math.min(2, devicePixelRatio));
    this.renderer.setSize(width, height, false);
    const { waterline, residueLine, pathRun, pathFall, pathFlat } = this.#materials;
    for (const line of [waterline, residueLine, pathRun, pathFall, pathFlat]) line.resolution.set(width, height);
    this.eye.resize(width, height);
    // At once: a resized canvas is blank, and on a slow machine the next frame may be long in coming.
    this.drawNow();
    this.#onDrawn();
  }

  showTanks(loaded: LoadedCase): void {
    empty(this.#shells);
    for (const tank of loaded.tanks) {
      const geometry = geometryOf(tank);
      // `indirect` leaves the triangles in the engine's order: the drawn index is the engine's array.
      geometry.boundsTree = new MeshBVH(geometry, { indirect: true });
      const front = new Mesh(geometry, this.#materials.shellFront);
      front.raycast = () => undefined;
      front.renderOrder = 6;
      const back = new Mesh(geometry, this.#materials.shellBack);
      back.raycast = () => undefined;
      back.renderOrder = 5;
      const edges = new LineSegments(new EdgesGeometry(geometry, CREASE_deg), this.#materials.edges);
      edges.raycast = () => undefined;
      edges.renderOrder = 7;
      const walls = new Mesh(geometry, this.#materials.walls);
      walls.raycast = acceleratedRaycast;
      walls.name = tank.id;
      walls.visible = false;
      this.#shells.add(front, back, edges, walls);
    }
    this.#capacities = new Map(loaded.check.tanks.map(({ id, capacity_m3 }) => [id, capacity_m3]));
    this.#boxes = loaded.check.tanks.map(({ bounds_m }) => new Box3(new Point(...bounds_m.min), new Point(...bounds_m.max)));
    this.#bounds.makeEmpty();
    for (const box of this.#boxes) this.#bounds.union(box);
    this.#bounds.getBoundingSphere(this.#whole);
    this.#pivot.position.copy(this.#whole.center);
    this.#tankFrame.position.copy(this.#whole.center).negate();
    this.draw();
  }

  /** @param condition - turns the whole so that apparent up is up on the screen; null keeps the aircraft level */
  turnTo(condition: Condition | null): void {
    const [x, y, z, w] = condition === null ? ([0, 0, 0, 1] as const) : levelPose(condition);
    this.#pivot.quaternion.set(x, y, z, w);
    this.draw();
  }

  showSettled(view: SettledView | null, file: CaseFile, withWater: boolean): void {
    empty(this.#liquids);
    empty(this.#lowPoints);
    empty(this.#fittings);
    empty(this.#plumb);
    for (const pool of view?.pools ?? []) this.#addPool(pool);
    for (const pool of withWater ? (view?.water ?? []) : []) this.#addResidue(pool);
    this.#addFittings(view, file);
    if (view !== null) {
      for (const point of view.lowPoints) this.#addLowPoint(point.at_m, view.up);
      this.#addPlumb(view.up);
    }
    this.draw();
  }

  /** The tanks as full as they go: fuel, and the air in it. */
  showFilled({ fuel, air, up }: FillView, file: CaseFile): void {
    for (const group of [this.#liquids, this.#lowPoints, this.#fittings, this.#plumb]) empty(group);
    for (const pool of fuel) this.#addPool(pool);
    for (const { kind, wall, surface } of air) {
      for (const mesh of [wall, surface]) {
        const body = new Mesh(geometryOf(mesh), kind === 'trapped' ? this.#materials.trappedAir : this.#materials.expansionAir);
        body.renderOrder = kind === 'trapped' ? 1 : 3;
        this.#liquids.add(body);
      }
      this.#addRim(surface, this.#materials.waterline);
    }
    this.#addFittings(null, file);
    this.#addPlumb(up);
    this.draw();
  }

  /** A water drop's way: running as a line, falling as dashes, a thick underlay where it is flat. */
  showPath(path: WaterPathView | null): void {
    empty(this.#path);
    if (path !== null) {
      const { points_m: points, falls, flats } = path;
      const isFall = new Set(falls.map(({ from }) => from));
      const steps = points.slice(1).map((_, i) => i);
      const isFlat = (i: number): boolean => flats.some(({ from, to }) => from <= i && i < to);
      const ends = (chosen: readonly number[]): number[] => chosen.flatMap((i) => [...points[i]!, ...points[i + 1]!]);
      this.#addPathLine(ends(steps.filter(isFlat)), this.#materials.pathFlat);
      this.#addPathLine(ends(steps.filter((i) => !isFall.has(i))), this.#materials.pathRun);
      this.#addPathLine(ends(steps.filter((i) => isFall.has(i))), this.#materials.pathFall);
      const start = new Mesh(new SphereGeometry(this.radius * 0.016, 16, 12), this.#materials.drop);
      start.position.set(...points[0]!);
      start.renderOrder = 11;
      this.#path.add(start);
    }
    this.draw();
  }

  #addPathLine(ends: readonly number[], material: LineMaterial): void {
    if (ends.length === 0) return;
    const line = new LineSegments2(new LineSegmentsGeometry().setPositions([...ends]), material);
    line.renderOrder = 10;
    if (material.dashed) line.computeLineDistances();
    this.#path.add(line);
  }

  #addPool({ wall, surface }: DrawnPool): void {
    const [wallGeometry, surfaceGeometry] = [geometryOf(wall), geometryOf(surface)];
    surfaceGeometry.computeVertexNormals();
    for (const [geometry, paintOf] of [
      [wallGeometry, this.#materials.poolWall],
      [surfaceGeometry, this.#materials.poolSurface],
    ] as const) {
      const depth = new Mesh(geometry, this.#materials.poolDepth);
      depth.renderOrder = 2;
      const skin = new Mesh(geometry, paintOf);
      skin.renderOrder = 3;
      this.#liquids.add(depth, skin);
    }
    this.#addRim(surface, this.#materials.waterline);
  }

  /** A puddle is drawn as a solid; a pocket that keeps much of the tank as its surface's outline, or it would hide the fuel in hand. */
  #addResidue({ tank, wall, surface }: DrawnPool): void {
    const capacity = this.#capacities.get(tank) ?? 0;
    if (enclosed(wall) + enclosed(surface) > PUDDLE * capacity) {
      this.#addRim(surface, this.#materials.residueLine);
      return;
    }
    for (const mesh of [wall, surface]) {
      const water = new Mesh(geometryOf(mesh), this.#materials.water);
      water.renderOrder = 1;
      this.#liquids.add(water);
    }
  }

  #addRim(surface: DrawnMesh, material: LineMaterial): void {
    const rim = rimOf(surface);
    if (rim.length === 0) return;
    const line = new LineSegments2(new LineSegmentsGeometry().setPositions(rim), material);
    line.renderOrder = 4;
    if (material.dashed) line.computeLineDistances();
    this.#liquids.add(line);
  }

  #addFittings(view: SettledView | null, file: CaseFile): void {
    const size = this.radius * 0.022;
    for (const tank of file.tanks) {
      for (const { id, kind, at_m, bore_m, facing } of tank.fittings) {
        const state = view?.settle.tanks.find((each) => each.id === tank.id)?.fittings.find((each) => each.id === id);
        const { fitting, fittingAlert, fittingWet } = this.#materials;
        const material = state === undefined ? fitting : needsLook(state) ? fittingAlert : state.cover === 'dry' ? fitting : fittingWet;
        const shape = new Mesh(FITTING_SHAPES[kind], material);
        shape.userData['shared'] = true;
        shape.position.set(...at_m);
        shape.quaternion.setFromUnitVectors(Z, new Point(...(facing ?? [0, 0, -1])).normalize());
        shape.scale.setScalar(Math.max(size, (bore_m ?? 0) / 2));
        this.#fittings.add(shape);
      }
    }
  }

  #addLowPoint(at: Vector3, up: Vector3): void {
    const size = this.radius * 0.02;
    const marker = new Mesh(new ConeGeometry(size * 0.75, size * 1.6, 4).rotateX(-Math.PI / 2), this.#materials.lowPoint);
    const upward = new Point(...up);
    marker.quaternion.setFromUnitVectors(Z, upward);
    marker.position.set(...at).addScaledVector(upward, size * 0.8);
    this.#lowPoints.add(marker);
  }

  /** Hangs at the nose end of the tanks, as on a tilting stand: the string shows apparent gravity against the tilted aircraft. */
  #addPlumb(up: Vector3): void {
    const top = this.plumbTop();
    const length = this.radius * 0.75;
    const end = top.clone().addScaledVector(new Point(...up), -length);
    const string = new BufferGeometry().setAttribute('position', new Float32BufferAttribute([...top.toArray(), ...end.toArray()], 3));
    const size = this.radius * 0.024;
    const bob = new Mesh(new ConeGeometry(size, size * 3, 24).rotateX(-Math.PI / 2), this.#materials.bob);
    bob.quaternion.setFromUnitVectors(Z, new Point(...up));
    bob.position.copy(end);
    const hook = new Mesh(new SphereGeometry(size * 0.5, 12, 8), this.#materials.bob);
    hook.position.copy(top);
    this.#plumb.add(new LineSegments(string, this.#materials.plumb), bob, hook);
  }

  plumbTop(): Point {
    const { min, max } = this.#bounds;
    return new Point(min.x - this.radius * 0.16, (min.y + max.y) / 2, max.z + this.radius * 0.1);
  }

  plumbEnd(up: Vector3): Point {
    return this.plumbTop().addScaledVector(new Point(...up), -this.radius * 0.75);
  }

  showSpot(spot: Spot | null): void {
    this.#spot.visible = spot !== null;
    if (spot !== null) {
      this.#spot.position.set(...spot.at_m);
      this.#spot.quaternion.setFromUnitVectors(Z, new Point(...spot.facing).normalize());
      this.#spot.scale.setScalar(this.radius * 0.035);
    }
    this.draw();
  }

  /** The walls under a point of the view, nearest first, each with its outward direction. */
  wallsAt(x: number, y: number): Spot[] {
    this.#scene.updateMatrixWorld();
    const spots: Spot[] = [];
    for (const hit of this.eye.rayAt(x, y).intersectObjects(this.#shells.children, false)) {
      if (hit.face === null || hit.face === undefined) continue;
      const at = this.#tankFrame.worldToLocal(hit.point.clone());
      const spot: Spot = { tank: hit.object.name, at_m: at.toArray(), facing: hit.face.normal.toArray() };
      const isRepeated = spots.some((each) => new Point(...each.at_m).distanceTo(at) < this.radius * 1e-5);
      if (!isRepeated) spots.push(spot);
    }
    return spots;
  }

  /** @returns where a point of the tank frame lies in the view, in pixels from its top left */
  project(at: Vector3 | Point): { readonly x: number; readonly y: number } {
    const world = this.#tankFrame.localToWorld(at instanceof Point ? at.clone() : new Point(...at));
    return this.eye.project(world);
  }

  /** A direction of the tank frame as it lies on the screen: right, down, towards the viewer. */
  directionOnScreen(direction: Vector3): [number, number, number] {
    return this.eye.directionOnScreen(new Point(...direction).applyQuaternion(this.#pivot.getWorldQuaternion(new Quaternion())));
  }

  /** Brings everything into the picture, with room for labels around it. */
  fit(): void {
    this.#scene.updateMatrixWorld();
    const corners = this.#boxes.flatMap(cornersOf).map((corner) => this.#tankFrame.localToWorld(corner));
    this.eye.fit(this.#whole.center, corners);
  }

  /** Each tank's box as it lies on the screen. */
  boxesOnScreen(): { readonly x: number; readonly y: number; readonly width: number; readonly height: number }[] {
    return this.#boxes.map((box) => {
      const points = cornersOf(box).map((corner) => this.project(corner));
      const [xs, ys] = [points.map(({ x }) => x), points.map(({ y }) => y)];
      const [x, y] = [Math.min(...xs), Math.min(...ys)];
      return { x, y, width: Math.max(...xs) - x, height: Math.max(...ys) - y };
    });
  }

  draw(): void {
    if (this.#isAsked) return;
    this.#isAsked = true;
    requestAnimationFrame(() => {
      this.#isAsked = false;
      this.drawNow();
      this.#onDrawn();
    });
  }

  drawNow(): void {
    this.#scene.updateMatrixWorld();
    this.renderer.render(this.#scene, this.eye.camera);
  }

  dispose(): void {
    for (const group of [this.#shells, this.#liquids, this.#fittings, this.#lowPoints, this.#plumb, this.#path]) empty(group);
    for (const material of Object.values<Material>(this.#materials)) material.dispose();
    this.eye.dispose();
    this.renderer.dispose();
  }
}

function cornersOf({ min, max }: Box3): Point[] {
  return [min.x, max.x].flatMap((x) => [min.y, max.y].flatMap((y) => [min.z, max.z].map((z) => new Point(x, y, z))));
}

/** Takes everything out of a group and frees it, but for the shapes that all fittings share. */
function empty(group: Group): void {
  for (const child of group.children)
    if (child instanceof Mesh || child instanceof LineSegments) if (!child.userData['shared']) child.geometry.dispose();
  group.clear();
}
