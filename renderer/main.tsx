/** The window's entry: picks the shell, follows the theme, draws the window, opens what it was started on. */
import { render } from 'preact';
import type { ShellBridge } from '../shared/shell-bridge.ts';
import { App } from './app.tsx';
import { browserShell } from './browser-shell.ts';
import { openAtStart, useShell } from './open.ts';
import './style/colours.css';
import './style/controls.css';
import './style/frame.css';
import './style/panels.css';
import './style/replay.css';
import './style/view.css';
import { followTheme } from './theme.ts';

declare global {
  var shellBridge: ShellBridge | undefined;
}

useShell(globalThis.shellBridge ?? browserShell);
followTheme();
render(<App />, document.getElementById('app')!);
void openAtStart();
