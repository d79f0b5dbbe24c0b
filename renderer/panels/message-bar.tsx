/** One clear line: what went wrong or what was done, until it is dismissed or something newer happens. */
import { useEffect } from 'preact/hooks';
import { message } from '../state.ts';

/** What was done is told for a while; what went wrong stays until it is dismissed. */
const NOTE_ms = 10_000;

export function MessageBar() {
  const now = message.value;
  useEffect(() => {
    if (now?.kind !== 'note' || now.action !== undefined) return undefined;
    const timer = setTimeout(() => {
      if (message.value === now) message.value = null;
    }, NOTE_ms);
    return () => clearTimeout(timer);
  }, [now]);
  return (
    <div class="message-place">
      {now !== null && (
        <div class={`message ${now.kind}`} role={now.kind === 'problem' ? 'alert' : 'status'} data-testid="message">
          <span>{now.text}</span>
          {now.action !== undefined && (
            <button type="button" onClick={now.action.run}>
              {now.action.word}
            </button>
          )}
          <button
            type="button"
            class="quiet"
            onClick={() => {
              message.value = null;
            }}
          >
            Dismiss
          </button>
        </div>
      )}
    </div>
  );
}
