// A folder without a survey: bring images, name motor and component of each, fill in, start.
import { useEffect, useMemo, useState } from 'preact/hooks'
import { Heading } from '../heading'
import { counted } from '../numbers'
import { useResource } from '../resource'
import { Refusal, sentenceOf } from '../server'
import { Waiting } from '../waiting'
import { Bringing } from './bringing'
import { Grid, type CellProblem, type GridRow } from './grid'
import { getStart, postStart, type Beginning, type Sheet } from './start_server'

const kComponents = ['terminal box', 'starter', 'starter line side', 'starter load side', 'soft starter', 'disconnect', 'breaker',
  'fuses', 'contactor', 'overload relay', 'drive input', 'drive output']

const kImageColumns = [
  { id: 'motor', title: 'Motor' },
  { id: 'component', title: 'Component', words: kComponents },
  { id: 'emissivity', title: 'Emissivity' },
  { id: 'reflected_c', title: 'Reflected °C' },
  { id: 'air_c', title: 'Air °C' },
  { id: 'load_1_a', title: 'Load 1 A' },
  { id: 'load_2_a', title: 'Load 2 A' },
  { id: 'load_3_a', title: 'Load 3 A' }
]
const kDeclared = [{ id: 'scale', title: 'Scale' }, { id: 'offset', title: 'Offset' }, { id: 'unit', title: 'Unit', words: ['c', 'k'] }]
const kMoreImageColumns = [
  { id: 'taken_at', title: 'Taken at' },
  { id: 'distance_m', title: 'Distance m' },
  { id: 'ifov_mrad', title: 'Pixel mrad' },
  { id: 'wind_m_s', title: 'Wind m/s' },
  { id: 'photo', title: 'Photograph' },
  { id: 'note', title: 'Note' }
]
const kMotorColumns = [
  { id: 'description', title: 'Description' },
  { id: 'area', title: 'Area' },
  { id: 'rated_a', title: 'Rated A' },
  { id: 'rated_v', title: 'Rated V' },
  { id: 'rated_kw', title: 'Rated kW' },
  { id: 'connection', title: 'Connection', words: ['wye', 'delta'] }
]
const kMoreMotorColumns = [
  { id: 'lockout', title: 'Lockout' },
  { id: 'conductor_limit_c', title: 'Conductor limit °C' },
  { id: 'lug_area_cm2', title: 'Lug area cm²' },
  { id: 'criticality', title: 'Criticality 1–5' }
]

/** What a person has typed, by row and column; kept in the browser until the survey is there. */
interface Typed {
  about: Record<string, string>
  images: Record<string, Record<string, string>>
  motors: Record<string, Record<string, string>>
}
const kNothing: Typed = { about: {}, images: {}, motors: {} }

function useTyped(folder: string): [Typed, (change: (old: Typed) => Typed) => void, () => void] {
  const key = `ohmglow.start ${folder}`
  const [typed, setTyped] = useState<Typed>(() => {
    try {
      return { ...kNothing, ...(JSON.parse(localStorage.getItem(key) ?? '{}') as Partial<Typed>) }
    } catch {
      return kNothing
    }
  })
  useEffect(() => localStorage.setItem(key, JSON.stringify(typed)), [typed])
  return [typed, setTyped, () => localStorage.removeItem(key)]
}

const record = (columns: string[], row: string[]) => Object.fromEntries(columns.map((name, i) => [name, row[i] ?? '']))
const keyOf = (cells: Record<string, string>) => cells.file + (cells.page ? `, page ${cells.page}` : '')

interface SentProblem {
  file: string
  row: number | null
  column: string | null
  message: string
}

export function StartScreen() {
  const { data, error, reload } = useResource('start', getStart, 0)
  if (!data) return <main class="alone"><Waiting error={error} what="The folder is being looked through" /></main>
  return <StartForm found={data} reload={reload} />
}

