/** OpenCascade (replicad-opencascadejs, version in package.json), as a judge of cut volumes: analytic solids, cut by a half-space, GProp. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import init, { type OpenCascadeInstance, type TopoDS_Shape } from 'replicad-opencascadejs';
import type { Vector3 } from '../shared/vector.ts';

export type Shape = TopoDS_Shape;

export interface Judge {
  box(min: Vector3, max: Vector3): Shape;
  /** Right prism over a convex polygon in the X–Z plane, from y = 0 to y = width. */
  prismAlongY(plan: readonly (readonly [number, number])[], width: number): Shape;
  cylinder(foot: Vector3, axis: Vector3, radius: number, height: number): Shape;
  /** Frustum about Z from z = 0; either radius may be 0. */
  cone(bottom: number, top: number, height: number): Shape;
  sphere(centre: Vector3, radius: number): Shape;
  /** An ellipsoid of revolution about Z, flatter than a sphere. */
  spheroid(centre: Vector3, radius: number, halfHeight: number): Shape;
  /** The part above a height. */
  above(shape: Shape, z: number): Shape;
  volume(shape: Shape): number;
  /** About Z. */
  torus(major: number, minor: number): Shape;
  fuse(a: Shape, b: Shape): Shape;
  cut(a: Shape, b: Shape): Shape;
  /** Volume and centroid of what lies below a level along `up`. */
  below(shape: Shape, up: Vector3, level: number): { volume: number; centroid: Vector3 };
}

/** Relative error asked of GProp's adaptive integration. */
const INTEGRATION = 1e-9;

let loading: Promise<Judge> | null = null;
export const openCascade = (): Promise<Judge> =>
  (loading ??= init({ wasmBinary: readFileSync(createRequire(import.meta.url).resolve('replicad-opencascadejs/wasm')) }).then(judgeOf));

function judgeOf(oc: OpenCascadeInstance): Judge {
  const point = ([x, y, z]: Vector3) => new oc.gp_Pnt(x, y, z);
  const direction = ([x, y, z]: Vector3) => new oc.gp_Dir(x, y, z);
  const polygon = (corners: readonly Vector3[]): Shape => {
    const wire = new oc.BRepBuilderAPI_MakeWire();
    corners.forEach((corner, i) => {
      wire.Add(new oc.BRepBuilderAPI_MakeEdge(point(corner), point(corners[(i + 1) % corners.length])).Edge());
    });
    return new oc.BRepBuilderAPI_MakeFace(wire.Wire(), true).Face();
  };
  return {
    box: (min, max) => new oc.BRepPrimAPI_MakeBox(point(min), point(max)).Shape(),
    prismAlongY: (plan, width) =>
      new oc.BRepPrimAPI_MakePrism(polygon(plan.map(([x, z]): Vector3 => [x, 0, z])), new oc.gp_Vec(0, width, 0)).Shape(),
    cylinder: (foot, axis, radius, height) =>
      new oc.BRepPrimAPI_MakeCylinder(new oc.gp_Ax2(point(foot), direction(axis)), radius, height).Shape(),
    cone: (bottom, top, height) => {
      const profile: Vector3[] = [
        [0, 0, 0],
        [bottom, 0, 0],
        [top, 0, height],
        [0, 0, height],
      ];
      const corners = profile.filter(([x, , z], i) => i === 0 || x !== profile[i - 1][0] || z !== profile[i - 1][2]);
      return new oc.BRepPrimAPI_MakeRevol(polygon(corners), new oc.gp_Ax1(point([0, 0, 0]), direction([0, 0, 1]))).Shape();
    },
    sphere: (centre, radius) => new oc.BRepPrimAPI_MakeSphere(point(centre), radius).Shape(),
    spheroid: (centre, radius, halfHeight) => {
      const [x, y, z] = centre;
      const ellipse = new oc.gp_Elips(new oc.gp_Ax2(point(centre), direction([0, -1, 0]), direction([1, 0, 0])), radius, halfHeight);
      const wire = new oc.BRepBuilderAPI_MakeWire();
      wire.Add(new oc.BRepBuilderAPI_MakeEdge(ellipse, -Math.PI / 2, Math.PI / 2).Edge());
      wire.Add(new oc.BRepBuilderAPI_MakeEdge(point([x, y, z + halfHeight]), point([x, y, z - halfHeight])).Edge());
      const half = new oc.BRepBuilderAPI_MakeFace(wire.Wire(), true).Face();
      return new oc.BRepPrimAPI_MakeRevol(half, new oc.gp_Ax1(point(centre), direction([0, 0, 1]))).Shape();
    },
    above: (shape, z) => {
      const plane = new oc.BRepBuilderAPI_MakeFace(new oc.gp_Pln(point([0, 0, z]), direction([0, 0, 1]))).Face();
      return new oc.BRepAlgoAPI_Common(shape, new oc.BRepPrimAPI_MakeHalfSpace(plane, point([0, 0, z + 1])).Solid()).Shape();
    },
    volume: (shape) => {
      const properties = new oc.GProp_GProps();
      oc.BRepGProp.VolumeProperties(shape, properties, INTEGRATION, false, false);
      return properties.Mass();
    },
    torus: (major, minor) => new oc.BRepPrimAPI_MakeTorus(major, minor).Shape(),
    fuse: (a, b) => new oc.BRepAlgoAPI_Fuse(a, b).Shape(),
    cut: (a, b) => new oc.BRepAlgoAPI_Cut(a, b).Shape(),
    below: (shape, up, level) => {
      const at: Vector3 = [up[0] * level, up[1] * level, up[2] * level];
      const plane = new oc.BRepBuilderAPI_MakeFace(new oc.gp_Pln(point(at), direction(up))).Face();
      const under = new oc.BRepPrimAPI_MakeHalfSpace(plane, point([at[0] - up[0], at[1] - up[1], at[2] - up[2]])).Solid();
      const part = new oc.BRepAlgoAPI_Common(shape, under).Shape();
      const properties = new oc.GProp_GProps();
      oc.BRepGProp.VolumeProperties(part, properties, INTEGRATION, false, false);
      const centre = properties.CentreOfMass();
      return { volume: properties.Mass(), centroid: [centre.X(), centre.Y(), centre.Z()] };
    },
  };
}
