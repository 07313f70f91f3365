// Ordering and filtering of list rows, the same for every list.

export type Cell = string | number | null

export interface Column<Row> {
  id: string
  title: string
  value: (row: Row) => Cell
  descendingFirst?: boolean
}

const collator = new Intl.Collator('en', { numeric: true })

export interface Order {
  column: string
  descending: boolean
}

/** The order of a list that has none of its own. */
export const kWorstFirst: Order = { column: 'band', descending: true }

export const orderOf = (text: string): Order | null =>
  text ? { column: text.replace(/^-/, ''), descending: text.startsWith('-') } : null
export const textOf = (order: Order | null) => (order ? (order.descending ? '-' : '') + order.column : '')

/** A click on a column's title: its own first direction, the other one, the list's own order. */
export function nextOrder<Row>(column: Column<Row>, order: Order | null): Order | null {
  const first = { column: column.id, descending: column.descendingFirst ?? false }
  if (order?.column !== column.id) return first
  return order.descending === first.descending ? { ...first, descending: !first.descending } : null
}

function compare(a: Cell, b: Cell): number {
  if (typeof a === 'number' && typeof b === 'number') return a - b
  return collator.compare(String(a), String(b))
}

/** Rows without a value stand last whatever the direction; equal ones keep the list's own order. */
export function ordered<Row>(rows: Row[], columns: Column<Row>[], order: Order | null): Row[] {
  const column = order && columns.find(({ id }) => id === order.column)
  if (!column) return rows
  const keyed = rows.map((row) => ({ row, cell: column.value(row) }))
  const sign = order.descending ? -1 : 1
  keyed.sort((a, b) => {
    if (a.cell === null || b.cell === null) return Number(a.cell === null) - Number(b.cell === null)
    return sign * compare(a.cell, b.cell)
  })
  return keyed.map(({ row }) => row)
}

export function matching<Row>(
  rows: Row[], exact: Partial<Record<keyof Row, string>>, words: string, texts: (keyof Row)[]
): Row[] {
  const wanted = Object.entries(exact).filter(([, value]) => value) as [keyof Row, string][]
  const needles = words.toLowerCase().split(/\s+/).filter(Boolean)
  if (!wanted.length && !needles.length) return rows
  return rows.filter((row) => {
    if (!wanted.every(([name, value]) => String(row[name]) === value)) return false
    const hay = texts.map((name) => row[name] ?? '').join(' ').toLowerCase()
    return needles.every((needle) => hay.includes(needle))
  })
}

const kMostChoices = 200 // more than that nobody picks from; the words find them

/** The values of a column to choose from; none where there are too many. */
export function choices<Row>(rows: Row[], name: keyof Row): string[] {
  const values = new Set<string>()
  for (const row of rows) {
    if (row[name] != null) values.add(String(row[name]))
    if (values.size > kMostChoices) return []
  }
  return [...values].sort(collator.compare)
}
