/** An STL carries no unit: what each unit would make of the mesh, side by side, and the person chooses. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { MESH_UNITS, type MeshUnit } from '../../shared/case.ts';
import type { MeshGlance } from '../../shared/engine-contract.ts';
import { fromSi, showNumber, showQuantity, toSi } from '../../shared/units.ts';
import { openMeshIn, unitQuestion } from '../open.ts';
import { lengthUnit } from '../state.ts';

export function UnitQuestion() {
  const question = unitQuestion.value;
  return question === null ? null : <Question key={question.name} name={question.name} glance={question.glance} />;
}

function Question({ name, glance }: { readonly name: string; readonly glance: MeshGlance }) {
  const dialog = useRef<HTMLDialogElement>(null);
  const [unit, setUnit] = useState<MeshUnit>(glance.likelyUnit);
  useEffect(() => {
    dialog.current?.showModal();
    dialog.current?.querySelector<HTMLInputElement>('input:checked')?.focus();
  }, []);

  return (
    <dialog
      ref={dialog}
      class="question"
      aria-labelledby="unit-title"
      onClose={() => {
        unitQuestion.value = null;
      }}
    >
      <h2 id="unit-title">Which unit is this mesh in?</h2>
      <p>
        {name}, {glance.triangles.toLocaleString('en')} triangles. An STL file does not say. Compare with the size you know.
      </p>
      <table>
        <thead>
          <tr>
            <th scope="col">Drawn in</th>
            <th scope="col">Fore-aft</th>
            <th scope="col">Side to side</th>
            <th scope="col">Height</th>
            <th scope="col">Fuel space</th>
          </tr>
        </thead>
        <tbody>
          {MESH_UNITS.map((each) => (
            <tr key={each} class={each === unit ? 'chosen' : ''} onClick={() => setUnit(each)}>
              <th scope="row">
                <label>
                  <input type="radio" name="mesh-unit" value={each} checked={each === unit} onChange={() => setUnit(each)} />
                  {each}
                </label>
                {each === glance.likelyUnit && <small> likely</small>}
              </th>
              {glance.size.map((side, axis) => (
                <td key={axis}>{size(toSi(side, each))}</td>
              ))}
              <td>{glance.volume === null ? 'not closed' : capacity(glance.volume, each)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {glance.repairs.length + glance.notices.length > 0 && (
        <ul class="notices">
          {[...glance.repairs.map((repair) => repair.text), ...glance.notices].map((text) => (
            <li key={text}>{text}</li>
          ))}
        </ul>
      )}
      <footer>
        <button type="button" onClick={() => dialog.current?.close()}>
          Cancel
        </button>
        <button type="button" class="primary" onClick={() => void openMeshIn(unit)}>
          Open it
        </button>
      </footer>
    </dialog>
  );
}

function capacity(volume: number, unit: MeshUnit): string {
  const volume_m3 = volume * toSi(1, unit) ** 3;
  if (volume_m3 >= LARGE_m ** 3) return showQuantity(volume_m3, 'm³');
  return `${showQuantity(volume_m3, 'L')} (${showNumber(fromSi(volume_m3, 'US gal'))} US gal)`;
}

/** Beyond this no tank of a light aircraft is meant, and millimetres would only make long figures. */
const LARGE_m = 10;

const size = (length_m: number): string => showQuantity(length_m, length_m >= LARGE_m ? 'm' : lengthUnit.value);
