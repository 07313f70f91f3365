import { Heading } from '../heading'
import { BandTag, bandName, levelOf, verdictTitle } from '../meaning'
import { counted } from '../numbers'
import { useResource } from '../resource'
import { benchPath, motorPath } from '../route'
import { getRows } from '../server'
import { useSurvey } from '../survey_context'
import { Waiting } from '../waiting'
import type { MotorRow, PolicyBand } from '../wire'
import { choices, kWorstFirst, matching, ordered } from './columns'
import { Filters } from './filters'
import { Fold } from './fold'
import { List, type ListColumn } from './list'
import { useListState } from './list_state'
import { NotSeen } from './not_seen'

function columnsOf(bands: PolicyBand[]): ListColumn<MotorRow>[] {
  return [
    {
      id: 'band', title: 'Band', value: (row) => bands.findIndex(({ id }) => id === row.band), descendingFirst: true,
      cell: (row) => <BandTag band={row.band} />
    },
    {
      id: 'motor', title: 'Motor', value: (row) => row.motor,
      cell: (row) => <><a href={motorPath(row.motor)} tabIndex={-1}>{row.motor}</a>
        <span class="aside line">{row.description}</span>
        {row.bench_rows > 0 && <a class="line" href={benchPath(row.motor)} tabIndex={-1}>Rotor and acceptance</a>}</>
    },
    { id: 'verdict', title: 'Verdict', value: (row) => verdictTitle(row.verdict), cell: (row) => verdictTitle(row.verdict) },
    {
      id: 'images', title: 'Images', value: (row) => row.images, descendingFirst: true,
      cell: (row) => <>{counted(row.images, 'image')}
        <span class="aside line">{row.unmarked > 0 ? `${row.unmarked} without marks` : counted(row.components, 'component')}</span></>
    },
    {
      id: 'readings', title: 'Readings', value: (row) => row.readings, descendingFirst: true,
      cell: (row) => (row.readings ? counted(row.readings, 'reading') : <span class="aside">no reading</span>)
    }
  ]
}

export function Motors() {
  const { survey, revision } = useSurvey()
  const { bands } = survey.policy
  const { data, error } = useResource('motors', () => getRows<MotorRow>('/api/motors'), revision)
  const state = useListState(['band', 'verdict'])
  if (!data) return <><Heading title="Motors" /><Waiting error={error} what="The motors are being read" /></>
  const columns = columnsOf(bands)
  const order = state.order ?? kWorstFirst
  const rows = ordered(matching(data, state.chosen, state.words, ['motor', 'description', 'verdict']), columns, order)
  return (
    <>
      <Heading title="Motors" />
      <NotSeen />
      <Fold title="Find and filter" isOpen={state.clear !== null}>
      <Filters words={state.words} hint="motor or description" setWords={state.setWords} choose={state.choose}
        shown={`${rows.length === data.length ? '' : `${rows.length} of `}${counted(data.length, 'motor')}`} clear={state.clear}
        choices={[
          {
            name: 'band', title: 'Band', value: state.chosen.band ?? '',
            options: choices(data, 'band').map((value) => ({ value, title: bandName(bands, value) }))
          },
          {
            name: 'verdict', title: 'Verdict', value: state.chosen.verdict ?? '',
            options: choices(data, 'verdict').map((value) => ({ value, title: verdictTitle(value) }))
          }
        ]} />
      </Fold>
      {rows.length
        ? <List name="Motors" className="motors" columns={columns} rows={rows} order={order} setOrder={state.setOrder}
            keyOf={(row) => row.motor} pathOf={(row) => motorPath(row.motor)} levelOf={(row) => levelOf(bands, row.band)}
            tall_px={60} card_px={124} />
        : <p>No motor fits these filters.</p>}
    </>
  )
}
