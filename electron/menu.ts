/** The menu bar: small, its own items only send a command to the page. */
import { Menu, type MenuItemConstructorOptions } from 'electron';
import type { ShellCommand } from '../shared/shell-bridge.ts';

export function setMenu(send: (command: ShellCommand) => void): void {
  const item = (label: string, command: ShellCommand, accelerator?: string): MenuItemConstructorOptions => ({
    label,
    click: () => send(command),
    ...(accelerator ? { accelerator } : {}),
  });
  const mac = process.platform === 'darwin';
  Menu.setApplicationMenu(
    Menu.buildFromTemplate([
      ...(mac ? [{ role: 'appMenu' } as const] : []),
      {
        label: '&File',
        submenu: [
          item('Open…', 'open', 'CommandOrControl+O'),
          item('Save picture…', 'save-picture', 'CommandOrControl+Shift+P'),
          { type: 'separator' },
          { role: mac ? 'close' : 'quit' },
        ],
      },
      { role: 'editMenu' },
      {
        label: '&View',
        submenu: [
          item('Whole view', 'whole-view'),
          { type: 'separator' },
          { role: 'resetZoom' },
          { role: 'zoomIn' },
          { role: 'zoomOut' },
          { role: 'togglefullscreen' },
        ],
      },
      { label: '&Help', submenu: [item('Axes, signs and keys', 'help', 'F1')] },
    ]),
  );
}
