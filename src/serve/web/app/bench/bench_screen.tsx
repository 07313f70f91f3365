// A motor on the bench: is it fit to take over, what do rotor and air gap say, and the forms for the next test.
import { useState } from 'preact/hooks'
import { announce } from '../announce'
import { Heading } from '../heading'
import { useResource } from '../resource'
import { motorPath, queried, rememberQuery } from '../route'
import { Refusal, sentenceOf } from '../server'
import { useSurvey } from '../survey_context'
import { Waiting } from '../waiting'
import { Acceptance } from './acceptance'
import { getBench, postRows, postShopTest, useTried } from './bench_server'
import type { BenchProblem, Stage } from './bench_wire'
import { GapEntry, gapRows, newGaps, turnedOn, type GapDraft } from './gap_entry'
import { RotorPictures } from './rotor_pictures'
import { today } from './rows_for_table'
import { isBegun, shopCells, ShopTests, type ShopDrafts } from './shop_tests'
import { complaintsOf, newSweep, sentRows, type SweepDraft } from './sweep_draft'
import { SweepEntry } from './sweep_entry'

const kStages: Stage[] = ['bought', 'repaired', 'installed']
type Form = 'sweep' | 'gaps' | 'shop'

export function BenchScreen({ motor }: { motor: string }) {
  const { survey, revision } = useSurvey()
  const [stage, setStage] = useState<Stage>(() => kStages.find((known) => known === queried('stage')) ?? 'bought')
  const { data, error, reload } = useResource(`bench ${motor} ${stage}`, () => getBench(motor, stage), revision)
  const [last, setLast] = useState(data) // what is typed stays while another stage is fetched
  if (data && data !== last) setLast(data)
  const view = data ?? last
  const [sweep, setSweep] = useState<SweepDraft | null>(null)
  const [at, setAt] = useState<number | null>(null)
  const [gaps, setGaps] = useState<GapDraft | null>(null)
  const [shop, setShop] = useState<ShopDrafts>({})
  const [busy, setBusy] = useState(false)
  const [problem, setProblem] = useState<{ form: Form; text: string } | null>(null)

  const sent = sweep && view ? sentRows(sweep, at, view.tables.sweeps) : { rows: [], places: [] }
  const sentGaps = gaps && view ? gapRows(gaps, view.tables.air_gaps) : { rows: [], places: [] }
  const tests = Object.keys(shop).filter((test) => isBegun(shop[test]))
  const readings = view ? tests.map((test) => shopCells(test, shop[test]!, today(), view.tables.readings)) : []
  const anything = sent.rows.length + sentGaps.rows.length + readings.length > 0
  const tried = useTried(anything ? { motor, stage, sweeps: sent.rows, air_gaps: sentGaps.rows, readings } : null)

  if (!view) return <><Heading title={`${motor}: rotor and acceptance`} /><Waiting error={error} what="The motor is being read" /></>
  const [a, b, c] = survey.phase_names
  const pairs = [`${a}-${b}`, `${b}-${c}`, `${c}-${a}`]
  const shown = tried.answer ?? view
  const problems = tried.answer?.problems ?? []
  const troubleOf = (form: Form) => (problem?.form === form ? problem.text : tried.error !== null ? sentenceOf(tried.error) : null)
  const choose = (chosen: Stage) => {
    setStage(chosen)
    rememberQuery({ stage: chosen === 'bought' ? '' : chosen })
  }
  const save = async (form: Form, what: string, work: () => Promise<unknown>, done: () => void) => {
    setBusy(true)
    setProblem(null)
    try {
      await work()
      announce(what)
      done()
      reload()
    } catch (failed) {
      const stale = failed instanceof Refusal && failed.status === 412
      if (stale) reload()
      setProblem({ form, text: stale ? 'Someone else has changed this table meanwhile. It is read again now; press Save again if yours still holds.' : sentenceOf(failed) })
    } finally {
      setBusy(false)
    }
  }
  const saveSweep = () => void save('sweep', 'Sweep saved', () =>
    postRows('sweeps', motor, sentRows(sweep!, null, view.tables.sweeps).rows, view.tables.sweeps.etag), () => setSweep(null))
  const saveGaps = () => void save('gaps', 'Air gaps saved', () =>
    postRows('air_gaps', motor, sentGaps.rows, view.tables.air_gaps.etag), () => setGaps(turnedOn(gaps!)))
  const saveTest = (test: string) => void save('shop', 'Test saved', () =>
    postShopTest(motor, shopCells(test, shop[test]!, today(), view.tables.readings), view.tables.readings.etag), () => {
    const { [test]: _saved, ...others } = shop
    setShop(others)
  })
  const ofTest = new Map<string, BenchProblem[]>()
  for (const its of problems) {
    const test = its.table === 'readings.csv' && its.row !== null ? tests[its.row] : undefined
    if (test) ofTest.set(test, [...(ofTest.get(test) ?? []), its])
  }
  const name = sweep && (sweep.name.trim() || sweep.taken_at.trim())
  return (
    <div class="motor bench">
      <p class="kicker"><a href={motorPath(motor)}>{motor}</a>{view.description && `, ${view.description}`}</p>
      <Heading title={`${motor}: rotor and acceptance`} />
      <Acceptance list={shown.acceptance} none={shown.no_acceptance} tried={tried.answer !== null} stage={stage} stages={view.stages} choose={choose} />
      <ShopTests pairs={pairs} drafts={shop} setDrafts={setShop} units={view.units} checks={shown.acceptance?.checks ?? []} problems={ofTest}
        problem={troubleOf('shop')} busy={busy} save={saveTest} />
      <section aria-labelledby="rotor-title">
        <h2 id="rotor-title">Rotor and air gap</h2>
        {view.problems.length > 0 &&
          <ul class="notice">{view.problems.map(({ file, row, column, message }) => (
            <li key={`${row} ${message}`}>{[file, row && `row ${row}`, column].filter(Boolean).join(', ')}: {message}</li>))}</ul>}
        <RotorPictures sweeps={view.sweeps} gaps={view.air_gaps} behind={shown.behind} />
        <div class="actions">
          {!sweep && <button type="button" class="main" onClick={() => setSweep(newSweep(view.units.sweeps?.[0] ?? 'mh'))}>Enter a sweep</button>}
          {!gaps && <button type="button" class="main" onClick={() => setGaps(newGaps(view.units.air_gaps?.[0] ?? 'mm'))}>Enter air gaps</button>}
        </div>
      </section>
      {sweep && (
        <section aria-labelledby="sweep-title">
          <h2 id="sweep-title">A new sweep</h2>
          <SweepEntry draft={sweep} setDraft={setSweep} setAt={setAt} units={view.units.sweeps ?? []} names={pairs} busy={busy} save={saveSweep}
            complaints={complaintsOf(sweep, problems, sent.places)} problem={troubleOf('sweep')}
            shown={sent.rows.length ? tried.answer?.sweeps.find((its) => its.sweep === name) ?? null : null} />
        </section>
      )}
      {gaps && (
        <section aria-labelledby="gaps-title">
          <h2 id="gaps-title">New air gaps</h2>
          <GapEntry draft={gaps} setDraft={setGaps} units={view.units.air_gaps ?? []} busy={busy} save={saveGaps} problem={troubleOf('gaps')}
            problems={problems.filter(({ table }) => table === 'air_gap.csv').map((its) => ({ ...its, place: its.row === null ? null : sentGaps.places[its.row] ?? null }))}
            shown={shown.air_gaps.find(({ end }) => end === gaps.end) ?? null} />
        </section>
      )}
    </div>
  )
}
