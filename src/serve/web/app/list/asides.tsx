// What stands beside the ranked list: what was not judged, and what is warm and even.
import { useState } from 'preact/hooks'
import { bandName } from '../meaning'
import { counted, degrees, kelvins, percent } from '../numbers'
import { useResource } from '../resource'
import { motorPath } from '../route'
import { getRows } from '../server'
import { useSurvey } from '../survey_context'
import type { AsideRow } from '../wire'

const kMostShown = 500

type Cells = [title: string, cell: (row: AsideRow) => string][]

const loadOf = ({ load_a, load_pct }: AsideRow) =>
  load_a === null ? '–' : `${load_a.toFixed(1)} A${load_pct === null ? '' : `, ${percent(load_pct, 0)} of rated`}`

const warmestOf = (row: AsideRow) =>
  `${row.phase_name ? `phase ${row.phase_name}, ` : ''}lug ${row.lug}, ${degrees(row.temperature_c)}`

function Table({ title, meaning, rows, cells }: { title: string; meaning: string; rows: AsideRow[]; cells: Cells }) {
  const [isOpen, setOpen] = useState(false)
  if (!rows.length) return null
  return (
    <details class="meanings" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{title}: {counted(rows.length, 'component')}</summary>
      {isOpen && <table class="stacks" role="table">
        <caption>{meaning}{rows.length > kMostShown && ` The first ${kMostShown}; findings.json holds all.`}</caption>
        <thead role="rowgroup"><tr role="row">{['Motor', ...cells.map(([name]) => name)].map((name) =>
          <th key={name} scope="col" role="columnheader">{name}</th>)}</tr></thead>
        <tbody role="rowgroup">
          {rows.slice(0, kMostShown).map((row, i) => (
            <tr key={i} role="row">
              <th scope="row" role="rowheader"><a href={motorPath(row.motor)}>{row.motor}</a></th>
              {cells.map(([name, cell]) => <td key={name} role="cell" data-label={name}>{cell(row)}</td>)}
            </tr>
          ))}
        </tbody>
      </table>}
    </details>
  )
}

export function Asides() {
  const { survey, revision } = useSurvey()
  const { data } = useResource('asides', () => getRows<AsideRow>('/api/asides'), revision)
  const { bands } = survey.policy
  const of = (list: AsideRow['list']) => (data ?? []).filter((row) => row.list === list)
  return (
    <>
      <Table title="Not judged" meaning="Components on which a fault could not have shown." rows={of('not_judged')} cells={[
        ['Component', (row) => row.component], ['Load', loadOf], ['Why', (row) => row.why],
        ['Image again from', ({ image_again_from_a: a }) => (a === null ? '–' : `${a.toFixed(1)} A`)],
        ['Next step', (row) => row.next_step ?? '–']
      ]} />
      <Table title="Warm and even" meaning="Components that the table gives a band, while nothing tells their lugs apart."
        rows={of('warm_even')} cells={[
          ['Component', (row) => row.component], ['Warmest lug', warmestOf],
          ['Over like', (row) => kelvins(row.rise_over_like_c, row.rise_over_like_u_c)],
          ['Over air', (row) => kelvins(row.rise_over_air_c)],
          ['Band of the table', (row) => bandName(bands, row.band)],
          ['Why it is no finding', (row) => row.why]
        ]} />
    </>
  )
}
