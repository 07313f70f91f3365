// Typed cells in the writing of the table that they go into.
import type { BenchTable, Cells } from './bench_wire'

/** A number with the table's decimal mark; what is no number stays as it is. */
export function asTable(text: string, table: BenchTable): string | null {
  const bare = text.trim()
  if (!bare) return null
  return table.decimal_mark === ',' ? bare.replace('.', ',') : bare.replace(',', '.')
}

export const filled = (cells: Cells): Cells => Object.fromEntries(Object.entries(cells).filter(([, text]) => text !== null && text !== ''))

const kFields: Record<string, string> = {
  angle_deg: 'Angle', sweep: 'Name of the sweep', taken_at: 'Taken', unit: 'Unit', frequency_hz: 'Frequency', current_a: 'Current',
  position_deg: 'Place', rotor_deg: 'Shaft', gap: 'Gap', resolution: "Gauge's step", temperature_c: 'Winding temperature', test_v: 'Test voltage',
  value_u: 'Uncertainty', place: 'Where'
}

/** What a person calls a column. */
export const fieldName = (column: string | null, values: string[]) => {
  const value = column?.match(/^value_([123])$/)
  return value ? values[Number(value[1]) - 1] ?? column! : kFields[column ?? ''] ?? column ?? ''
}

export const today = () => new Date().toLocaleDateString('sv') // sv: 2026-03-04
