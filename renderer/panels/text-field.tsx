/** A name edited in place: Enter or leaving the field takes it, Escape puts the old one back. */
import { useState } from 'preact/hooks';

interface TextFieldProps {
  readonly label: string;
  readonly name: string;
  readonly value: string;
  readonly onTake: (text: string) => Promise<string | null>;
}

export function TextField({ label, name, value, onTake }: TextFieldProps) {
  const [draft, setDraft] = useState<string | null>(null);
  const [problem, setProblem] = useState<string | null>(null);

  async function take(): Promise<void> {
    const text = draft?.trim();
    if (text === undefined) return;
    const refused = text === value ? null : text === '' ? 'A name is needed.' : await onTake(text);
    setProblem(refused);
    if (refused === null) setDraft(null);
  }

  return (
    <div class="field text">
      <label>
        <span class="field-label">{label}</span>
        <input
          type="text"
          autocomplete="off"
          spellcheck={false}
          aria-label={name}
          aria-invalid={problem !== null}
          value={draft ?? value}
          onInput={(event) => {
            setDraft(event.currentTarget.value);
            setProblem(null);
          }}
          onBlur={() => void take()}
          onKeyDown={(event) => {
            if (event.key === 'Enter') void take();
            if (event.key === 'Escape') {
              setDraft(null);
              setProblem(null);
            }
          }}
        />
      </label>
      {problem !== null && (
        <p class="field-problem" role="alert">
          {problem}
        </p>
      )}
    </div>
  );
}
