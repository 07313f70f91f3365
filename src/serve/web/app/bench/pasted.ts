// Rows of a sweep as a spreadsheet gives them: three values, or the angle and three values.
import { typed } from '../numbers'

/** One angle, texts as they are typed. */
export interface SweepRow {
  angle: string
  values: [string, string, string]
}

export const emptyRow = (angle = ''): SweepRow => ({ angle, values: ['', '', ''] })
export const isBlank = (row: SweepRow) => row.values.every((value) => !value.trim())
export const isWhole = (row: SweepRow) => !!row.angle.trim() && row.values.every((value) => value.trim())

export interface Pasted {
  rows: SweepRow[]
  /** Of each row that has another number of values, by its place: why. */
  odd: Map<number, string>
  header: boolean // a line of words above the values was left out
  refused: string | null
}

const isNumber = (text: string) => typed(text) !== null

/** Tab before semicolon before comma: a comma may be a decimal one. */
function delimiterOf(lines: string[]): RegExp {
  if (lines.some((line) => line.includes('\t'))) return /\t/
  if (lines.some((line) => line.includes(';'))) return /;/
  return /,/
}

const kDecimalCommas = 'Commas stand both in the numbers and between them here: paste with tabs or semicolons between the values.'

/** `angleAt` gives the angle of the row at a place where the rows do not say it. */
export function pastedRows(text: string, angleAt: (place: number) => string): Pasted {
  const lines = text.split(/\r\n|\r|\n/).filter((line) => line.trim())
  const delimiter = delimiterOf(lines)
  let cut = lines.map((line) => line.split(delimiter).map((cell) => cell.trim()))
  // A spreadsheet's empty columns at the end say nothing.
  cut = cut.map((cells) => cells.slice(0, cells.length - [...cells].reverse().findIndex((cell) => cell !== '')))
  const header = cut.length > 1 && !cut[0]!.some(isNumber)
  if (header) cut = cut.slice(1)
  if (delimiter.source === ',' && cut.some((cells) => cells.length > 4)) {
    return { rows: [], odd: new Map(), header, refused: kDecimalCommas }
  }
  const odd = new Map<number, string>()
  const rows = cut.map((cells, place): SweepRow => {
    const own = cells.length === 3 ? [angleAt(place), ...cells] : cells
    if (own.length !== 4) odd.set(place, `This line has ${cells.length} cells; expected three values, or the angle and three values. Fill in or clear the cells.`)
    const [angle = '', one = '', two = '', three = ''] = own
    return { angle, values: [one, two, three] }
  })
  return { rows, odd, header, refused: null }
}
