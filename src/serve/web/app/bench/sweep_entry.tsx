// A sweep typed by hand or pasted from a spreadsheet: the curve grows along.
import { Fragment } from 'preact'
import { useState } from 'preact/hooks'
import { announce } from '../announce'
import { counted } from '../numbers'
import type { ShownSweep } from './bench_wire'
import { emptyRow, isBlank, pastedRows, type SweepRow } from './pasted'
import { RotorSays } from './rotor_pictures'
import { fieldName } from './rows_for_table'
import { nextAngle, type Complaint, type SweepDraft } from './sweep_draft'
import { SweepCurve } from './sweep_curve'
import { bareUnit } from './units'

function Cell(props: {
  name: string
  place: number
  value: string
  problem: boolean
  take: (text: string) => void
  paste: (text: string) => boolean
  focus: (place: number | null) => void
}) {
  return (
    <input type="text" inputMode="decimal" autocomplete="off" aria-label={`${props.name}, row ${props.place + 1}`} value={props.value}
      aria-invalid={props.problem} aria-describedby={props.problem ? `sweep-row-${props.place}` : undefined}
      onFocus={() => props.focus(props.place)} onBlur={() => props.focus(null)}
      onInput={(event) => props.take(event.currentTarget.value)}
      onPaste={(event) => {
        if (props.paste(event.clipboardData?.getData('text') ?? '')) event.preventDefault()
      }} />
  )
}

