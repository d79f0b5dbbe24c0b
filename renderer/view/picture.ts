/** The view as a picture to take away: twice the size on screen, with its condition written under it. */
import { version } from '../../package.json';
import { cssColour } from '../theme.ts';
import { drawOverlay, type InkColours, type OverlayContent } from './overlay.ts';
import type { TankView } from './tank-view.ts';

const SCALE = 2;
const CAPTION = 54;

export async function pictureOf(view: TankView, content: OverlayContent, ink: InkColours, caption: string): Promise<Blob> {
  const screen = view.renderer.domElement;
  const [width, height] = [screen.clientWidth, screen.clientHeight];
  const sheet = document.createElement('canvas');
  sheet.width = width * SCALE;
  sheet.height = (height + CAPTION) * SCALE;
  const context = sheet.getContext('2d')!;
  context.fillStyle = cssColour('--view');
  context.fillRect(0, 0, sheet.width, sheet.height);

  view.renderer.setPixelRatio(SCALE);
  view.renderer.setSize(width, height, false);
  view.drawNow();
  context.drawImage(screen, 0, 0, sheet.width, height * SCALE);
  view.resize(width, height);

  const words = document.createElement('canvas');
  words.width = sheet.width;
  words.height = height * SCALE;
  const wordContext = words.getContext('2d')!;
  wordContext.scale(SCALE, SCALE);
  drawOverlay(wordContext, width, height, content, ink);
  context.drawImage(words, 0, 0);

  context.scale(SCALE, SCALE);
  context.fillStyle = ink.paper;
  context.fillRect(0, height, width, CAPTION);
  context.fillStyle = ink.ink;
  context.textBaseline = 'middle';
  context.font = '600 14px system-ui, "Liberation Sans", sans-serif';
  context.fillText(caption, 12, height + 18, width - 24);
  context.font = '12px system-ui, "Liberation Sans", sans-serif';
  context.fillText(`Lowpoint ${version}, ${new Date().toISOString().slice(0, 10)}`, 12, height + 38, width - 24);
  return new Promise((resolve, reject) => {
    sheet.toBlob((blob) => (blob === null ? reject(new Error('the picture could not be made')) : resolve(blob)), 'image/png');
  });
}
