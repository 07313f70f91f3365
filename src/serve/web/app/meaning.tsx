// Bands, phases and verdicts as the report shows them: a word and a shape, never a colour alone.
import { useSurvey } from './survey_context'
import type { Phase, PolicyBand } from './wire'

const kLevels = 4

/** How heavily a band is drawn, 1 to 4; 0 for none. Only a matter of looks. */
export function levelOf(bands: PolicyBand[], band: string | null): number {
  const index = bands.findIndex(({ id }) => id === band)
  if (index < 0) return 0
  if (bands.length < 2) return kLevels
  const steps = bands.length - 1
  return 1 + Math.floor((index * (kLevels - 1) + Math.floor(steps / 2)) / steps)
}

export const bandName = (bands: PolicyBand[], band: string | null) =>
  bands.find(({ id }) => id === band)?.name ?? (band === null ? 'not measured' : 'none')

export function BandTag({ band }: { band: string | null }) {
  const { bands } = useSurvey().survey.policy
  return <span class={`band level-${levelOf(bands, band)}`}>{bandName(bands, band)}</span>
}

/** Circle, square, diamond: the same shapes as on the ladder. */
export function PhaseSign({ phase }: { phase: Phase | null }) {
  const shape = phase === 1 ? <circle cx="8" cy="8" r="5" />
    : phase === 2 ? <rect x="3.5" y="3.5" width="9" height="9" />
      : phase === 3 ? <path d="M8 2l6 6-6 6-6-6z" /> : null
  return shape && <svg class={`sign phase-${phase}`} viewBox="0 0 16 16" aria-hidden="true">{shape}</svg>
}

export const verdictTitle = (verdict: string | null) => (verdict ?? 'no verdict').replace(/_/g, ' ')

const kDecidedBy: Record<string, string> = {
  like: 'the rise over like lugs', air: 'the rise over air', limit: "the conductor's temperature limit",
  reading: 'the resistance reading'
}
export const decidedBy = (by: string) => kDecidedBy[by] ?? 'nothing'

export const testTitle = (test: string) => test.replace(/_/g, ' ')

const kUnitSigns: Record<string, string> = {
  ohm: 'Ω (ohm)', mohm: 'mΩ (milliohm)', uohm: 'µΩ (microhm)', a: 'A', ka: 'kA', v: 'V', kv: 'kV', mv: 'mV'
}
export const unitTitle = (unit: string) => kUnitSigns[unit] ?? unit

/** Whether a test's three values are those of the pairs of phases. */
export const isOfPairs = (test: string) => test === 'winding_resistance' || test === 'line_voltage'

/** The three values of a test: pairs of phases, or the phases themselves. */
export function valueNames(test: string, phases: [string, string, string]): [string, string, string] {
  if (!isOfPairs(test)) return phases
  const [a, b, c] = phases
  return [`${a}–${b}`, `${b}–${c}`, `${c}–${a}`]
}
