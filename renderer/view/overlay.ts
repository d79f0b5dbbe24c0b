/** What is written over the 3D view: labels with leader lines, the axes in words, the plumb line's figure. One code for screen and picture. */
import type { Cover } from '../../shared/answers.ts';
import { cssColour } from '../theme.ts';
import { type Box, nearestPoint, placeLabels } from './label-layout.ts';

export interface Label {
  /** Pixels from the view's top left. */
  readonly x: number;
  readonly y: number;
  readonly title: string;
  readonly line: string;
  readonly mark: { readonly kind: 'cover'; readonly cover: Cover } | { readonly kind: 'low' | 'air' | 'plain' };
  readonly alert: boolean;
  readonly chosen: boolean;
}

/** An axis of the tank frame as it lies on the screen: right, down, and towards the viewer. */
export interface ScreenAxis {
  readonly word: string;
  readonly direction: readonly [number, number, number];
}

export interface OverlayContent {
  readonly labels: readonly Label[];
  readonly axes: readonly ScreenAxis[];
  readonly isStale: boolean;
  /** What lies over the view, and where the drawing itself lies. */
  readonly kept: readonly Box[];
  readonly drawing: readonly Box[];
}

const FONT = 'system-ui, "Segoe UI", "Liberation Sans", sans-serif';
const PAD_X = 8;
const ROW = 16;

export interface InkColours {
  readonly ink: string;
  readonly soft: string;
  readonly paper: string;
  readonly line: string;
  readonly alert: string;
  readonly fuel: string;
  readonly water: string;
  readonly accent: string;
  readonly air: string;
}

export function readInk(): InkColours {
  return {
    ink: cssColour('--ink'),
    soft: cssColour('--ink-soft'),
    paper: cssColour('--panel'),
    line: cssColour('--line-strong'),
    alert: cssColour('--alert'),
    fuel: cssColour('--wet'),
    water: cssColour('--water-ink'),
    accent: cssColour('--accent'),
    air: cssColour('--air-ink'),
  };
}

/** @param context - already scaled, so that one unit is a pixel of the page */
export function drawOverlay(
  context: CanvasRenderingContext2D,
  width: number,
  height: number,
  content: OverlayContent,
  ink: InkColours,
): void {
  context.clearRect(0, 0, width, height);
  const wishes = content.labels.map((label) => {
    context.font = `600 13px ${FONT}`;
    const title = context.measureText(label.title).width;
    context.font = `12px ${FONT}`;
    const line = context.measureText(label.line).width + (label.mark.kind === 'plain' ? 0 : 16);
    return { anchorX: label.x, anchorY: label.y, width: Math.max(title, line) + 2 * PAD_X, height: (label.title === '' ? 1 : 2) * ROW + 6 };
  });
  const gizmo: Box = { x: width - 140, y: height - 154, width: 140, height: 116 };
  const area = { x: 6, y: 6, width: width - 12, height: height - 12 };
  const places = placeLabels(wishes, area, [...content.kept, gizmo], content.drawing);
  context.globalAlpha = content.isStale ? 0.5 : 1;
  content.labels.forEach((label, i) => {
    const box = places[i];
    if (box !== null && box !== undefined) drawLeader(context, label, box, ink);
  });
  content.labels.forEach((label, i) => {
    const box = places[i];
    if (box !== null && box !== undefined) drawLabel(context, label, box, ink);
  });
  context.globalAlpha = 1;
  drawAxes(context, width - 82, height - 96, content.axes, ink);
}

function drawLeader(context: CanvasRenderingContext2D, label: Label, box: Box, ink: InkColours): void {
  const { x, y } = nearestPoint(box, label);
  context.strokeStyle = label.alert ? ink.alert : ink.soft;
  context.lineWidth = label.alert ? 1.6 : 1;
  context.beginPath();
  context.moveTo(label.x, label.y);
  context.lineTo(x, y);
  context.stroke();
}

