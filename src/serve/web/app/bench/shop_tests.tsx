// Tests of the shop, a small form each; what they say stands beside the fields.
import { useState } from 'preact/hooks'
import type { AcceptanceCheck, BenchTable, BenchProblem, Cells } from './bench_wire'
import { CheckResult } from './acceptance'
import { asTable, fieldName, filled } from './rows_for_table'
import { bareUnit } from './units'

export interface ShopDraft {
  values: [string, string, string]
  unit: string
  place: string
  temperature_c: string
  test_v: string
  value_u: string
}
export type ShopDrafts = Partial<Record<string, ShopDraft>>

interface Form {
  test: string
  title: string
  values: string[]
  more: ('place' | 'temperature_c' | 'test_v' | 'value_u')[]
  checks: string[]
  caution?: string
}

export const shopForms = (pairs: string[]): Form[] => [
  { test: 'insulation_resistance', title: 'Insulation resistance', values: ['After one minute', 'After ten minutes'],
    more: ['temperature_c', 'test_v', 'value_u'], checks: ['insulation_resistance', 'polarization_index'],
    caution: 'Discharge the winding to ground for four times as long as the test took.' },
  { test: 'vibration', title: 'Vibration', values: ['Horizontal', 'Vertical', 'Axial'], more: ['place', 'value_u'], checks: ['vibration'] },
  { test: 'runout', title: 'Shaft runout', values: ['Full indicator reading'], more: ['place', 'value_u'], checks: ['runout'] },
  { test: 'impedance', title: 'Impedance', values: pairs, more: ['value_u'], checks: ['impedance'] }
]

const kMore = { place: 'Where', temperature_c: 'Winding temperature, °C', test_v: 'Test voltage, V', value_u: 'Standard uncertainty' }
const kPlaces = ['drive end', 'opposite end']

export const blankTest = (unit: string): ShopDraft =>
  ({ values: ['', '', ''], unit, place: '', temperature_c: '', test_v: '', value_u: '' })
export const isBegun = (draft: ShopDraft | undefined) => !!draft && draft.values.some((value) => value.trim())

/** A test as a row of readings.csv. */
export function shopCells(test: string, draft: ShopDraft, taken_at: string, table: BenchTable): Cells {
  const [one, two, three] = draft.values
  return filled({
    test, taken_at, place: draft.place.trim(), value_1: asTable(one, table), value_2: asTable(two, table), value_3: asTable(three, table),
    unit: draft.unit, value_u: asTable(draft.value_u, table), temperature_c: asTable(draft.temperature_c, table), test_v: asTable(draft.test_v, table)
  })
}

function ShopForm(props: {
  form: Form
  draft: ShopDraft
  units: string[]
  set: (draft: ShopDraft) => void
  checks: AcceptanceCheck[]
  problems: BenchProblem[]
  busy: boolean
  save: () => void
}) {
  const { form, draft, set } = props
  const begun = isBegun(draft)
  const own = props.checks.filter(({ check, is_place }) => form.checks.includes(check) && !is_place)
  return (
    <form class="bench-form shop-form" aria-label={form.title} onSubmit={(event) => {
      event.preventDefault()
      props.save()
    }}>
      <h3>{form.title}</h3>
      {form.caution && <p class="safety">{form.caution}</p>}
      {form.values.map((name, i) => (
        <label key={name}>{name}
          <input type="text" inputMode="decimal" autocomplete="off" value={draft.values[i]}
            aria-invalid={begun && props.problems.some(({ column }) => column === `value_${i + 1}`)}
            onInput={(event) => {
              const values: ShopDraft['values'] = [...draft.values]
              values[i] = event.currentTarget.value
              set({ ...draft, values })
            }} />
        </label>
      ))}
      <label>Unit
        <select value={draft.unit} onChange={(event) => set({ ...draft, unit: event.currentTarget.value })}>
          {props.units.map((unit) => <option key={unit} value={unit}>{bareUnit(unit)}</option>)}
        </select>
      </label>
      {form.more.map((name) => (
        <label key={name}>{kMore[name]}
          <input type="text" inputMode={name === 'place' ? 'text' : 'decimal'} list={name === 'place' ? 'shop-places' : undefined} autocomplete="off"
            value={draft[name]} onInput={(event) => set({ ...draft, [name]: event.currentTarget.value })} />
        </label>
      ))}
      <output class="says wide" aria-live="off">
        {own.map((check) => (
          <p key={check.id}><CheckResult check={check} /> {check.name}
            {check.measured && <span class="number">: {check.measured}{check.limit && `, ${check.limit}`}</span>}
            {check.why && <span class="aside line">{check.why}</span>}</p>
        ))}
        {own.length === 0 && <p class="aside">Not asked for at this stage.</p>}
        {begun && props.problems.map(({ column, message }) =>
          <p key={message} class="problem">{column && <strong>{fieldName(column, form.values)}: </strong>}{message}</p>)}
      </output>
      {begun && <div class="actions wide"><button type="submit" class="main" disabled={props.busy}>Save {form.title.toLowerCase()}</button></div>}
    </form>
  )
}

export function ShopTests(props: {
  pairs: string[]
  drafts: ShopDrafts
  setDrafts: (drafts: ShopDrafts) => void
  units: Record<string, string[]>
  checks: AcceptanceCheck[]
  problems: Map<string, BenchProblem[]>
  problem: string | null
  busy: boolean
  save: (test: string) => void
}) {
  const [open, setOpen] = useState(false)
  return (
    <details class="shop" open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Enter tests of the shop</summary>
      <datalist id="shop-places">{kPlaces.map((place) => <option key={place} value={place} />)}</datalist>
      {props.problem && <p class="notice" role="alert">{props.problem}</p>}
      {shopForms(props.pairs).map((form) => (
        <ShopForm key={form.test} form={form} units={props.units[form.test] ?? []} checks={props.checks} busy={props.busy}
          draft={props.drafts[form.test] ?? blankTest(props.units[form.test]?.[0] ?? '')}
          set={(draft) => props.setDrafts({ ...props.drafts, [form.test]: draft })}
          problems={props.problems.get(form.test) ?? []} save={() => props.save(form.test)} />
      ))}
    </details>
  )
}