export function SweepEntry(props: {
  draft: SweepDraft
  setDraft: (draft: SweepDraft | null) => void
  setAt: (place: number | null) => void
  units: string[]
  names: string[]
  complaints: { rows: Map<number, Complaint[]>; whole: string[] }
  shown: ShownSweep | null
  problem: string | null
  busy: boolean
  save: () => void
}) {
  const { draft, setDraft, names } = props
  const [said, setSaid] = useState<string | null>(null)
  const set = (part: Partial<SweepDraft>) => setDraft({ ...draft, ...part })
  const setRows = (rows: SweepRow[], odd = draft.odd) => {
    const last = rows[rows.length - 1]
    set({ rows: !last || !isBlank(last) ? [...rows, emptyRow(nextAngle(rows, draft.step))] : rows, odd })
  }
  const setRow = (place: number, row: SweepRow) => setRows(draft.rows.map((old, i) => (i === place ? row : old)))
  const paste = (text: string, from: number) => {
    const angles: SweepRow[] = draft.rows.slice(0, from)
    const angleAt = (place: number) => {
      while (angles.length <= from + place) angles.push(emptyRow(draft.rows[angles.length]?.angle || nextAngle(angles, draft.step)))
      return angles[from + place]!.angle
    }
    const pasted = pastedRows(text, angleAt)
    if (pasted.refused) return setSaid(pasted.refused)
    const odd = new Map([...pasted.odd].map(([place, message]) => [from + place, message]))
    setRows([...draft.rows.slice(0, from), ...pasted.rows, ...draft.rows.slice(from + pasted.rows.length)], odd)
    const what = `${counted(pasted.rows.length, 'row')} taken over${pasted.header ? ', the line of names left out' : ''}.`
    setSaid(what)
    announce(what)
  }
  const pasteInto = (place: number) => (text: string) => {
    if (!/[\t\n\r;]/.test(text.trim())) return false // a single value: the field's own business
    paste(text, place)
    return true
  }
  const known = draft.rows.filter((row) => !isBlank(row)).length
  const field = (name: keyof SweepDraft & ('name' | 'taken_at' | 'frequency_hz' | 'current_a' | 'step'), label: string, hint = '') => (
    <label>{label}
      <input type="text" placeholder={hint} autocomplete="off" value={draft[name]} onInput={(event) => set({ [name]: event.currentTarget.value })} />
    </label>
  )
  return (
    <form class="bench-form sweep-form" aria-label="A new sweep" onSubmit={(event) => {
      event.preventDefault()
      props.save()
    }}>
      <p class="safety">Only disconnected, locked out and verified dead. Turn the shaft by hand; hold it while the meter settles.</p>
      {field('name', 'Name of the sweep', draft.taken_at)}
      {field('taken_at', 'Taken', '2026-03-04')}
      <label>Unit
        <select value={draft.unit} onChange={(event) => set({ unit: event.currentTarget.value })}>
          {props.units.map((unit) => <option key={unit} value={unit}>{bareUnit(unit)}</option>)}
        </select>
      </label>
      {field('frequency_hz', 'Frequency, Hz', '60')}
      {field('current_a', 'Current, A')}
      {field('step', 'Step of the angle, °')}
      <div class="curve wide">
        <SweepCurve rows={draft.rows} names={names} peaks_deg={props.shown?.peaks_deg ?? null} />
        <output class="says" aria-live="off">
          {props.shown ? <RotorSays shown={props.shown} />
            : <p class="aside">{known ? props.complaints.whole[0] ?? 'The pattern appears here.' : 'The pattern appears here, with what it can and cannot mean.'}</p>}
        </output>
      </div>
      <label class="wide paste">Paste from a spreadsheet: three values a line, or the angle and three values
        <textarea rows={2} value="" placeholder={'0\t46,31\t46,17\t46,18'} onInput={(event) => {
          const { value } = event.currentTarget
          event.currentTarget.value = ''
          if (value.trim()) paste(value, draft.rows.every(isBlank) ? 0 : draft.rows.findIndex(isBlank))
        }} />
      </label>
      {said && <p class="aside wide" role="status">{said}</p>}
      <div class="wide">
        <table class="sweep-rows">
          <caption>{counted(known, 'angle')}; best 36 over the whole turn, and a few more past 360° to see drift</caption>
          <thead><tr><th scope="col">Angle, °</th>{names.map((name) => <th key={name} scope="col">{name}</th>)}<th scope="col"><span class="unseen">Take out</span></th></tr></thead>
          <tbody>
            {draft.rows.map((row, place) => {
              const wrong = props.complaints.rows.get(place) ?? []
              const bad = (column: string) => wrong.some((its) => its.column === column)
              const cell = (name: string, column: string, value: string, take: (text: string) => void) => (
                <td><Cell name={name} place={place} value={value} problem={bad(column)} take={take} paste={pasteInto(place)} focus={props.setAt} /></td>
              )
              return (
                <Fragment key={place}>
                  <tr class={wrong.length ? 'bad' : undefined}>
                    {cell('Angle', 'angle_deg', row.angle, (angle) => setRow(place, { ...row, angle }))}
                    {([0, 1, 2] as const).map((i) => cell(names[i]!, `value_${i + 1}`, row.values[i], (text) => {
                      const values: SweepRow['values'] = [...row.values]
                      values[i] = text
                      setRow(place, { ...row, values })
                    }))}
                    <td>{!isBlank(row) && <button type="button" class="quiet" aria-label={`Take out row ${place + 1}`}
                      onClick={() => setRows(draft.rows.filter((_, i) => i !== place), new Map())}>✕</button>}</td>
                  </tr>
                  {wrong.length > 0 && <tr class="wrong"><td colSpan={5} id={`sweep-row-${place}`}>
                    {wrong.map(({ column, message }) => <p key={message} class="problem">{column && <strong>{fieldName(column, names)}: </strong>}{message}</p>)}
                  </td></tr>}
                </Fragment>
              )
            })}
          </tbody>
        </table>
      </div>
      {props.complaints.whole.length > 0 && known > 0 && props.shown === null &&
        <ul class="notice wide">{props.complaints.whole.map((message) => <li key={message}>{message}</li>)}</ul>}
      {props.problem && <p class="notice wide" role="alert">{props.problem}</p>}
      <div class="actions wide">
        <button type="submit" class="main" disabled={props.busy || known === 0}>Save the sweep</button>
        <button type="button" onClick={() => setDraft(null)}>Leave it</button>
      </div>
    </form>
  )
}
