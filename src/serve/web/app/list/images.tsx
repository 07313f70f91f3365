import { Heading } from '../heading'
import { BandTag, levelOf } from '../meaning'
import { counted } from '../numbers'
import { useResource } from '../resource'
import { imagePath, motorPath } from '../route'
import { getRows, thumbnailPath } from '../server'
import { useSurvey } from '../survey_context'
import { Waiting } from '../waiting'
import type { ImageRow, PolicyBand } from '../wire'
import { choices, kWorstFirst, matching, ordered } from './columns'
import { Filters } from './filters'
import { Fold } from './fold'
import { List, type ListColumn } from './list'
import { useListState } from './list_state'
import { NotSeen } from './not_seen'

const kStatus: Record<ImageRow['status'], string> = {
  measured: 'measured', unmarked: 'without marks', rejected: 'not measurable'
}

function columnsOf(bands: PolicyBand[]): ListColumn<ImageRow>[] {
  return [
    {
      id: 'picture', title: 'Image', value: (row) => row.file,
      cell: (row) => row.status !== 'rejected' && <img src={thumbnailPath(row.file)} alt="" loading="lazy" decoding="async" />
    },
    {
      id: 'file', title: 'File', value: (row) => row.file,
      cell: (row) => <><a href={imagePath(row.file)} tabIndex={-1}>{row.file}</a><span class="aside line">{row.taken_at}</span></>
    },
    {
      id: 'motor', title: 'Motor', value: (row) => row.motor,
      cell: (row) => <><a href={motorPath(row.motor)} tabIndex={-1}>{row.motor}</a><span class="line">{row.component}</span></>
    },
    {
      id: 'band', title: 'Band', value: (row) => bands.findIndex(({ id }) => id === row.band), descendingFirst: true,
      cell: (row) => row.status === 'measured' && <BandTag band={row.band} />
    },
    {
      id: 'status', title: 'State', value: (row) => row.status,
      cell: (row) => <>{kStatus[row.status]}{row.unconfirmed > 0 && ', unconfirmed'}<span class="aside line">{row.problem ?? counted(row.marks, 'mark')}</span></>
    }
  ]
}

export function Images() {
  const { survey, revision } = useSurvey()
  const { bands } = survey.policy
  const { data, error } = useResource('images', () => getRows<ImageRow>('/api/images'), revision)
  const state = useListState(['status', 'motor', 'component'])
  if (!data) return <><Heading title="Images" /><Waiting error={error} what="The images are being read" /></>
  const columns = columnsOf(bands)
  const kept = matching(data, state.chosen, state.words, ['file', 'motor', 'component', 'problem'])
  const order = state.order ?? kWorstFirst
  const rows = ordered(kept, columns, order)
  const options = (name: 'motor' | 'component') => choices(data, name).map((value) => ({ value, title: value }))
  return (
    <>
      <Heading title="Images" />
      <NotSeen />
      <Fold title="Find and filter" isOpen={state.clear !== null}>
      <Filters words={state.words} hint="file, motor, component …" setWords={state.setWords} choose={state.choose}
        shown={`${rows.length === data.length ? '' : `${rows.length} of `}${counted(data.length, 'image')}`} clear={state.clear}
        choices={[
          {
            name: 'status', title: 'State', value: state.chosen.status ?? '',
            options: Object.entries(kStatus).map(([value, title]) => ({ value, title }))
          },
          { name: 'motor', title: 'Motor', value: state.chosen.motor ?? '', options: options('motor') },
          { name: 'component', title: 'Component', value: state.chosen.component ?? '', options: options('component') }
        ]} />
      </Fold>
      {rows.length
        ? <List name="Images" className="images" columns={columns} rows={rows} order={order} setOrder={state.setOrder}
            keyOf={(row) => row.file} pathOf={(row) => imagePath(row.file)} levelOf={(row) => levelOf(bands, row.band)}
            tall_px={72} card_px={172} />
        : <p>No image fits these filters.</p>}
    </>
  )
}
