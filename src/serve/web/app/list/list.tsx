// A list of any length: ordered by its column titles, walked with j, k and Enter.
import type { ComponentChildren } from 'preact'
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks'
import { useKeys } from '../keys'
import { go } from '../route'
import { nextOrder, type Column, type Order } from './columns'
import { useWindow } from './window'

export interface ListColumn<Row> extends Column<Row> {
  cell: (row: Row) => ComponentChildren
  wideOnly?: boolean
}

export interface ListProps<Row> {
  name: string
  className: string
  columns: ListColumn<Row>[]
  rows: Row[]
  order: Order | null
  setOrder: (order: Order | null) => void
  keyOf: (row: Row) => string
  pathOf: (row: Row) => string
  levelOf: (row: Row) => number
  tall_px: number // a row's height on a wide screen, and on a telephone
  card_px: number
}

// Where one was in each list, so that coming back finds the place again.
const lastPlace = new Map<string, string>()

export function useMedia(text: string) {
  const [query] = useState(() => matchMedia(text))
  const [matches, setMatches] = useState(query.matches)
  useEffect(() => {
    const changed = () => setMatches(query.matches)
    query.addEventListener('change', changed)
    return () => query.removeEventListener('change', changed)
  }, [])
  return matches
}

export const useNarrow = () => useMedia('(max-width: 52rem)')

function Head<Row>({ columns, order, setOrder }: Pick<ListProps<Row>, 'columns' | 'order' | 'setOrder'>) {
  return (
    <div class="list-head" role="rowgroup">
      <div class="list-row" role="row" aria-rowindex={1}>
        {columns.map((column) => {
          const active = order?.column === column.id
          const way = active ? (order.descending ? 'descending' : 'ascending') : 'none'
          return (
            <div key={column.id} role="columnheader" aria-sort={way} class={`at-${column.id}`}>
              <button type="button" onClick={() => setOrder(nextOrder(column, order))}>
                {column.title}
                <span class="order" aria-hidden="true">{active ? (order.descending ? '▼' : '▲') : ''}</span>
              </button>
            </div>
          )
        })}
      </div>
    </div>
  )
}

export function List<Row>(props: ListProps<Row>) {
  const { rows, columns, keyOf, pathOf } = props
  const narrow = useNarrow()
  const row_px = narrow ? props.card_px : props.tall_px
  const { list, window, reveal } = useWindow(rows.length, row_px)
  const [current, setCurrent] = useState(() =>
    Math.max(0, rows.findIndex((row) => keyOf(row) === lastPlace.get(props.name))))
  const wantsFocus = useRef(false)
  const at = Math.min(current, rows.length - 1)
  const place = useRef(at) // ahead of what is drawn while keys come fast
  place.current = at

  const focusRow = () => {
    const row = list.current?.querySelector<HTMLElement>(`[data-index="${place.current}"]`)
    if (!row) return
    wantsFocus.current = false
    row.focus({ preventScroll: true })
  }
  const move = (to: number) => {
    const next = Math.max(0, Math.min(rows.length - 1, to))
    place.current = next
    wantsFocus.current = true
    setCurrent(next)
    reveal(next)
    focusRow() // a row that is not there yet gets the focus when it is drawn
  }
  const open = (row: Row | undefined) => {
    if (row === undefined) return
    lastPlace.set(props.name, keyOf(row))
    go(pathOf(row))
  }
  useLayoutEffect(() => {
    if (at > 0) reveal(at)
  }, [])
  useLayoutEffect(() => {
    if (wantsFocus.current) focusRow()
  })
  // The first key leads into the list, the next ones along it.
  const walking = () => list.current?.contains(document.activeElement)
  useKeys([
    { key: 'j', does: 'next row', run: () => move(walking() ? place.current + 1 : place.current) },
    { key: 'k', does: 'row before', run: () => move(place.current - 1) },
    { key: 'Enter', does: 'open the row', run: () => open(rows[place.current]) }
  ])
  const arrows = (event: KeyboardEvent) => {
    const here = place.current
    const page = Math.max(1, Math.floor(innerHeight / row_px) - 3)
    const to: Record<string, number> = {
      ArrowDown: here + 1, ArrowUp: here - 1, PageDown: here + page, PageUp: here - page, Home: 0, End: rows.length - 1
    }
    const target = to[event.key]
    if (target === undefined || event.ctrlKey || event.metaKey || event.altKey) return
    event.preventDefault()
    move(target)
  }

  return (
    <div class={`list ${props.className}`} role="grid" aria-label={props.name} aria-rowcount={rows.length + 1}>
      <Head columns={columns} order={props.order} setOrder={props.setOrder} />
      <div class="list-body" role="rowgroup" ref={list} style={{ height: `${window.height}px` }} onKeyDown={arrows}>
        {rows.slice(window.from, window.to).map((row, i) => {
          const index = window.from + i
          return (
            <div key={keyOf(row)} role="row" data-index={index} aria-rowindex={index + 2} tabIndex={index === at ? 0 : -1}
              class={`list-row level-${props.levelOf(row)}${index === at ? ' current' : ''}`}
              style={{ height: `${row_px}px`, top: `${index * row_px}px` }}
              onFocus={() => setCurrent(index)}
              onClick={(event) => (event.target as Element).closest('a, button') || open(row)}
              onKeyDown={(event) => event.key === 'Enter' && event.target === event.currentTarget && open(row)}>
              {columns.map((column) => (
                <div key={column.id} role="gridcell" class={`at-${column.id}`} data-label={column.title}>{column.cell(row)}</div>
              ))}
            </div>
          )
        })}
      </div>
    </div>
  )
}
