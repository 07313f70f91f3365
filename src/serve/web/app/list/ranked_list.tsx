import { useMemo } from 'preact/hooks'
import { Heading } from '../heading'
import { BandTag, bandName, levelOf, PhaseSign, verdictTitle } from '../meaning'
import { counted, degrees, kelvins, likelihood } from '../numbers'
import { useResource } from '../resource'
import { imagePath, motorPath } from '../route'
import { getRows, thumbnailPath } from '../server'
import { useShownRanks } from '../shown'
import { useSurvey } from '../survey_context'
import { Waiting } from '../waiting'
import type { FindingRow, Survey } from '../wire'
import { Answer, kDecisions } from './answer'
import { Asides } from './asides'
import { choices, matching, ordered } from './columns'
import { Filters } from './filters'
import { Fold } from './fold'
import { List, useMedia, type ListColumn } from './list'
import { useListState } from './list_state'
import { Meanings } from './meanings'
import { NotSeen } from './not_seen'
import { RiseStrip } from './rise_strip'

function Rise({ row, survey }: { row: FindingRow; survey: Survey }) {
  if (row.rise_over_like_c === null) return <span class="aside">no like lug</span>
  return (
    <>
      <span class="number">{kelvins(row.rise_over_like_c, row.rise_over_like_u_c)}</span>
      <RiseStrip bands={survey.policy.bands} rise_k={row.rise_over_like_c} u_k={row.rise_over_like_u_c} />
    </>
  )
}

/** How certain the cause is; how urgent the case, says the order. */
function Sure({ row }: { row: FindingRow }) {
  if (row.cause === null || row.cause_probability === null) return <>{row.image ? 'cause not known yet' : 'by the readings alone'}</>
  return <><strong>{likelihood(row.cause_probability)}</strong>: {row.cause}{row.likelier && `; likelier: ${row.likelier}`}</>
}

function columnsOf(survey: Survey): ListColumn<FindingRow>[] {
  const bands = survey.policy.bands
  return [
    {
      id: 'rank', title: 'No.', value: (row) => row.case,
      cell: (row) => <><span class="rank">{row.case}</span>{!row.leads_case && <span class="aside line">same cause</span>}</>
    },
    {
      id: 'picture', title: 'Image', value: (row) => row.image,
      cell: (row) => row.image &&
        <a href={imagePath(row.image)} tabIndex={-1} aria-label={`Image ${row.image}`}><img src={thumbnailPath(row.image)} alt="" loading="lazy" decoding="async" /></a>
    },
    {
      id: 'band', title: 'Band', value: (row) => bands.findIndex(({ id }) => id === row.band), descendingFirst: true,
      cell: (row) => <BandTag band={row.band} />
    },
    {
      id: 'motor', title: 'Motor', value: (row) => row.motor,
      cell: (row) => <><a href={motorPath(row.motor)} tabIndex={-1}>{row.motor}</a>
        <span class="aside line">{row.description}</span></>
    },
    {
      id: 'where', title: 'Where', value: (row) => row.component,
      cell: (row) => <>{row.component ?? 'whole circuit'}
        <span class="line"><PhaseSign phase={row.phase} /> {row.phase_name && `phase ${row.phase_name}`}
          {row.lug && `, lug ${row.lug}`}{row.verdict === 'unmarked_hot_spot' && 'outside the marks'}</span>
        {row.unconfirmed > 0 && <span class="aside line">unconfirmed marks</span>}</>
    },
    {
      id: 'like', title: 'Over like', value: (row) => row.rise_over_like_c, descendingFirst: true,
      cell: (row) => <Rise row={row} survey={survey} />
    },
    {
      id: 'rated', title: 'At rated load', value: (row) => row.projected_rise_c, descendingFirst: true,
      cell: (row) => <span class="number">{kelvins(row.projected_rise_c)}</span>
    },
    {
      id: 'temperature', title: 'Lug', value: (row) => row.temperature_c, descendingFirst: true,
      cell: (row) => <><span class="number">{degrees(row.temperature_c)}</span>
        <span class="aside line">{row.rise_over_air_c !== null && `${kelvins(row.rise_over_air_c)} over air`}</span></>
    },
    {
      id: 'verdict', title: 'Verdict', value: (row) => verdictTitle(row.verdict),
      cell: (row) => verdictTitle(row.verdict)
    },
    {
      id: 'do', title: 'Next step', value: (row) => kDecisions.findIndex(({ id }) => id === row.decision), cell: (row) => row.do
    },
    {
      id: 'sure', title: 'How sure', value: (row) => row.cause_probability, descendingFirst: true, cell: (row) => <Sure row={row} />
    }
  ]
}

