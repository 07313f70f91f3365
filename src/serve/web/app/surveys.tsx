// A folder of surveys: all of them, the one with the worst findings first.
import { useEffect, useState } from 'preact/hooks'
import { Cautions } from './frame'
import { Heading } from './heading'
import { levelOf } from './meaning'
import { counted } from './numbers'
import { useResource } from './resource'
import { json, Refusal, sentenceOf } from './server'
import { Waiting } from './waiting'
import type { ErrorBody, PolicyBand, Progress } from './wire'

interface Listed {
  name: string
  error: ErrorBody | null
  site?: string | null
  surveyed_on?: string | null
  bands?: PolicyBand[]
  counts?: { bands: Record<string, number>; images: Record<string, number> }
  progress?: Progress
}

const kAgain_ms = 2000

/** Counts from the most severe band down; larger ones first. */
function worseFirst(a: Listed, b: Listed) {
  const counts = (one: Listed) => [...(one.bands ?? [])].reverse().map(({ id }) => one.counts?.bands[id] ?? 0)
  const [left, right] = [counts(a), counts(b)]
  for (let i = 0; i < Math.max(left.length, right.length); i++) {
    const difference = (right[i] ?? 0) - (left[i] ?? 0)
    if (difference) return difference
  }
  return a.name.localeCompare(b.name)
}

function State({ one }: { one: Listed }) {
  if (one.error) return <p class="problem">{sentenceOf(new Refusal(0, one.error))}</p>
  if (!one.progress || !one.bands) return <p class="aside">waits to be read</p>
  const { done, total } = one.progress
  const found = [...one.bands].reverse().filter(({ id }) => one.counts?.bands[id])
  const untold = (one.counts?.images.unmarked ?? 0) + (one.counts?.images.rejected ?? 0)
  return (
    <>
      {done < total && <p><label>{done} of {total} images measured<progress max={total} value={done} /></label></p>}
      <ul class="tallies">
        {found.map(({ id, name }) => <li key={id} class={`level-${levelOf(one.bands!, id)}`}><strong>{one.counts?.bands[id]}</strong> {name}</li>)}
        {done >= total && found.length === 0 && <li>{one.counts?.images.measured ? 'no finding' : 'nothing measured yet'}</li>}
        {untold > 0 && <li>{counted(untold, 'image')} could not tell</li>}
      </ul>
    </>
  )
}

export function Surveys() {
  const [tick, setTick] = useState(0)
  const { data, error } = useResource('surveys', () => json<{ name: string; cautions: string[]; surveys: Listed[] }>('GET', '/api/surveys'), tick)
  useEffect(() => {
    const timer = setInterval(() => setTick((n) => n + 1), kAgain_ms)
    return () => clearInterval(timer)
  }, [])
  if (!data) return <main class="alone"><Waiting error={error} what="The surveys are being looked for" /></main>
  return (
    <main class="surveys">
      <Heading title={`${counted(data.surveys.length, 'survey')} in ${data.name}`} />
      <Cautions texts={data.cautions} />
      <ul class="surveys">
        {[...data.surveys].sort(worseFirst).map((one) => (
          <li key={one.name}>
            <h2><a href={`/survey/${encodeURIComponent(one.name)}/`} target="_self">{one.site ?? one.name}</a></h2>
            <p class="aside">{[one.surveyed_on && `surveyed ${one.surveyed_on}`, one.name].filter(Boolean).join(' · ')}</p>
            <State one={one} />
          </li>
        ))}
      </ul>
    </main>
  )
}
