import { ohms, share } from '../numbers'
import type { Segment } from '../wire'

/** The probability is a lower bound. */
function atLeast(probability: number) {
  if (probability < 0.01) return 'cannot be told'
  return probability > 0.99 ? share(probability) : `at least ${share(probability)}`
}

export function Segments({ segments }: { segments: Segment[] }) {
  if (!segments.length) return null
  return (
    <section aria-labelledby="segments-title">
      <h2 id="segments-title">Stretches of the circuit</h2>
      <table class="stacks" role="table">
        <caption>Readings at several places of one circuit, solved together: where the excess lies</caption>
        <thead role="rowgroup"><tr role="row">{['Stretch', 'Highest phase', 'Excess over the two others', 'Largest of the circuit', 'Not yet looked at'].map((title) =>
          <th key={title} scope="col" role="columnheader">{title}</th>)}</tr></thead>
        <tbody role="rowgroup">
          {segments.map((segment) => (
            <tr key={`${segment.from} ${segment.to}`} role="row">
              <th scope="row" role="rowheader">{segment.from ?? 'supply'} → {segment.to ?? 'motor and winding'}</th>
              <td role="cell" data-label="Highest phase">{segment.phase_name ?? segment.phase}</td>
              <td role="cell" data-label="Excess" class="number">{ohms(segment.excess_ohm)} <span class="aside">± {ohms(segment.excess_u_ohm)}</span></td>
              <td role="cell" data-label="Largest" class="number">{atLeast(segment.probability)}</td>
              <td role="cell" data-label="Not looked at">{segment.not_imaged.join(', ') || 'all imaged'}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  )
}
