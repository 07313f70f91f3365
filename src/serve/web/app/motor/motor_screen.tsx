// One motor: the lugs side by side, the readings side by side, one sentence of verdict, the next test to make.
import { useMemo, useState } from 'preact/hooks'
import { Verdict } from '../evidence'
import { Heading } from '../heading'
import { useLive } from '../image/live'
import { Ladder } from '../ladder'
import { BandTag, levelOf } from '../meaning'
import { useResource } from '../resource'
import { benchPath } from '../route'
import { getMotor, sentenceOf } from '../server'
import { useSurvey } from '../survey_context'
import { Waiting } from '../waiting'
import type { MotorView, Reading, ReadingRow } from '../wire'
import { Component } from './component'
import type { Draft } from './draft'
import { History } from './history'
import { Nameplate } from './nameplate'
import { blankReading } from './reading_form'
import { Readings } from './readings'
import { Segments } from './segments'

/** The motor's rows as they would be with the draft, and the draft's place among them. */
function withDraft(rows: ReadingRow[], draft: Draft): { readings: Reading[]; index: number } {
  const texts = rows.map(({ row: _row, ...reading }) => reading)
  const found = rows.findIndex(({ row }) => row === draft.row)
  const index = found < 0 ? texts.length : found
  texts[index] = draft.reading
  return { readings: texts, index }
}

const isFilled = ({ value_1, value_2, value_3 }: Reading) => [value_1, value_2, value_3].every((value) => value.trim() !== '')

function Summary({ view, tried, enter }: { view: MotorView; tried: boolean; enter: (() => void) | null }) {
  const { survey } = useSurvey()
  const level = levelOf(survey.policy.bands, view.band)
  return (
    <section class={`summary level-${level}`} aria-label="Verdict">
      <p><BandTag band={view.band} />{tried && <span class="aside"> with the reading that is not saved yet</span>}</p>
      {view.verdict
        ? <Verdict result={{ verdict: view.verdict, meaning: view.meaning ?? '', next_step: view.next_step }} />
        : <p>Nothing is measured on this motor yet.</p>}
      {view.places_not_imaged.length > 0 && <p class="aside">Not imaged yet: {view.places_not_imaged.join(', ')}.</p>}
      {enter && <div class="actions"><button type="button" onClick={enter}>Enter a reading</button></div>}
    </section>
  )
}

export function MotorScreen({ motor }: { motor: string }) {
  const { survey, revision } = useSurvey()
  const { data: view, error, reload } = useResource(`motor ${motor}`, () => getMotor(motor), revision)
  const [draft, setDraft] = useState<Draft | null>(null)
  const tried = useMemo(() => (view && draft && isFilled(draft.reading) ? withDraft(view.readings, draft) : null), [view, draft])
  const live = useLive(tried && { motor, readings: tried.readings })
  if (!view) return <><Heading title={motor} /><Waiting error={error} what="The motor is being read" /></>
  const shown = live.answer?.motor ?? view
  const description = view.motor.description
  return (
    <div class="motor">
      <p class="kicker">{description ?? 'Motor'}</p>
      <Heading title={motor} />
      <p><a href={benchPath(motor)}>Rotor and acceptance</a></p>
      <Summary view={shown} tried={live.answer !== null} enter={draft ? null : () => setDraft({ row: null, reading: blankReading(survey, view.readings) })} />
      {shown.components.map((component) => (
        <Component key={`${component.component} ${component.visit ?? ''}`} component={component} images={view.images} said={shown.next_step} />
      ))}
      {!shown.components.length && <section aria-label="Ladder of the readings"><Ladder svg={shown.ladder_svg} /></section>}
      <Readings view={view} draft={draft} setDraft={setDraft} saved={reload}
        tried={live.answer?.motor && tried ? live.answer.motor.electrical[tried.index] ?? null : null}
        verdict={live.answer?.motor?.verdict ?? null}
        problem={live.error === null ? null : sentenceOf(live.error)} />
      <Segments segments={shown.segments} />
      <History points={view.history ?? []} />
      <Nameplate motor={view.motor} />
    </div>
  )
}
