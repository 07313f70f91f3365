// The electrical side: rows of readings.csv with what they say, and the form for the next one.
import { useEffect, useRef, useState } from 'preact/hooks'
import { announce } from '../announce'
import { testTitle, unitTitle, valueNames } from '../meaning'
import { done, SavedNote, type Done } from '../saved'
import { deleteReading, getMotor, postReading, putReading, Refusal, sentenceOf } from '../server'
import { useSurvey } from '../survey_context'
import type { ElectricalResult, MotorView, Reading, ReadingRow } from '../wire'
import type { Draft } from './draft'
import { ReadingForm } from './reading_form'
import { Sayings } from './sayings'

interface Written {
  row: number | null
  readings_etag: string
}

export const textsOf = ({ row: _row, ...reading }: ReadingRow): Reading => reading

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
  /** The version that the draft grew from. */
  etag: string
  setDraft: (draft: Draft | null, etag?: string) => void
  enter: () => void
  tried: ElectricalResult | null
  verdict: string | null
  problem: string | null
  saved: () => void
}) {
  const { view, draft, setDraft } = props
  const { motor } = view.motor
  const [problem, setProblem] = useState<string | null>(null)
  const [busy, setBusy] = useState(false)
  const [last, setLast] = useState<Done | null>(null)
  const note = useRef<HTMLDivElement>(null)
  useEffect(() => {
    if (last) note.current?.scrollIntoView({ block: 'nearest' })
  }, [last])
  /** `back` undoes it from the version that it led to. */
  const act = async (what: string, work: () => Promise<Written>, back: ((written: Written) => Promise<Written>) | null) => {
    setBusy(true)
    setProblem(null)
    try {
      const written = await work()
      setLast(back ? done(what, () => void act(`Taken back: ${what}`, () => back(written), null)) : null)
      if (!back) announce(what)
      setDraft(null)
      props.saved()
    } catch (error) {
      setProblem(sentenceOf(error))
      props.saved()
    } finally {
      setBusy(false)
    }
  }
  const write = ({ row, reading }: Draft, etag: string) =>
    (row === null ? postReading(motor, reading, etag) : putReading(motor, row, reading, etag))
  /** A stale version is no conflict where the row itself is as it was; it may stand elsewhere now. */
  const writeOver = async (own: Draft, etag: string) => {
    try {
      return await write(own, etag)
    } catch (error) {
      if (!(error instanceof Refusal) || error.status !== 412) throw error
      const now = await getMotor(motor)
      const same = own.was && now.readings.find((row) => JSON.stringify(textsOf(row)) === JSON.stringify(own.was))
      if (own.row === null || same) return write({ ...own, row: same ? same.row : null }, now.readings_etag)
      const theirs = now.readings.find(({ row }) => row === own.row)
      setDraft({ ...own, row: theirs ? own.row : null, was: theirs ? textsOf(theirs) : null }, now.readings_etag)
      throw new Error(theirs
        ? `Someone else has changed this row meanwhile: it has ${theirs.value_1}, ${theirs.value_2}, ${theirs.value_3} ${theirs.unit} now. Save again to write yours over it, or leave it.`
        : 'Someone else has deleted this row meanwhile. Save again to add yours as a new one, or leave it.')
    }
  }
  const save = () => {
    if (!draft || busy) return
    const { row, was } = draft
    void act('Reading saved', () => writeOver(draft, props.etag), ({ row: at, readings_etag }) =>
      (row === null || !was ? deleteReading(motor, at as number, readings_etag) : putReading(motor, at ?? row, was, readings_etag)))
  }
  const remove = (row: ReadingRow) => void act(`Reading of row ${row.row} deleted`, () => deleteReading(motor, row.row, view.readings_etag),
    ({ readings_etag }) => postReading(motor, textsOf(row), readings_etag))
  return (
    <section class="readings" aria-labelledby="readings-title">
      <h2 id="readings-title">Readings</h2>
      {view.readings.length === 0 && !draft && <p>No reading is entered for this motor.</p>}
      <ul class="rows">
        {view.readings.map((row) => (
          <Row key={row.row} row={row} view={view} remove={() => remove(row)}
            edit={() => setDraft({ row: row.row, reading: textsOf(row), was: textsOf(row) })} />
        ))}
      </ul>
      {draft
        ? <ReadingForm draft={draft} setDraft={setDraft} busy={busy} save={save} rows={view.readings} places={view.components.map(({ component }) => component)}
            tried={props.tried} verdict={props.verdict} problem={props.problem} conflict={problem} />
        : <button type="button" class="main" onClick={() => props.enter()}>Enter a reading</button>}
      <div ref={note}>{!draft && <SavedNote done={last} busy={busy} />}</div>
      {!draft && problem && <p class="notice" role="alert">{problem}</p>}
    </section>
  )
}
