// A sweep that is being typed.
import { typed } from '../numbers'
import type { BenchProblem, BenchTable, Cells } from './bench_wire'
import { emptyRow, isBlank, isWhole, type SweepRow } from './pasted'
import { asTable, filled, today } from './rows_for_table'

export interface SweepDraft {
  name: string
  taken_at: string
  unit: string
  frequency_hz: string
  current_a: string
  step: string
  rows: SweepRow[]
  odd: Map<number, string> // what is wrong with a pasted line, by its row
}

export const newSweep = (unit: string): SweepDraft =>
  ({ name: '', taken_at: today(), unit, frequency_hz: '', current_a: '', step: '10', rows: [emptyRow('0')], odd: new Map() })

/** The angle that a row has where nobody says otherwise: a step further than the one above. */
export function nextAngle(rows: SweepRow[], step: string): string {
  const last = rows.length ? typed(rows[rows.length - 1]!.angle) : null
  const by = typed(step)
  if (!rows.length) return '0'
  return last === null || by === null ? '' : String(Math.round((last + by) * 1000) / 1000)
}

/** The rows that are sent, and of each its place in the draft. `at` is where somebody is typing just now. */
export function sentRows(draft: SweepDraft, at: number | null, table: BenchTable): { rows: Cells[]; places: number[] } {
  const places = draft.rows.map((_, place) => place).filter((place) => {
    const row = draft.rows[place]!
    return !isBlank(row) && (place !== at || isWhole(row))
  })
  const rows = places.map((place) => {
    const { angle, values } = draft.rows[place]!
    return filled({
      sweep: draft.name.trim() || draft.taken_at.trim(), taken_at: draft.taken_at.trim(), angle_deg: asTable(angle, table),
      value_1: asTable(values[0], table), value_2: asTable(values[1], table), value_3: asTable(values[2], table),
      unit: draft.unit, frequency_hz: asTable(draft.frequency_hz, table), current_a: asTable(draft.current_a, table)
    })
  })
  return { rows, places }
}

export interface Complaint {
  column: string | null
  message: string
}

/** What is wrong row by row, and what is wrong with the sweep as a whole. */
export function complaintsOf(draft: SweepDraft, problems: BenchProblem[], places: number[]) {
  const rows = new Map<number, Complaint[]>()
  const whole: string[] = []
  const add = (place: number, its: Complaint) => rows.set(place, [...(rows.get(place) ?? []), its])
  for (const { table, row, column, message } of problems) {
    if (table !== 'sweeps.csv') continue
    const place = row === null ? undefined : places[row]
    // A complaint about the turn itself stands at the first angle, which is a number then.
    const isOfTurn = row === 0 && column === 'angle_deg' && typed(draft.rows[place ?? 0]?.angle ?? '') !== null
    if (place === undefined || isOfTurn) whole.push(message)
    else add(place, { column, message })
  }
  for (const [place, message] of draft.odd) {
    const row = draft.rows[place]
    if (row && !isBlank(row) && !isWhole(row) && !rows.has(place)) add(place, { column: null, message })
  }
  return { rows, whole }
}
