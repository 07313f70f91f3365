// A table to fill by hand: a row above it fills every blank cell of its column.
import type { ComponentChildren } from 'preact'

export interface GridRow {
  key: string
  title: ComponentChildren
  cells: Record<string, string>
}

export interface CellProblem {
  key: string
  column: string
  message: string
}

export function Grid(props: {
  name: string
  first: string
  columns: { id: string; title: string; words?: string[] }[]
  rows: GridRow[]
  problems: CellProblem[]
  set: (keys: string[], column: string, text: string) => void
}) {
  const { name, columns, rows, problems, set } = props
  const fill = (column: string, text: string) => {
    const blank = rows.filter(({ cells }) => !cells[column]).map(({ key }) => key)
    if (text && blank.length) set(blank, column, text)
  }
  return (
    <div class="scroll" tabIndex={0} role="region" aria-label={name}>
      <table class="grid">
        <caption class="unseen">{name}</caption>
        <thead>
          <tr><th scope="col">{props.first}</th>{columns.map(({ id, title }) => <th key={id} scope="col">{title}</th>)}</tr>
          {rows.length > 1 && <tr><th scope="row">Fill blank cells</th>
            {columns.map(({ id, title, words }) => (
              <td key={id}><input aria-label={`${title}, all blank cells`} list={words && `words-${id}`}
                onChange={(event) => {
                  fill(id, event.currentTarget.value.trim())
                  event.currentTarget.value = ''
                }} /></td>
            ))}</tr>}
        </thead>
        <tbody>
          {rows.map(({ key, title, cells }) => (
            <tr key={key}>
              <th scope="row">{title}</th>
              {columns.map(({ id, title: column, words }) => {
                const wrong = problems.find((problem) => problem.key === key && problem.column === id)
                return (
                  <td key={id}>
                    <input aria-label={`${column}, ${key}`} value={cells[id] ?? ''} list={words && `words-${id}`}
                      {...(wrong ? { 'aria-invalid': true } : {})}
                      onInput={(event) => set([key], id, event.currentTarget.value)} />
                    {wrong && <span class="problem line">{wrong.message}</span>}
                  </td>
                )
              })}
            </tr>
          ))}
        </tbody>
      </table>
      {columns.map(({ id, words }) => words &&
        <datalist key={id} id={`words-${id}`}>{words.map((word) => <option key={word} value={word} />)}</datalist>)}
    </div>
  )
}
