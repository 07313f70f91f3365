// One motor: the lugs side by side, the readings side by side, one sentence of verdict, the next test to make.
import { useMemo } from 'preact/hooks'
import { useDraft } from '../drafts'
import { Verdict } from '../evidence'
import { Heading } from '../heading'
import { useLive } from '../image/live'
import { Ladder } from '../ladder'
import { BandTag, levelOf, PhaseSign, testTitle, valueNames } from '../meaning'
import { counted, kelvins } from '../numbers'
import { useResource } from '../resource'
import { benchPath } from '../route'
import { getMotor, sentenceOf } from '../server'
import { useSurvey } from '../survey_context'
import { Waiting } from '../waiting'
import type { MotorView, Reading, ReadingRow, Survey } from '../wire'
import { Component } from './component'
import type { Draft } from './draft'
import { History } from './history'
import { Nameplate } from './nameplate'
import { blankReading } from './reading_form'
import { Readings, textsOf } from './readings'
import { Segments } from './segments'

/** The motor's rows as they would be with the draft, and the draft's place among them. */
function withDraft(rows: ReadingRow[], draft: Draft): { readings: Reading[]; index: number } {
  const texts = rows.map(textsOf)
  const found = rows.findIndex(({ row }) => row === draft.row)
  const index = found < 0 ? texts.length : found
  texts[index] = draft.reading
  return { readings: texts, index }
}

/** What the form calls its three values. */
function titlesOf(test: string, { phase_names }: Survey) {
  const [value_1, value_2, value_3] = valueNames(test, phase_names)
  return { value_1, value_2, value_3 }
}

const isFilled = ({ value_1, value_2, value_3 }: Reading) => [value_1, value_2, value_3].every((value) => value.trim() !== '')

// The test that a verdict's next step asks for, as far as its values have a form.
const kNextTest: Record<string, string> = {
  open_phase: 'winding_resistance', confirmed: 'winding_resistance', phase_conflict: 'winding_resistance',
  reading_only: 'winding_resistance', no_reading: 'winding_resistance', phase_agrees: 'joint_resistance',
  heat_only: 'joint_resistance', supply_unbalance: 'line_voltage', load_unbalance: 'line_voltage'
}

// What the readings say to the hot lug, in two words.
const kAgreement: Record<string, string> = {
  confirmed: 'resistance agrees', phase_agrees: 'resistance points to the same phase, differs in size',
  phase_conflict: 'resistance points to another phase', heat_only: 'resistance shows no fault',
  no_reading: 'no recent resistance test', reading_only: 'no lug stands out in the image',
  supply_unbalance: 'the supply voltages explain it', load_unbalance: 'unequal currents explain it'
}

/** Lug, phase, place, rise and what the other witness says: the motor's first finding. */
function Headline({ view }: { view: MotorView }) {
  const { phase_names } = useSurvey().survey
  const first = view.findings[0]
  if (!first) return null
  const phase = first.phase ? `phase ${phase_names[first.phase - 1]}` : null
  const where = [first.lug, phase, first.component ?? 'whole circuit'].filter(Boolean).join(', ')
  const rise = first.rise_over_like_c !== null ? `${kelvins(first.rise_over_like_c)} over its likes`
    : first.rise_over_air_c !== null ? `${kelvins(first.rise_over_air_c)} over air` : null
  return (
    <p class="headline"><PhaseSign phase={first.phase} /> <strong>{where}</strong>{rise && `: ${rise}`}
      {kAgreement[first.verdict] && `, ${kAgreement[first.verdict]}`}
      {view.findings.length > 1 && <span class="aside"> and {counted(view.findings.length - 1, 'more finding')} below</span>}</p>
  )
}

/** What no verdict covers: images that nobody marked, that cannot be measured, places without an image. */
function NotSeen({ view }: { view: MotorView }) {
  const count = (status: string) => view.images.filter((image) => image.status === status).length
  const parts = [
    count('unmarked') > 0 && `${counted(count('unmarked'), 'image')} without marks`,
    count('rejected') > 0 && `${counted(count('rejected'), 'image')} not measurable`,
    view.places_not_imaged.length > 0 && `not imaged yet: ${view.places_not_imaged.join(', ')}`
  ].filter(Boolean)
  return parts.length ? <p class="aside">Not seen: {parts.join('; ')}.</p> : null
}

function Summary({ view, tried, enter }: { view: MotorView; tried: boolean; enter: ((test?: string, place?: string) => void) | null }) {
  const { survey } = useSurvey()
  const level = levelOf(survey.policy.bands, view.band)
  const next = view.verdict === null ? undefined : kNextTest[view.verdict]
  return (
    <section class={`summary level-${level}`} aria-label="Verdict">
      <Headline view={view} />
      <p><BandTag band={view.band} />{tried && <span class="aside"> with the reading that is not saved yet</span>}</p>
      {view.verdict
        ? <Verdict result={{ verdict: view.verdict, meaning: view.meaning ?? '', next_step: view.next_step }} />
        : <p>Nothing is measured on this motor yet.</p>}
      <NotSeen view={view} />
      {enter &&
        <div class="actions">
          {next && survey.tests.includes(next) &&
            <button type="button" class="main" onClick={() => enter(next, view.findings[0]?.component ?? undefined)}>Enter the next test: {testTitle(next)}</button>}
          <button type="button" onClick={() => enter()}>Enter a reading</button>
        </div>}
    </section>
  )
}

export function MotorScreen({ motor }: { motor: string }) {
  const { survey, revision } = useSurvey()
  const { data: view, error, reload } = useResource(`motor ${motor}`, () => getMotor(motor), revision)
  const [kept, keep] = useDraft<Draft>(`ohmglow.reading ${survey.name} ${motor}`)
  const draft = kept?.value ?? null
  const setDraft = (next: Draft | null, etag?: string) =>
    keep(next && { etag: etag ?? kept?.etag ?? view?.readings_etag ?? '', value: next })
  const tried = useMemo(() => (view && draft && isFilled(draft.reading) ? withDraft(view.readings, draft) : null), [view, draft])
  const live = useLive(tried && { motor, readings: tried.readings })
  if (!view) return <><Heading title={motor} /><Waiting error={error} what="The motor is being read" /></>
  const shown = live.answer?.motor ?? view
  const description = view.motor.description
  const enter = (test?: string, place?: string) =>
    setDraft({ row: null, reading: blankReading(survey, view.readings, test, place ?? null), was: null })
  return (
    <div class="motor">
      <p class="kicker">{description ?? 'Motor'}</p>
      <Heading title={motor} />
      <p><a href={benchPath(motor)}>Rotor and acceptance</a></p>
      <Summary view={shown} tried={live.answer !== null} enter={draft ? null : enter} />
      {shown.components.map((component) => (
        <Component key={`${component.component} ${component.visit ?? ''}`} motor={motor} component={component} images={view.images} said={shown.next_step} />
      ))}
      {!shown.components.length && <section aria-label="Ladder of the readings"><Ladder svg={shown.ladder_svg} /></section>}
      <Readings view={view} draft={draft} etag={kept?.etag ?? view.readings_etag} setDraft={setDraft} enter={enter} saved={reload}
        tried={live.answer?.motor && tried ? live.answer.motor.electrical[tried.index] ?? null : null}
        verdict={live.answer?.motor?.verdict ?? null}
        problem={live.error === null ? null : sentenceOf(live.error, draft ? titlesOf(draft.reading.test, survey) : {})} />
      <Segments segments={shown.segments} />
      <History points={view.history ?? []} />
      <Nameplate motor={view.motor} />
    </div>
  )
}