function Tallies({ survey, choose }: { survey: Survey; choose: (band: string) => void }) {
  const { bands } = survey.policy
  const { images } = survey.counts
  return (
    <ul class="tallies">
      {[...bands].reverse().map(({ id, name }) => (
        <li key={id} class={`level-${levelOf(bands, id)}`}>
          <button type="button" onClick={() => choose(id)}><strong>{survey.counts.bands[id] ?? 0}</strong> {name}</button>
        </li>
      ))}
      <li><a href="/images">{counted(images.measured, 'image')} measured</a></li>
      {images.unconfirmed > 0 && <li><a href="/review">{images.unconfirmed} with unconfirmed marks</a></li>}
    </ul>
  )
}

/** What an empty list means; nothing where nothing was looked at. */
function nothingFound({ counts, progress }: Survey) {
  const { measured, unmarked, rejected } = counts.images
  if (progress.done < progress.total) return 'No finding yet: the images are being measured.'
  if (!measured) return 'Nothing is measured yet, so nothing can be said: mark the lugs on the images first.'
  return unmarked || rejected
    ? `None of the lugs and readings that were measured reaches a band; ${counted(unmarked + rejected, 'image')} could not tell.`
    : 'No lug and no reading reaches a band.'
}

const kSearched: (keyof FindingRow)[] = ['motor', 'description', 'component', 'lug', 'image', 'verdict']

export function RankedList() {
  const { survey, revision } = useSurvey()
  const { data, error } = useResource('findings', () => getRows<FindingRow>('/api/findings'), revision)
  const state = useListState(['decision', 'band', 'verdict', 'motor', 'component'])
  const slim = useMedia('(max-width: 36rem)')
  const tiny = useMedia('(max-width: 22rem)')
  const { bands } = survey.policy
  const columns = useMemo(() => columnsOf(survey), [survey])
  const kept = useMemo(() => matching(data ?? [], state.chosen, state.words, kSearched), [data, state.chosen, state.words])
  const rows = useMemo(() => ordered(kept, columns, state.order), [kept, columns, state.order])
  useShownRanks(useMemo(() => (kept.length === data?.length ? null : kept.map(({ rank }) => rank)), [kept, data]))
  if (!data) return <><Heading title="Ranked list" /><Waiting error={error} what="The findings are being read" /></>

  const plain = (values: string[]) => values.map((value) => ({ value, title: value }))
  return (
    <>
      <Heading title="Ranked list" />
      <Answer rows={data} choose={(decision) => state.choose('decision', decision)} />
      <NotSeen />
      <Fold title="Find, filter, and what was not judged" isOpen={state.clear !== null}>
      <Tallies survey={survey} choose={(band) => state.choose('band', band)} />
      <Meanings />
      <Asides />
      <Filters words={state.words} hint="motor, component, lug …" setWords={state.setWords} choose={state.choose}
        shown={`${rows.length === data.length ? '' : `${rows.length} of `}${counted(data.length, 'finding')}, ${
          state.order ? 'in an order of your own' : 'the most severe first'}`}
        clear={state.clear}
        choices={[
          {
            name: 'decision', title: 'What to do', value: state.chosen.decision ?? '',
            options: kDecisions.map(({ id, title }) => ({ value: id, title }))
          },
          {
            name: 'band', title: 'Band', value: state.chosen.band ?? '',
            options: [...bands].reverse().map(({ id }) => ({ value: id, title: bandName(bands, id) }))
          },
          {
            name: 'verdict', title: 'Verdict', value: state.chosen.verdict ?? '',
            options: choices(data, 'verdict').map((value) => ({ value, title: verdictTitle(value) }))
          },
          { name: 'motor', title: 'Motor', value: state.chosen.motor ?? '', options: plain(choices(data, 'motor')) },
          { name: 'component', title: 'Component', value: state.chosen.component ?? '', options: plain(choices(data, 'component')) }
        ]} />
      </Fold>
      {rows.length
        ? <List name="Ranked list" className="findings" columns={columns} rows={rows} order={state.order}
            setOrder={state.setOrder} keyOf={(row) => String(row.rank)} pathOf={(row) => motorPath(row.motor)}
            levelOf={(row) => levelOf(bands, row.band)} tall_px={112} card_px={tiny ? 186 : slim ? 166 : 146} />
        : <p>{data.length ? 'No finding fits these filters.' : nothingFound(survey)}</p>}
    </>
  )
}
