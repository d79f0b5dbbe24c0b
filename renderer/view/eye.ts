/** Where the view is seen from: turning, coming nearer, the views along the axes, perspective or parallel. World Z is up. */
import { type Object3D, OrthographicCamera, PerspectiveCamera, Vector3 as Point, Raycaster, Vector2 } from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';

/** From the target to the eye. From behind, right is right; from the left, the nose points left. */
export const VIEWS = {
  corner: { word: 'Corner', name: 'Corner', from: [0.62, -0.72, 0.5] },
  behind: { word: 'Behind', name: 'From behind', from: [1, 0, 0] },
  left: { word: 'Left', name: 'From the left', from: [0, -1, 0] },
  above: { word: 'Above', name: 'From above', from: [0.001, 0, 1] },
  below: { word: 'Below', name: 'From below', from: [0.001, 0, -1] },
} as const;
export type ViewName = keyof typeof VIEWS;

const ANGLE = 32;
/** Share of the picture that a fitted drawing takes: the rest is for its labels. */
const FILL = 0.88;
/** Pixels above and below that the view's buttons and switches lie over. */
const BARS = 84;

export class Eye {
  readonly #perspective = new PerspectiveCamera(ANGLE, 1, 0.01, 100);
  readonly #parallel = new OrthographicCamera(-1, 1, 1, -1, 0.01, 100);
  readonly #controls: OrbitControls;
  #width = 1;
  #height = 1;
  /** Nobody has moved the eye since everything was brought into the picture. */
  isFitted = false;

  constructor(canvas: HTMLCanvasElement, onMoved: () => void) {
    for (const camera of [this.#perspective, this.#parallel]) {
      camera.up.set(0, 0, 1);
      camera.position.set(...VIEWS.corner.from);
    }
    this.#controls = new OrbitControls(this.#perspective, canvas);
    this.#controls.addEventListener('change', onMoved);
    this.#controls.addEventListener('start', () => {
      this.isFitted = false;
    });
    this.#controls.zoomToCursor = true;
  }

  get camera(): PerspectiveCamera | OrthographicCamera {
    return this.#controls.object as PerspectiveCamera | OrthographicCamera;
  }

  get objects(): readonly Object3D[] {
    return [this.#perspective, this.#parallel];
  }

  get isParallel(): boolean {
    return this.camera === this.#parallel;
  }

  /** A light that goes where the eye goes. */
  carry(light: Object3D): void {
    this.#perspective.add(light);
    this.#parallel.add(light.clone());
  }

  resize(width: number, height: number): void {
    this.#width = width;
    this.#height = height;
    this.#perspective.aspect = width / height;
    this.#perspective.updateProjectionMatrix();
    const half = this.#parallel.top;
    this.#parallel.left = (-half * width) / height;
    this.#parallel.right = (half * width) / height;
    this.#parallel.updateProjectionMatrix();
  }

  /**
   * Brings points into the picture from where the eye stands now.
   * @param about - near the middle of them; the eye then looks at the middle as seen, and turns about it
   */
  fit(about: Point, points: readonly Point[]): void {
    this.isFitted = true;
    this.camera.updateMatrixWorld();
    const height = Math.max(this.#height / 2, this.#height - BARS);
    const aspect = this.#width / height;
    const toEye = this.camera.quaternion.clone().invert();
    const placed = points.map((point) => point.clone().sub(about).applyQuaternion(toEye));
    const middle = (pick: (point: Point) => number): number => (Math.min(...placed.map(pick)) + Math.max(...placed.map(pick))) / 2;
    const shift = new Point(
      middle(({ x }) => x),
      middle(({ y }) => y),
      0,
    );
    const seen = placed.map((point) => point.sub(shift));
    const centre = shift.clone().applyQuaternion(this.camera.quaternion).add(about);
    const fill = (FILL * height) / this.#height;
    const half = Math.max(1e-6, ...seen.map(({ x, y }) => Math.max(Math.abs(y), Math.abs(x) / aspect))) / fill;
    const tangent = Math.tan((ANGLE * Math.PI) / 360);
    const distance = Math.max(...seen.map(({ x, y, z }) => Math.max(Math.abs(y), Math.abs(x) / aspect) / (fill * tangent) + z), half);
    const offset = this.camera.position.clone().sub(this.#controls.target).normalize();
    this.#controls.target.copy(centre);
    for (const camera of [this.#perspective, this.#parallel]) {
      camera.position.copy(centre).addScaledVector(offset, distance);
      camera.near = distance / 100;
      camera.far = distance * 20;
    }
    this.#parallel.top = half;
    this.#parallel.bottom = -half;
    this.#parallel.zoom = 1;
    this.resize(this.#width, this.#height);
    this.#controls.update();
  }

  look(view: ViewName): void {
    const distance = this.camera.position.distanceTo(this.#controls.target);
    this.camera.position.copy(this.#controls.target).addScaledVector(new Point(...VIEWS[view].from).normalize(), distance);
    this.#controls.update();
  }

  setParallel(isParallel: boolean): void {
    if (isParallel === this.isParallel) return;
    const [from, to] = isParallel ? [this.#perspective, this.#parallel] : [this.#parallel, this.#perspective];
    to.position.copy(from.position);
    if (isParallel) {
      const half = from.position.distanceTo(this.#controls.target) * Math.tan((ANGLE * Math.PI) / 360);
      this.#parallel.top = half;
      this.#parallel.bottom = -half;
      this.#parallel.zoom = 1;
    } else {
      const distance = this.#parallel.top / this.#parallel.zoom / Math.tan((ANGLE * Math.PI) / 360);
      to.position.sub(this.#controls.target).setLength(distance).add(this.#controls.target);
    }
    this.#controls.object = to;
    this.resize(this.#width, this.#height);
    this.#controls.update();
  }

  /** Turns about the target: degrees to the right and up. */
  turn(right_deg: number, up_deg: number): void {
    const offset = this.camera.position.clone().sub(this.#controls.target);
    const length = offset.length();
    const around = Math.atan2(offset.y, offset.x) + (right_deg * Math.PI) / 180;
    const above = Math.min(1.56, Math.max(-1.56, Math.asin(offset.z / length) + (up_deg * Math.PI) / 180));
    offset.set(Math.cos(above) * Math.cos(around), Math.cos(above) * Math.sin(around), Math.sin(above)).multiplyScalar(length);
    this.camera.position.copy(this.#controls.target).add(offset);
    this.#controls.update();
  }

  nearer(factor: number): void {
    if (this.isParallel) {
      this.#parallel.zoom *= factor;
      this.#parallel.updateProjectionMatrix();
    } else {
      this.camera.position.sub(this.#controls.target).divideScalar(factor).add(this.#controls.target);
    }
    this.#controls.update();
    this.#controls.dispatchEvent({ type: 'change' });
  }

  rayAt(x: number, y: number): Raycaster {
    const ray = new Raycaster();
    this.camera.updateMatrixWorld();
    ray.setFromCamera(new Vector2((2 * x) / this.#width - 1, 1 - (2 * y) / this.#height), this.camera);
    return ray;
  }

  project(world: Point): { readonly x: number; readonly y: number } {
    const flat = world.project(this.camera);
    return { x: ((flat.x + 1) / 2) * this.#width, y: ((1 - flat.y) / 2) * this.#height };
  }

  directionOnScreen(world: Point): [number, number, number] {
    const seen = world.applyQuaternion(this.camera.quaternion.clone().invert());
    return [seen.x, -seen.y, seen.z];
  }

  dispose(): void {
    this.#controls.dispose();
  }
}
