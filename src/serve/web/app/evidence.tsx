// Why a verdict is what it is.
import { decidedBy, verdictTitle } from './meaning'
import { decimals, degrees, likelihood, share } from './numbers'
import type { ComponentResult, Evidence as Line, Explanation, LugResult } from './wire'

export function EvidenceList({ evidence }: { evidence: Line[] }) {
  return (
    <ol class="evidence">
      {evidence.map(({ text, source }) => <li key={text}>{text}{source && <> <cite>{source}</cite></>}</li>)}
    </ol>
  )
}

// How much an observation shifts the odds; from a model of motors, not from counted cases.
function weightOf(with_it: number, overall: number) {
  const weight = with_it >= overall ? with_it / overall : overall / with_it
  return decimals(weight, weight < 9.95 ? 1 : 0)
}

function Facts({ facts, side }: { facts: Explanation['in_favour']; side: string }) {
  return (
    <>
      {facts.map(({ text, with_it, overall }) => (
        <li key={text}>{side}: {text} <span class="aside">(weight {weightOf(with_it, overall)}, modelled)</span></li>
      ))}
    </>
  )
}

const kHardly = 0.01

export function Explanations({ explanations }: { explanations: Explanation[] }) {
  if (!explanations.length) return null
  const known = explanations.filter(({ probability }) => probability >= kHardly)
  const others = explanations.filter(({ probability }) => probability < kHardly)
  return (
    <>
      <p class="aside">How certain each cause is, from heat and readings together. How urgent it is, say the band and the
        place in the ranked list.</p>
      <ul class="explanations">
        {known.map((one) => (
          <li key={one.id}>
            <strong>{likelihood(one.probability)}: {one.title}</strong> <span class="aside">({share(one.probability)})</span>
            <ul><Facts facts={one.in_favour} side="for it" /><Facts facts={one.against} side="against it" /></ul>
          </li>
        ))}
        {others.length > 0 && <li class="aside">Under 1 % each: {others.map(({ title }) => title).join('; ')}.</li>}
      </ul>
    </>
  )
}

/** How firmly the measurements hold the verdict; what causes the fault is another question. */
function surenessOf(probability: number) {
  if (probability >= 0.99) return 'The uncertainties of the measurements do not change this verdict.'
  if (probability >= 0.9) return 'The uncertainties of the measurements hardly ever change this verdict.'
  if (probability >= 0.6) return `The uncertainties of the measurements leave this verdict in ${Math.round(10 * probability)} of 10 cases.`
  return 'Within their uncertainties the measurements allow other verdicts: measure again before relying on this one.'
}

const nameOf = (lug: LugResult) => `${lug.name} (${degrees(lug.temperature_c)})`

/** Bands that the rise over like lugs did not decide: the ladder's broken lines, not its zones. */
export function BandReason({ lugs }: { lugs: LugResult[] }) {
  // Without a like lug the zones themselves stand on the air.
  const on_air = lugs.every(({ rise_over_like_c }) => rise_over_like_c === null)
  const reasons = (on_air ? ['limit'] : ['limit', 'air'])
    .map((by) => ({ by, those: lugs.filter(({ band_by }) => band_by === by) })).filter(({ those }) => those.length)
  if (!reasons.length) return null
  return (
    <ul class="decided">
      {reasons.map(({ by, those }) => <li key={by}>{those.map(nameOf).join(', ')}: band by {decidedBy(by)}, the broken line on the ladder.</li>)}
    </ul>
  )
}

/** One sentence, then the step to take. */
export function Verdict({ result }: { result: Pick<ComponentResult, 'verdict' | 'meaning' | 'next_step'> & Partial<ComponentResult> }) {
  const sure = result.verdict_probability?.[result.verdict]
  return (
    <div class="verdict">
      <p><strong>{verdictTitle(result.verdict)}.</strong> {result.meaning}
        {sure != null && <span class="aside"> {surenessOf(sure)}</span>}</p>
      {result.why_not_judged && <p>{result.why_not_judged}</p>}
      {result.next_step && <p class="do"><strong>Next step</strong> <span>{result.next_step}</span></p>}
    </div>
  )
}
