// What the server measured and judged, named as in findings.json. Absent = null.
import type { Phase, Point } from './values'

export interface Evidence {
  text: string
  source: string | null
}

export interface LugResult {
  name: string
  phase: Phase
  phase_name: string
  temperature_c: number | null
  u_c: number | null
  max_c: number | null
  mean_c: number | null
  pixels: number
  hottest: Point | null
  rise_over_like_c: number | null
  rise_over_like_u_c: number | null
  rise_over_air_c: number | null
  rise_over_air_u_c: number | null
  projected_rise_c: number | null
  band: string
  band_by: string
  emissivity: number
  flags: string[]
  image?: string
  image_number?: number // among its component's
}

export interface ImageResult {
  file: string
  page: number | null
  motor: string
  component: string
  taken_at: string | null
  status: 'measured' | 'unmarked' | 'rejected'
  problems: string[]
  lugs: LugResult[]
}

export interface Fact {
  text: string
  with_it: number
  overall: number
}

export interface Explanation {
  id: string
  title: string
  probability: number
  in_favour: Fact[]
  against: Fact[]
}

export interface ComponentResult {
  component: string
  visit: string | null
  verdict: string
  meaning: string
  why_not_judged: string | null
  verdict_probability: Record<string, number> | null
  evidence: Evidence[]
  next_step: string | null
  ladder_svg: string
  explanations: Explanation[]
  images: string[]
  lugs: LugResult[]
}

export interface ElectricalResult {
  test: string
  place: string | null
  taken_at: string | null
  values: number[]
  unit: string
  unbalance_pct: number | null
  unbalance_u_pct: number | null
  phase: Phase | null
  phase_name: string | null
  phase_probability: number | null
  excess_ohm: number | null
  excess_u_ohm: number | null
  excess_w: number | null
  excess_at_a: number | null
  note: string | null
  band: string | null
  negative_sequence_pct: number | null
  derating: number | null
  farthest: number | null
  problem: string | null
}

export interface Segment {
  from: string | null
  to: string | null
  phase: Phase
  phase_name: string | null
  excess_ohm: number
  excess_u_ohm: number
  probability: number
  expected_cable_ohm: number | null
  imaged: string[]
  not_imaged: string[]
}
