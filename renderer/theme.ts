/** Light or dark, by the system or by hand, as one attribute that the style sheet and the 3D view read. */
import { computed, effect, signal } from '@preact/signals';
import { theme } from './state.ts';

const systemDark = matchMedia('(prefers-color-scheme: dark)');
const highContrast = matchMedia('(forced-colors: active)');
const systemIsDark = signal(systemDark.matches);
const isForced = signal(highContrast.matches);
systemDark.addEventListener('change', (event) => {
  systemIsDark.value = event.matches;
});
highContrast.addEventListener('change', (event) => {
  isForced.value = event.matches;
});

const shade = computed(() => (theme.value === 'system' ? (systemIsDark.value ? 'dark' : 'light') : theme.value));

/** Changes whenever colours on a canvas have to be read anew. */
export const colourScheme = computed(() => `${shade.value}${isForced.value ? ' forced' : ''}`);

export function followTheme(): void {
  effect(() => {
    document.documentElement.dataset['theme'] = shade.value;
  });
}

/** A style sheet colour as the canvas and the 3D view need it; system colours come out as what they are at the moment. */
export function cssColour(name: string): string {
  const probe = document.createElement('span');
  probe.style.setProperty('forced-color-adjust', 'none');
  probe.style.color = `var(${name})`;
  document.body.append(probe);
  const colour = getComputedStyle(probe).color;
  probe.remove();
  return colour;
}
