/** Small marks that go with words: a disc filled as far as the opening is covered, and a sign for a finding's state. */
import type { Cover, Finding } from '../../shared/answers.ts';

export function CoverGlyph({ cover, alert }: { readonly cover: Cover; readonly alert: boolean }) {
  return (
    <svg class={`glyph cover ${cover} ${alert ? 'alert' : ''}`} viewBox="-8 -8 16 16" aria-hidden="true">
      <circle class="ring" r={6} />
      {cover === 'covered' && <circle class="fill" r={6} />}
      {cover === 'partly' && <path class="fill" d="M-6 0 A6 6 0 0 0 6 0 Z" />}
      {cover === 'dry' && <line class="ring" x1={-4.2} y1={4.2} x2={4.2} y2={-4.2} />}
    </svg>
  );
}

export function FindingGlyph({ state }: { readonly state: Finding['state'] }) {
  return (
    <svg class={`glyph finding ${state.replace(' ', '-')}`} viewBox="-9 -9 18 18" aria-hidden="true">
      {state === 'met' && (
        <>
          <circle r={8} />
          <path class="sign" d="M-4 0 L-1 3.4 L4.2 -3.2" />
        </>
      )}
      {state === 'not met' && (
        <>
          <path d="M0 -8.4 L8.6 7 H-8.6 Z" />
          <path class="sign" d="M0 -3 V2 M0 4 V5.2" />
        </>
      )}
      {state === 'not shown' && (
        <>
          <rect class="hollow" x={-7} y={-7} width={14} height={14} rx={2} />
          <path class="sign dark" d="M-3.4 0 H3.4" />
        </>
      )}
    </svg>
  );
}
