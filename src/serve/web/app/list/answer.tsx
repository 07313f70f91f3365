// What to do, before the list: every motor to stop now, and how many cases wait for what.
import { counted } from '../numbers'
import { motorPath } from '../route'
import { useNarrow } from './list'
import type { Decision, FindingRow } from '../wire'

export const kDecisions: { id: Decision; title: string }[] = [
  { id: 'stop_now', title: 'Stop now' },
  { id: 'next_stop', title: 'At the next planned stop' },
  { id: 'image_again', title: 'Measure or image again' }
]
const kMostLines = 5
const kMostNarrow = 2

function place({ component, phase_name, lug, verdict }: FindingRow) {
  return [component, phase_name && `phase ${phase_name}`, lug && `lug ${lug}`,
    verdict === 'unmarked_hot_spot' && 'outside the marks'].filter(Boolean).join(', ')
}

export function Answer({ rows, choose }: { rows: FindingRow[]; choose: (decision: Decision) => void }) {
  const cases = rows.filter(({ leads_case }) => leads_case)
  const most = useNarrow() ? kMostNarrow : kMostLines
  const stops = cases.filter(({ decision }) => decision === 'stop_now')
  const waiting = kDecisions.slice(1)
    .map(({ id, title }) => ({ id, title, count: cases.filter(({ decision }) => decision === id).length }))
  return (
    <section class="answer" aria-labelledby="answer">
      <h2 id="answer">Stop now <span class="aside">{stops.length}</span></h2>
      {stops.length === 0 && <p>Nothing that was measured calls for a stop now.</p>}
      <ul>
        {stops.slice(0, most).map((row) => (
          <li key={row.rank}>
            <a href={motorPath(row.motor)}>{row.motor}</a> <span class="drives">{row.description}</span> <span class="aside">{place(row)}</span>
            <span class="line">{row.do}</span>
          </li>
        ))}
      </ul>
      <p class="waiting">
        {stops.length > most &&
          <button type="button" onClick={() => choose('stop_now')}>all {counted(stops.length, 'case')} to stop now</button>}
        {waiting.map(({ id, title, count }) => (
          <button key={id} type="button" onClick={() => choose(id)}>{title}: {count}</button>
        ))}
      </p>
    </section>
  )
}
