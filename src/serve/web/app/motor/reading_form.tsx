// One reading, typed at the panel; what it says appears while it is typed.
import { useEffect, useRef } from 'preact/hooks'
import { announce } from '../announce'
import { useNarrow } from '../list/list'
import { isOfPairs, testTitle, unitTitle, valueNames, verdictTitle } from '../meaning'
import { percent } from '../numbers'
import { useSurvey } from '../survey_context'
import type { ElectricalResult, Reading, Survey } from '../wire'
import type { Draft } from './draft'
import { Sayings } from './sayings'
import { slipOf } from './slip'

/** The unit that this motor's readings of the test came in so far: a slip of a thousand is easily made. */
const usualUnit = (survey: Survey, test: string, rows: Reading[]) =>
  [...rows].reverse().find((row) => row.test === test)?.unit.toLowerCase() ?? survey.units[test]?.[0] ?? ''

export function blankReading(survey: Survey, rows: Reading[], test = survey.tests[0] ?? 'winding_resistance', place: string | null = null): Reading {
  return {
    test, taken_at: new Date().toLocaleDateString('sv'), place, value_1: '', value_2: '', value_3: '', value_1_again: null, // sv: 2026-03-04
    unit: usualUnit(survey, test, rows), temperature_c: null, resolution: null, lead_ohm: null, lead_u_ohm: null, note: null
  }
}

const kSafety: Record<string, string> = {
  winding_resistance: 'Only de-energised, locked out and verified dead.',
  joint_resistance: 'Only de-energised, locked out and verified dead.',
  joint_drop: 'Under load, on live parts: qualified people with the required protection.'
}

function Saying({ tried, verdict, problem }: { tried: ElectricalResult | null; verdict: string | null; problem: string | null }) {
  const sentence = tried && tried.unbalance_pct !== null
    ? `Unbalance ${percent(tried.unbalance_pct, 2)}${tried.phase_name ? `, highest phase ${tried.phase_name}` : ''}. Verdict ${verdictTitle(verdict)}.` : ''
  useEffect(() => {
    if (sentence) announce(sentence, 800)
  }, [sentence])
  if (problem) return <p class="problem" role="alert">{problem}</p>
  if (!tried) return <p class="aside">Unbalance, phase and excess appear here as soon as the three values are there.</p>
  return <><Sayings result={tried} />{verdict && <p>Verdict with it: <strong>{verdictTitle(verdict)}</strong></p>}</>
}

export function ReadingForm(props: {
  draft: Draft
  setDraft: (draft: Draft | null) => void
  save: () => void
  busy: boolean
  places: string[]
  rows: Reading[]
  tried: ElectricalResult | null
  verdict: string | null
  /** Why the values cannot be used. */
  problem: string | null
  /** What keeps them from being saved. */
  conflict: string | null
}) {
  const { draft, setDraft } = props
  const { survey } = useSurvey()
  const { reading } = draft
  const narrow = useNarrow()
  const first = useRef<HTMLSelectElement>(null)
  useEffect(() => first.current?.focus(), [])
  const set = (part: Partial<Reading>) => setDraft({ ...draft, reading: { ...reading, ...part } })
  const setTest = (test: string) =>
    set({ test, unit: usualUnit(survey, test, props.rows), value_1_again: null, resolution: null, lead_ohm: null, lead_u_ohm: null }) // of the other test and its meter
  const names = valueNames(reading.test, survey.phase_names)
  const slip = slipOf(survey, reading, props.rows, names)
  const filled = [reading.value_1, reading.value_2, reading.value_3].every((value) => value.trim())
  return (
    <form class="reading-form" onSubmit={(event) => {
      event.preventDefault()
      props.save()
    }}>
      <h3>{draft.row === null ? 'A new reading' : `Row ${draft.row} of readings.csv`}</h3>
      <label>Test
        <select ref={first} value={reading.test} onChange={(event) => setTest(event.currentTarget.value)}>
          {survey.tests.map((test) => <option key={test} value={test}>{testTitle(test)}</option>)}
        </select>
      </label>
      {kSafety[reading.test] && <p class="safety">{kSafety[reading.test]}</p>}
      <label>Where the leads were
        <input type="text" list="places" value={reading.place ?? ''} onInput={(event) => set({ place: event.currentTarget.value || null })} />
        <datalist id="places">{[...new Set([...props.places, ...survey.components])].map((place) => <option key={place} value={place} />)}</datalist>
      </label>
      <label>Unit
        <select value={reading.unit} onChange={(event) => set({ unit: event.currentTarget.value })}>
          {(survey.units[reading.test] ?? [reading.unit]).map((unit) => <option key={unit} value={unit}>{unitTitle(unit)}</option>)}
        </select>
      </label>
      <fieldset class="three" onFocusIn={(event) => narrow && event.currentTarget.scrollIntoView({ block: 'start' })}>
        <legend>{isOfPairs(reading.test) ? 'Pairs' : reading.test === 'line_current' ? 'Lines' : 'Phases'}</legend>
        {([1, 2, 3] as const).map((i) => (
          <label key={i}>{names[i - 1]}
            <input type="text" inputMode="decimal" autocomplete="off" required value={reading[`value_${i}`]}
              onInput={(event) => set({ [`value_${i}`]: event.currentTarget.value.replace(',', '.').trim() })} />
          </label>
        ))}
      </fieldset>
      <output class="says" aria-live="off"><Saying tried={props.tried} verdict={props.verdict} problem={props.problem} /></output>
      {slip &&
        <p class="notice slip" role="alert">{slip.question}{slip.unit &&
          <> <button type="button" onClick={() => set({ unit: slip.unit as string })}>It was {unitTitle(slip.unit)}</button></>}</p>}
      <label>Taken
        <input type="text" value={reading.taken_at ?? ''} placeholder="2026-03-04T10:11" onInput={(event) => set({ taken_at: event.currentTarget.value.trim() || null })} />
      </label>
      {reading.test === 'winding_resistance' &&
        <label>First pair once more, at the end
          <input type="text" inputMode="decimal" autocomplete="off" value={reading.value_1_again ?? ''}
            onInput={(event) => set({ value_1_again: event.currentTarget.value.replace(',', '.').trim() || null })} />
        </label>}
      {reading.test === 'winding_resistance' &&
        <label>Winding temperature, °C
          <input type="text" inputMode="decimal" value={reading.temperature_c ?? ''}
            onInput={(event) => set({ temperature_c: event.currentTarget.value.replace(',', '.').trim() || null })} />
        </label>}
      <label class="wide">Note
        <input type="text" value={reading.note ?? ''} onInput={(event) => set({ note: event.currentTarget.value || null })} />
      </label>
      {props.conflict && <p class="notice" role="alert">{props.conflict}</p>}
      <div class="actions">
        <button type="submit" class="main" disabled={props.busy || !filled || props.problem !== null}>Save the reading</button>
        <button type="button" onClick={() => setDraft(null)}>Leave it</button>
      </div>
    </form>
  )
}
