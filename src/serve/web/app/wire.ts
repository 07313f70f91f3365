// What goes over the wire: the shapes of the server's answers (docs/api/openapi.json). Absent = null.
import type { ComponentResult, ElectricalResult, ImageResult, Segment } from './results'
import type { Phase, Point } from './values'

export * from './results'
export * from './values'

export type Role = 'lug' | 'ambient' | 'reflector'

export type Shape =
  | { kind: 'circle'; center: Point; radius: number }
  | { kind: 'rectangle'; corner: Point; size: Point }
  | { kind: 'polygon'; points: Point[] }

export interface Mark {
  name: string
  role: Role
  phase?: Phase | string
  shape: Shape
  emissivity?: number
  emissivity_u?: number
  material?: string
  origin?: 'hand' | 'carried' | 'proposed'
  from?: string
  confidence?: number
  confirmed?: boolean
}

export interface MarkFile {
  version: 1
  image: string
  size: Point
  marks: Mark[]
}

export type Limit = { from: number } | { above: number } | null

export interface PolicyBand {
  id: string
  name: string
  action: string
  over_like_c: Limit
  over_air_c: Limit
}

export interface Meaning {
  id: string
  meaning: string
}

export interface Progress {
  done: number
  total: number
}

/** What a page asks for again and again. */
export interface News {
  run: string
  changes: number
  revision: number
  /** What lies behind the server's address. */
  holds: 'survey' | 'surveys' | 'nothing'
  progress: Progress
}

export interface Survey {
  tool: { name: string; version: string }
  csrf: string
  name: string
  site: string | null
  surveyed_on: string | null
  thermographer: string | null
  policy: { id: string; source: string; rule: string; bands: PolicyBand[] }
  phase_names: [string, string, string]
  materials: { name: string; title?: string; emissivity: number }[]
  tests: string[]
  units: Record<string, string[]>
  components: string[]
  cautions: string[]
  verdicts: Meaning[]
  flags: Meaning[]
  formats: string[]
  progress: Progress
  revision: number
  counts: { bands: Record<string, number>; images: Record<'measured' | 'unmarked' | 'unconfirmed' | 'rejected', number> }
  earlier: string[]
}

export interface Table {
  revision: number
  columns: string[]
  rows: unknown[][]
}

export interface FindingRow {
  rank: number
  motor: string
  description: string | null
  component: string | null
  image: string | null
  phase: Phase | null
  phase_name: string | null
  lug: string | null
  band: string
  band_by: string
  verdict: string
  unconfirmed: number
  temperature_c: number | null
  rise_over_like_c: number | null
  rise_over_like_u_c: number | null
  rise_over_air_c: number | null
  projected_rise_c: number | null
  case: number
  leads_case: number
  decision: Decision
  do: string
  cause: string | null
  cause_probability: number | null
  likelier: string | null
}

export type Decision = 'stop_now' | 'next_stop' | 'image_again'

/** A component beside the ranked list. */
export interface AsideRow {
  list: 'not_judged' | 'warm_even'
  motor: string
  component: string
  phase_name: string | null
  lug: string | null
  temperature_c: number | null
  rise_over_like_c: number | null
  rise_over_like_u_c: number | null
  rise_over_air_c: number | null
  band: string
  verdict: string
  load_a: number | null
  load_pct: number | null
  image_again_from_a: number | null
  why: string
  next_step: string | null
}

export interface MotorRow {
  motor: string
  description: string | null
  verdict: string | null
  band: string | null
  components: number
  images: number
  unmarked: number
  readings: number
  bench_rows: number
}

export interface ImageRow {
  file: string
  motor: string
  component: string
  taken_at: string | null
  status: 'measured' | 'unmarked' | 'rejected'
  band: string | null
  marks: number
  unconfirmed: number
  confidence: number | null
  problem: string | null
}

/** A row of readings.csv, texts as written. */
export interface Reading {
  test: string
  taken_at: string | null
  place: string | null
  value_1: string
  value_2: string
  value_3: string
  /** The first pair once more, after the others: a winding that cools meanwhile shows by it. */
  value_1_again: string | null
  unit: string
  temperature_c: string | null
  resolution: string | null
  lead_ohm: string | null
  lead_u_ohm: string | null
  note: string | null
}
export interface ReadingRow extends Reading {
  row: number
}

export interface HistoryPoint {
  survey: string
  surveyed_on: string | null
  component: string
  phase: Phase
  lug: string
  rise_over_like_c: number | null
  rise_over_like_u_c: number | null
  load_a: number | null
  band: string
}

export interface MotorView {
  motor: Record<string, string | number | null> & { motor: string }
  verdict: string | null
  meaning: string | null
  next_step: string | null
  band: string | null
  components: ComponentResult[]
  electrical: ElectricalResult[]
  segments: Segment[]
  places_not_imaged: string[]
  findings: FindingRow[]
  images: ImageResult[]
  readings: ReadingRow[]
  readings_etag: string
  ladder_svg: string | null
  history?: HistoryPoint[]
}

export interface Parameter {
  name: string
  label: string
  unit: string | null
  row: string | null
  default: string | null
  used: number | null
  from: string | null
  meaning: string
}

export interface ImageView {
  file: string
  page: number | null
  motor: string
  component: string
  taken_at: string | null
  photo: boolean
  width: number | null
  height: number | null
  declaration: string | null
  marks: MarkFile | null
  marks_etag: string
  parameters: Parameter[]
  parameters_etag: string
  parameters_row: number | null
  result: ImageResult
  component_result: ComponentResult | null
  band_scale: PolicyBand[]
  like_images: string[]
  earlier_images: { survey: string; file: string; page: number | null }[]
}

export interface TryRequest {
  file?: string
  motor?: string
  marks?: Mark[]
  parameters?: Record<string, string | null>
  readings?: Reading[]
}

export interface TryAnswer {
  result: ImageResult | null
  component_result: ComponentResult | null
  motor?: MotorView | null
  before: { result: ImageResult | null; component_result: ComponentResult | null } | null
}

export interface ErrorBody {
  message: string
  file: string | null
  row: number | null
  column: string | null
  found: string | null
  expected: string | null
  mend: string | null
}
