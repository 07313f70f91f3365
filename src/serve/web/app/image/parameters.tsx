// What the measurement assumes, where each value came from, and what a change would do, before it is saved.
import { BandTag } from '../meaning'
import { degrees, kelvins, withPoint } from '../numbers'
import { SavedNote } from '../saved'
import { Refusal, sentenceOf } from '../server'
import type { ImageView, LugResult, Parameter } from '../wire'
import type { Edits, ParameterEdits } from './parameter_edits'


function usedText({ used, unit, from }: Parameter) {
  if (used === null) return from ? `not known (${from})` : 'not known'
  return `used: ${Number(used.toPrecision(5))}${unit ? ` ${unit}` : ''}${from ? `, from ${from}` : ''}`
}

function Field({ parameter, edits, edit, wrong }: {
  parameter: Parameter
  edits: Edits
  edit: (name: string, text: string | null | undefined) => void
  wrong: string | null
}) {
  const { name, label, unit, meaning } = parameter
  const changed = name in edits
  const id = `parameter-${name}`
  return (
    <div class={`parameter${changed ? ' changed' : ''}`}>
      <label for={id}>{label}{unit && <span class="aside">, {unit}</span>}</label>
      <input id={id} type="text" inputMode={parameter.used === null ? 'text' : 'decimal'} value={(changed ? edits[name] : parameter.row) ?? ''}
        placeholder={parameter.default ?? ''} aria-describedby={`${id}-from ${id}-meaning`} aria-invalid={wrong !== null}
        onInput={(event) => {
          const text = withPoint(event.currentTarget.value.trim()) || null
          edit(name, text === parameter.row ? undefined : text) // as it was: no edit
        }} />
      {wrong && <span class="problem" role="alert">{wrong}</span>}
      <span id={`${id}-from`} class="aside from">{changed ? `not saved; images.csv has ${parameter.row ?? 'nothing'}` : usedText(parameter)}</span>
      <span id={`${id}-meaning`} class="aside meaning">{meaning}</span>
    </div>
  )
}

function Effect({ before, after }: { before: LugResult[]; after: LugResult[] }) {
  return (
    <table class="effect stacks" role="table">
      <caption>What the changes do, before anything is saved</caption>
      <thead role="rowgroup"><tr role="row">{['Lug', 'Temperature', 'Over like', 'Over air', 'Band'].map((title) =>
        <th key={title} scope="col" role="columnheader">{title}</th>)}</tr></thead>
      <tbody role="rowgroup">
        {after.map((lug) => {
          const old = before.find(({ name }) => name === lug.name)
          return (
            <tr key={lug.name} role="row">
              <th scope="row" role="rowheader">{lug.name}</th>
              <td role="cell" data-label="Temperature" class="number">{degrees(old?.temperature_c)} → <strong>{degrees(lug.temperature_c)}</strong></td>
              <td role="cell" data-label="Over like" class="number">{kelvins(old?.rise_over_like_c)} → <strong>{kelvins(lug.rise_over_like_c)}</strong></td>
              <td role="cell" data-label="Over air" class="number">{kelvins(old?.rise_over_air_c)} → <strong>{kelvins(lug.rise_over_air_c)}</strong></td>
              <td role="cell" data-label="Band">{old && <><BandTag band={old.band} /> → </>}<BandTag band={lug.band} /></td>
            </tr>
          )
        })}
      </tbody>
    </table>
  )
}

// What is looked at most; the rest is one click away.
const kUsual = [
  'emissivity', 'reflected_c', 'air_c', 'distance_m', 'window_transmittance', 'load_1_a', 'load_2_a', 'load_3_a', 'wind_m_s'
]

/** The parameter that the server could not use, and why. */
function wrongOf(error: unknown, edits: Edits): { name: string | null; sentence: string } | null {
  if (error === null) return null
  const column = error instanceof Refusal ? error.body.column ?? null : null
  return { name: column !== null && column in edits ? column : null, sentence: sentenceOf(error) }
}

export function Parameters(props: {
  view: ImageView
  parameters: ParameterEdits
  /** Why the changes cannot be tried. */
  wrong: unknown
  before: LugResult[]
  after: LugResult[] | null
  first?: string[]
}) {
  const { view } = props
  const { edits, setEdits, busy, problem, last, save } = props.parameters
  const count = Object.keys(edits).length
  const wrong = wrongOf(props.wrong, edits)
  const edit = (name: string, text: string | null | undefined) => {
    const { [name]: _old, ...rest } = edits
    setEdits(text === undefined ? rest : { ...rest, [name]: text })
  }
  const field = (parameter: Parameter) => (
    <Field key={parameter.name} parameter={parameter} edits={edits} edit={edit} wrong={wrong?.name === parameter.name ? wrong.sentence : null} />
  )
  const first = props.first ?? kUsual
  const usual = view.parameters.filter(({ name }) => first.includes(name))
  const others = view.parameters.filter(({ name }) => !first.includes(name))
  return (
    <section class="parameters" aria-labelledby="parameters-title">
      <h2 id="parameters-title">Parameters</h2>
      <p class="aside">Written to this image’s row of images.csv{view.parameters_row ? ` (row ${view.parameters_row})` : ', which is added'}.
        An empty field takes the survey’s default.</p>
      {problem && <p class="notice" role="alert">{problem}</p>}
      {count === 0 && <SavedNote done={last} busy={busy} />}
      <div class="fields">{usual.map(field)}</div>
      {others.length > 0 &&
        <details open={others.some(({ name }) => name in edits)}>
          <summary>All other parameters and uncertainties</summary>
          <div class="fields">{others.map(field)}</div>
        </details>}
      {count > 0 &&
        <div class="unsaved">
          {wrong && wrong.name === null && <p class="notice" role="alert">{wrong.sentence}</p>}
          {props.after && <Effect before={props.before} after={props.after} />}
          <button type="button" class="main" disabled={busy || wrong !== null} onClick={save}>Save {count === 1 ? 'the parameter' : `${count} parameters`}</button>
          <button type="button" onClick={() => setEdits({})}>Leave them as they were</button>
        </div>}
    </section>
  )
}
