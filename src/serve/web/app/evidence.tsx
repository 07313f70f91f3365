// Why a verdict is what it is.
import { verdictTitle } from './meaning'
import { decimals, percent } from './numbers'
import type { ComponentResult, Evidence as Line, Explanation } from './wire'

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

export function Explanations({ explanations }: { explanations: Explanation[] }) {
  if (!explanations.length) return null
  return (
    <ul class="explanations">
      {explanations.map((one) => (
        <li key={one.id}>
          <strong>{one.title}: {percent(100 * one.probability, 0)}</strong>
          <ul><Facts facts={one.in_favour} side="for it" /><Facts facts={one.against} side="against it" /></ul>
        </li>
      ))}
    </ul>
  )
}

/** One sentence, then the step to take. */
export function Verdict({ result }: { result: Pick<ComponentResult, 'verdict' | 'meaning' | 'next_step'> & Partial<ComponentResult> }) {
  const sure = result.verdict_probability?.[result.verdict]
  return (
    <div class="verdict">
      <p><strong>{verdictTitle(result.verdict)}.</strong> {result.meaning}
        {sure != null && <span class="aside"> Probability of this verdict, given the uncertainties: {percent(100 * sure, 0)}.</span>}</p>
      {result.why_not_judged && <p>{result.why_not_judged}</p>}
      {result.next_step && <p class="do"><strong>Next step</strong> <span>{result.next_step}</span></p>}
    </div>
  )
}
