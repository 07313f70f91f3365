// What no list of bands can show: images that nobody marked or that give no temperatures, and components not judged.
import { counted } from '../numbers'
import { useResource } from '../resource'
import { getRows } from '../server'
import { useSurvey } from '../survey_context'
import type { AsideRow } from '../wire'

export function NotSeen() {
  const { survey, revision } = useSurvey()
  const { data } = useResource('asides', () => getRows<AsideRow>('/api/asides'), revision)
  const { unmarked, rejected } = survey.counts.images
  const judged = (data ?? []).filter(({ list }) => list === 'not_judged').length
  const waiting = survey.progress.total - survey.progress.done
  if (!unmarked && !rejected && !judged && !waiting) return null
  return (
    <ul class="tallies not-seen">
      <li class="aside">Not seen<span class="so">, so not in any band</span>:</li>
      {waiting > 0 && <li>{counted(waiting, 'image')} not measured yet</li>}
      {unmarked > 0 && <li><a href="/review">{counted(unmarked, 'image')} without marks</a></li>}
      {rejected > 0 && <li><a href="/images?status=rejected">{counted(rejected, 'image')} not measurable</a></li>}
      {judged > 0 && <li>{counted(judged, 'component')} not judged</li>}
    </ul>
  )
}
