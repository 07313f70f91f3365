// The electrical side: rows of readings.csv with what they say, and the form for the next one.
import { useState } from 'preact/hooks'
import { announce } from '../announce'
import { testTitle, unitTitle, valueNames } from '../meaning'
import { deleteReading, postReading, putReading, Refusal, sentenceOf } from '../server'
import { useSurvey } from '../survey_context'
import type { ElectricalResult, MotorView, ReadingRow } from '../wire'
import type { Draft } from './draft'
import { blankReading, ReadingForm } from './reading_form'
import { Sayings } from './sayings'

// Rows that could be worked out stand in `electrical` in the same order; a row with a mistake does not.
function resultOf(row: ReadingRow, rows: ReadingRow[], electrical: ElectricalResult[]): ElectricalResult | null {
  const alike = (one: { test: string; place: string | null; taken_at: string | null }) =>
    one.test === row.test && (one.place ?? '') === (row.place ?? '') && (one.taken_at ?? '') === (row.taken_at ?? '')
  return electrical.filter(alike)[rows.filter(alike).indexOf(row)] ?? null
}

function Row({ row, view, edit, remove }: { row: ReadingRow; view: MotorView; edit: () => void; remove: () => void }) {
  const names = valueNames(row.test, useSurvey().survey.phase_names)
  const result = resultOf(row, view.readings, view.electrical)
  const where = [row.place, row.taken_at].filter(Boolean).join(', ')
  return (
    <li class="reading">
      <h3>{testTitle(row.test)}{where && <span class="aside"> {where}</span>}</h3>
      <dl class="values number">
        {[row.value_1, row.value_2, row.value_3].map((value, i) => (
          <div key={i}><dt>{names[i]}</dt><dd>{value} {unitTitle(row.unit).replace(/ \(.*/, '')}</dd></div>
        ))}
      </dl>
      <div class="says">{result ? <Sayings result={result} /> : <p class="aside">This row could not be used; the problems of the survey say why.</p>}
        {row.note && <p class="aside">{row.note}</p>}</div>
      <div class="actions">
        <button type="button" class="quiet" onClick={edit}>Correct</button>
        <button type="button" class="quiet" onClick={remove}>Delete</button>
      </div>
    </li>
  )
}

export function Readings(props: {
  view: MotorView
  draft: Draft | null
  setDraft: (draft: Draft | null) => void
  tried: ElectricalResult | null
  verdict: string | null
  problem: string | null
  saved: () => void
}) {
  const { view, draft, setDraft } = props
  const { motor } = view.motor
  const { survey } = useSurvey()
  const [problem, setProblem] = useState<string | null>(null)
  const [busy, setBusy] = useState(false)
  const act = async (what: string, work: () => Promise<unknown>) => {
    setBusy(true)
    setProblem(null)
    try {
      await work()
      announce(what)
      setDraft(null)
      props.saved()
    } catch (error) {
      const stale = error instanceof Refusal && error.status === 412
      if (stale) props.saved()
      setProblem(stale ? 'Someone else has changed the readings meanwhile. They are shown now; press Save again if yours still holds.' : sentenceOf(error))
    } finally {
      setBusy(false)
    }
  }
  const save = () => draft && void act('Reading saved', () => (draft.row === null
    ? postReading(motor, draft.reading, view.readings_etag) : putReading(motor, draft.row, draft.reading, view.readings_etag)))
  const remove = (row: ReadingRow) => {
    if (!confirm(`Delete the ${testTitle(row.test)} reading in row ${row.row} of readings.csv?`)) return
    void act('Reading deleted', () => deleteReading(motor, row.row, view.readings_etag))
  }
  return (
    <section class="readings" aria-labelledby="readings-title">
      <h2 id="readings-title">Readings</h2>
      {view.readings.length === 0 && !draft && <p>No reading is entered for this motor.</p>}
      <ul class="rows">
        {view.readings.map((row) => (
          <Row key={row.row} row={row} view={view} remove={() => remove(row)}
            edit={() => setDraft({ row: row.row, reading: (({ row: _row, ...reading }) => reading)(row) })} />
        ))}
      </ul>
      {draft
        ? <ReadingForm draft={draft} setDraft={setDraft} busy={busy} save={save} rows={view.readings} places={view.components.map(({ component }) => component)}
            tried={props.tried} verdict={props.verdict} problem={problem ?? props.problem} />
        : <button type="button" class="main" onClick={() => setDraft({ row: null, reading: blankReading(survey, view.readings) })}>Enter a reading</button>}
      {!draft && problem && <p class="notice" role="alert">{problem}</p>}
    </section>
  )
}
