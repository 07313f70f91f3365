// What to do, before the list: every motor to stop now, and how many cases wait for what.
import { counted } from '../numbers'
import { motorPath } from '../route'
import { useNarrow } from './list'
import type { Decision, FindingRow } from '../wire'

export const kDecisions: { id: Decision; title: string; brief: string }[] = [
  { id: 'stop_now', title: 'Stop now', brief: 'Stop now' },
  { id: 'next_stop', title: 'At the next planned stop', brief: 'Next stop' },
  { id: 'image_again', title: 'Measure or image again', brief: 'Measure again' }
]
const kMostLines = 5

function place({ component, phase_name, lug, verdict }: FindingRow) {
  return [component, phase_name && `phase ${phase_name}`, lug && `lug ${lug}`,
    verdict === 'unmarked_hot_spot' && 'outside the marks'].filter(Boolean).join(', ')
}

export function Answer({ rows, choose }: { rows: FindingRow[]; choose: (decision: Decision) => void }) {
  const cases = rows.filter(({ leads_case }) => leads_case)
  const stops = cases.filter(({ decision }) => decision === 'stop_now')
  const counts = kDecisions
    .map(({ id, title, brief }) => ({ id, title, brief, count: cases.filter((row) => row.decision === id).length }))
  const none = stops.length === 0 && <p>Nothing that was measured calls for a stop now.</p>
  if (useNarrow()) { // the list itself, which begins with what to stop, belongs on a telephone's first screen
    return (
      <section class="answer" aria-label="What to do">
        {none}
        <p class="waiting">
          {counts.map(({ id, brief, count }) => (
            <button key={id} type="button" class={id} onClick={() => choose(id)}>{brief}: {count}</button>
          ))}
        </p>
      </section>
    )
  }
  return (
    <section class="answer" aria-labelledby="answer">
      <h2 id="answer">Stop now <span class="aside">{stops.length}</span></h2>
      {none}
      <ul>
        {stops.slice(0, kMostLines).map((row) => (
          <li key={row.rank}>
            <a href={motorPath(row.motor)}>{row.motor}</a> {row.description} <span class="aside">{place(row)}</span>
            <span class="line">{row.do}</span>
          </li>
        ))}
      </ul>
      <p class="waiting">
        {stops.length > kMostLines &&
          <button type="button" onClick={() => choose('stop_now')}>all {counted(stops.length, 'case')} to stop now</button>}
        {counts.slice(1).map(({ id, title, count }) => (
          <button key={id} type="button" onClick={() => choose(id)}>{title}: {count}</button>
        ))}
      </p>
    </section>
  )
}
