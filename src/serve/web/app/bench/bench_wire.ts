// A motor on the bench as the server tells it: sweeps, air gaps, acceptance (docs/api/openapi.json). Absent = null.
export type Stage = 'bought' | 'repaired' | 'installed'

export interface Shown {
  title: string
  result: string
  level: number
  numbers: string[]
  cannot_tell: string[]
  next_test: string | null
  svg: string
}

export interface ShownSweep extends Shown {
  sweep: string
  pattern: string
  peaks_deg: number[][]
}

export interface ShownAirGap extends Shown {
  end: 'drive' | 'opposite' | null
  conformity: string
}

export interface AcceptanceCheck {
  id: string
  check: string
  name: string
  is_place: boolean
  has_places: boolean
  conformity: 'pass' | 'fail' | 'not_done' | 'too_close' | 'recorded'
  result: string
  level: number
  measured: string | null
  limit: string | null
  taken_on: string | null
  why: string | null
  source: string | null
}

export interface AcceptanceList {
  stage: Stage
  title: string
  conclusion: 'accept' | 'conditions' | 'reject'
  says: string
  level: number
  counted: string
  failed: string[]
  open: string[]
  checks: AcceptanceCheck[]
  rules: string[]
  limits: string
}

/** What the rows say, saved or not. */
export interface BenchResult {
  sweeps: ShownSweep[]
  air_gaps: ShownAirGap[]
  /** What may lie behind them, without a picture. */
  behind: Shown | null
  acceptance: AcceptanceList | null
  no_acceptance: string | null
}

export interface BenchTable {
  etag: string
  decimal_mark: string
}

export interface BenchView extends BenchResult {
  motor: string
  description: string | null
  stages: Stage[]
  units: Record<string, string[]>
  tables: Record<'sweeps' | 'air_gaps' | 'readings', BenchTable>
  problems: { file: string; row: number | null; column: string | null; message: string }[]
}

export type Cells = Record<string, string | null>

export interface BenchRows {
  sweeps?: Cells[]
  air_gaps?: Cells[]
  readings?: Cells[]
}

export interface BenchProblem {
  table: string
  row: number | null
  column: string | null
  message: string
}

export interface BenchTried extends BenchResult {
  problems: BenchProblem[]
}
