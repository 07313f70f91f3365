// Air gaps by feeler gauge: eight places an end, for each position of the rotor.
import { Ladder } from '../ladder'
import { typed } from '../numbers'
import type { BenchProblem, BenchTable, Cells, ShownAirGap } from './bench_wire'
import { RotorSays } from './rotor_pictures'
import { asTable, fieldName, filled, today } from './rows_for_table'
import { bareUnit } from './units'

const kPlaces_deg = [0, 45, 90, 135, 180, 225, 270, 315]
const kRotorStep_deg = 90

export interface GapDraft {
  end: 'drive' | 'opposite'
  rotor_deg: string
  taken_at: string
  unit: string
  resolution: string
  gaps: string[]
}

const noGaps = () => kPlaces_deg.map(() => '')
export const newGaps = (unit: string): GapDraft => ({ end: 'drive', rotor_deg: '0', taken_at: today(), unit, resolution: '', gaps: noGaps() })
/** The next position of the rotor at the same end. */
export const turnedOn = (draft: GapDraft): GapDraft =>
  ({ ...draft, rotor_deg: String(((typed(draft.rotor_deg) ?? 0) + kRotorStep_deg) % 360), gaps: noGaps() })

export function gapRows(draft: GapDraft, table: BenchTable): { rows: Cells[]; places: number[] } {
  const places = kPlaces_deg.map((_, i) => i).filter((i) => draft.gaps[i]!.trim())
  const rows = places.map((i) => filled({
    taken_at: draft.taken_at.trim(), end: draft.end, rotor_deg: asTable(draft.rotor_deg, table), position_deg: String(kPlaces_deg[i]),
    gap: asTable(draft.gaps[i]!, table), unit: draft.unit, resolution: asTable(draft.resolution, table)
  }))
  return { rows, places }
}

export function GapEntry(props: {
  draft: GapDraft
  setDraft: (draft: GapDraft | null) => void
  units: string[]
  problems: (BenchProblem & { place: number | null })[]
  shown: ShownAirGap | null
  problem: string | null
  busy: boolean
  save: () => void
}) {
  const { draft, setDraft } = props
  const set = (part: Partial<GapDraft>) => setDraft({ ...draft, ...part })
  const known = draft.gaps.filter((gap) => gap.trim()).length
  const field = (name: 'rotor_deg' | 'taken_at' | 'resolution', label: string) => (
    <label>{label}<input type="text" autocomplete="off" value={draft[name]} onInput={(event) => set({ [name]: event.currentTarget.value })} /></label>
  )
  return (
    <form class="bench-form gap-form" aria-label="New air gaps" onSubmit={(event) => {
      event.preventDefault()
      props.save()
    }}>
      <p class="safety">Only disconnected, locked out and verified dead.</p>
      <label>End
        <select value={draft.end} onChange={(event) => set({ end: event.currentTarget.value as GapDraft['end'] })}>
          <option value="drive">drive end</option><option value="opposite">opposite end</option>
        </select>
      </label>
      {field('rotor_deg', 'Shaft turned to, °')}
      {field('taken_at', 'Taken')}
      <label>Unit
        <select value={draft.unit} onChange={(event) => set({ unit: event.currentTarget.value })}>
          {props.units.map((unit) => <option key={unit} value={unit}>{bareUnit(unit)}</option>)}
        </select>
      </label>
      {field('resolution', "Gauge's step, same unit")}
      <fieldset class="eight wide">
        <legend>Gap at each place, clockwise from the top as seen from the drive end</legend>
        {kPlaces_deg.map((place, i) => (
          <label key={place}>{place}°{place === 0 ? ', top' : ''}
            <input type="text" inputMode="decimal" autocomplete="off" value={draft.gaps[i]} aria-invalid={props.problems.some((its) => its.place === i)}
              onInput={(event) => set({ gaps: draft.gaps.map((old, at) => (at === i ? event.currentTarget.value : old)) })} />
          </label>
        ))}
      </fieldset>
      <div class="curve wide">
        {props.shown && known > 0 && <Ladder svg={props.shown.svg} />}
        <output class="says" aria-live="off">
          {props.problems.map(({ place, column, message }) =>
            <p key={`${place} ${message}`} class="problem"><strong>{place === null ? '' : `${kPlaces_deg[place]}°, `}{fieldName(column, [])}: </strong>{message}</p>)}
          {props.shown && known > 0 ? <RotorSays shown={props.shown} />
            : <p class="aside">The largest deviation, its limit and where the rotor stands appear here.</p>}
        </output>
      </div>
      {props.problem && <p class="notice wide" role="alert">{props.problem}</p>}
      <div class="actions wide">
        <button type="submit" class="main" disabled={props.busy || known === 0}>Save these gaps</button>
        <button type="button" onClick={() => setDraft(null)}>Done</button>
      </div>
    </form>
  )
}
