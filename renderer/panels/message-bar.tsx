/** One clear line: what went wrong or what was done, until it is dismissed or something newer happens. */
import { message } from '../state.ts';

export function MessageBar() {
  const now = message.value;
  return (
    <div class="message-place">
      {now !== null && (
        <div class={`message ${now.kind}`} role={now.kind === 'problem' ? 'alert' : 'status'} data-testid="message">
          <span>{now.text}</span>
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