function drawLabel(context: CanvasRenderingContext2D, label: Label, box: Box, ink: InkColours): void {
  context.fillStyle = ink.paper;
  context.strokeStyle = label.chosen ? ink.accent : label.alert ? ink.alert : ink.line;
  context.lineWidth = label.chosen || label.alert ? 2 : 1;
  context.beginPath();
  context.roundRect(box.x, box.y, box.width, box.height, 5);
  context.fill();
  context.stroke();
  context.textBaseline = 'middle';
  context.textAlign = 'left';
  let y = box.y + 3 + ROW / 2;
  if (label.title !== '') {
    context.font = `600 13px ${FONT}`;
    context.fillStyle = ink.ink;
    context.fillText(label.title, box.x + PAD_X, y);
    y += ROW;
  }
  context.font = `12px ${FONT}`;
  context.fillStyle = label.alert ? ink.alert : ink.ink;
  const indent = label.mark.kind === 'plain' ? 0 : 16;
  context.fillText(label.line, box.x + PAD_X + indent, y);
  if (label.mark.kind === 'cover') drawCover(context, box.x + PAD_X + 5, y, label.mark.cover, label.alert ? ink.alert : ink.ink, ink.fuel);
  if (label.mark.kind === 'air') drawAir(context, box.x + PAD_X + 5, y, ink.air);
  if (label.mark.kind === 'low') drawLow(context, box.x + PAD_X + 5, y, ink.water);
}

function drawAir(context: CanvasRenderingContext2D, x: number, y: number, line: string): void {
  context.strokeStyle = line;
  context.lineWidth = 1.5;
  for (const [dx, dy, r] of [
    [-2.5, 1.5, 3],
    [3, -2.5, 2],
  ] as const) {
    context.beginPath();
    context.arc(x + dx, y + dy, r, 0, 2 * Math.PI);
    context.stroke();
  }
}

function drawCover(context: CanvasRenderingContext2D, x: number, y: number, cover: Cover, line: string, fill: string): void {
  context.strokeStyle = line;
  context.fillStyle = fill;
  context.lineWidth = 1.5;
  if (cover !== 'dry') {
    context.beginPath();
    context.arc(x, y, 5, 0, cover === 'covered' ? 2 * Math.PI : Math.PI);
    context.fill();
  }
  context.beginPath();
  context.arc(x, y, 5, 0, 2 * Math.PI);
  if (cover === 'dry') {
    context.moveTo(x - 3.5, y + 3.5);
    context.lineTo(x + 3.5, y - 3.5);
  }
  context.stroke();
}

function drawLow(context: CanvasRenderingContext2D, x: number, y: number, fill: string): void {
  context.fillStyle = fill;
  context.beginPath();
  context.moveTo(x - 5, y - 4);
  context.lineTo(x + 5, y - 4);
  context.lineTo(x, y + 5);
  context.fill();
}

function drawAxes(context: CanvasRenderingContext2D, x: number, y: number, axes: readonly ScreenAxis[], ink: InkColours): void {
  const reach = 30;
  context.font = `600 12px ${FONT}`;
  context.textBaseline = 'middle';
  for (const { word, direction } of [...axes].sort((a, b) => a.direction[2] - b.direction[2])) {
    const [dx, dy, toViewer] = direction;
    context.strokeStyle = context.fillStyle = toViewer < -0.3 ? ink.soft : ink.ink;
    context.lineWidth = 2;
    const [tipX, tipY] = [x + dx * reach, y + dy * reach];
    context.beginPath();
    context.moveTo(x, y);
    context.lineTo(tipX, tipY);
    context.stroke();
    const length = Math.hypot(dx, dy);
    if (length < 0.15) {
      context.beginPath();
      context.arc(x, y, 3.5, 0, 2 * Math.PI);
      context.fill();
      continue; // end on: a dot, and the word would cover the others
    }
    const [ux, uy] = [dx / length, dy / length];
    context.beginPath();
    context.moveTo(tipX + ux * 5, tipY + uy * 5);
    context.lineTo(tipX - uy * 3.5, tipY + ux * 3.5);
    context.lineTo(tipX + uy * 3.5, tipY - ux * 3.5);
    context.fill();
    context.textAlign = ux > 0.35 ? 'left' : ux < -0.35 ? 'right' : 'center';
    context.fillText(word, tipX + ux * 9, tipY + uy * 12);
  }
}