function StartForm({ found, reload }: { found: Beginning; reload: () => void }) {
  const [typed, setTyped, forget] = useTyped(found.name)
  const [more, setMore] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  const [sent, setSent] = useState<SentProblem[]>([])
  const [isStarting, setStarting] = useState(false)

  const images = useMemo<GridRow[]>(() => found.images.rows.map((row) => {
    const cells = record(found.images.columns, row)
    const key = keyOf(cells)
    const whole = { ...cells, ...typed.images[key] }
    return {
      key, cells: whole,
      title: <>{key}{whole.photo && <span class="aside line">with {whole.photo}</span>}</>
    }
  }), [found, typed.images])
  const guessed = useMemo(() => new Map(found.motors.rows.map((row) => [row[0]!, record(found.motors.columns, row)])), [found])
  const motors = useMemo<GridRow[]>(() => {
    const names = [...new Set(images.map(({ cells }) => cells.motor?.trim() ?? '').filter(Boolean))].sort()
    return names.map((motor) => ({
      key: motor, title: motor,
      cells: { ...record(found.motors.columns, [motor]), ...guessed.get(motor), ...typed.motors[motor] }
    }))
  }, [images, guessed, typed.motors])

  const setCells = (table: 'images' | 'motors') => (keys: string[], column: string, text: string) =>
    setTyped((old) => ({
      ...old,
      [table]: { ...old[table], ...Object.fromEntries(keys.map((key) => [key, { ...old[table][key], [column]: text }])) }
    }))
  const about = (name: 'site' | 'surveyed_on' | 'thermographer') =>
    typed.about[name] ?? (name === 'thermographer' ? '' : found[name])
  const aboutField = (name: 'site' | 'surveyed_on' | 'thermographer', title: string, hint = '') => (
    <label>{title}<input value={about(name)} placeholder={hint}
      onInput={(event) => {
        const text = event.currentTarget.value
        setTyped((old) => ({ ...old, about: { ...old.about, [name]: text } }))
      }} /></label>
  )
  const sheet = ({ columns }: Sheet, rows: GridRow[]): Sheet =>
    ({ columns, rows: rows.map(({ cells }) => columns.map((name) => (cells[name] ?? '').trim())) })
  const problemsOf = (file: string, rows: GridRow[]): CellProblem[] => sent
    .filter((one) => one.file === file && one.row !== null && one.column !== null && rows[one.row - 2])
    .map((one) => ({ key: rows[one.row! - 2]!.key, column: one.column!, message: one.message }))

  const start = async () => {
    setStarting(true)
    setProblem(null)
    setSent([])
    try {
      await postStart({
        site: about('site'), surveyed_on: about('surveyed_on'), thermographer: about('thermographer'),
        images: sheet(found.images, images), motors: sheet(found.motors, motors)
      })
      forget()
    } catch (error) {
      setStarting(false)
      setProblem(sentenceOf(error))
      if (error instanceof Refusal) {
        const problems = (error.answer.problems ?? []) as SentProblem[]
        setSent(problems)
        if (problems.some(({ column }) => [...kMoreImageColumns, ...kMoreMotorColumns].some(({ id }) => id === column))) setMore(true)
        if (error.status === 412) reload()
      }
    }
  }

  const unnamed = images.filter(({ cells }) => !cells.motor || !cells.component).length
  const imageColumns = [...kImageColumns, ...(found.undeclared.length || more ? kDeclared : []), ...(more ? kMoreImageColumns : [])]
  const motorColumns = [...kMotorColumns, ...(more ? kMoreMotorColumns : [])]
  return (
    <main class="start">
      <Heading title={`Start a survey in ${found.name}`} />
      <p>This folder holds no survey yet. Bring the camera's images, name the motor and the component of each, and start:
        survey.json, images.csv and motors.csv are written beside them. Cells that you leave blank can be filled in later.</p>
      <Bringing arrived={reload} />
      {found.left_out.length > 0 && <ul class="notice">
        {found.left_out.map((one) => <li key={one.file}>{sentenceOf(new Refusal(0, one))}</li>)}</ul>}
      <h2>The survey</h2>
      <div class="actions">{aboutField('site', 'Site')}{aboutField('surveyed_on', 'Day', '2026-03-04')}{aboutField('thermographer', 'Thermographer')}</div>
      <h2>{counted(new Set(found.images.rows.map(([file]) => file)).size, 'image')}</h2>
      {images.length === 0
        ? <p>No image is here yet.</p>
        : <>
          <p role="status">{unnamed ? `${counted(unnamed, 'row')} without motor or component: such a row is not used.` : 'Every image has a motor and a component.'}</p>
          {found.undeclared.length > 0 && <p>{counted(found.undeclared.length, 'image')} do not say what the stored numbers
            mean: scale, offset and unit are told by the camera's program.</p>}
          {found.dated_by_folder.length > 0 && <p class="aside">{counted(found.dated_by_folder.length, 'image')} are dated by when the
            file was written: look whether that is when they were taken.</p>}
          <p><label><input type="checkbox" checked={more} onChange={(event) => setMore(event.currentTarget.checked)} /> Show all columns</label></p>
          <Grid name="Images" first="Image" columns={imageColumns} rows={images} set={setCells('images')}
            problems={problemsOf('images.csv', images)} />
          <h2>{counted(motors.length, 'motor')}</h2>
          {motors.length > 0 && <Grid name="Motors" first="Motor" columns={motorColumns} rows={motors} set={setCells('motors')}
            problems={problemsOf('motors.csv', motors)} />}
        </>}
      {problem && <p class="notice" role="alert">{problem}</p>}
      {sent.filter(({ column }) => column === null || column === 'surveyed_on').map(({ file, message }) =>
        <p key={message} class="problem">{file}: {message}</p>)}
      <p class="actions"><button type="button" class="main" disabled={isStarting || images.length === 0} onClick={() => void start()}>Start the survey</button></p>
    </main>
  )
}
