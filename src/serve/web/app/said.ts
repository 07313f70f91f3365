// The server's "no" in the words of whoever reads the page: what the forms call things, not what tables and programs do.
import type { ErrorBody } from './wire'

const kTitles: Record<string, string> = {
  test: 'Test', taken_at: 'Taken', place: 'Where the leads were', unit: 'Unit', note: 'Note', value_1: 'First value', value_2: 'Second value',
  value_3: 'Third value', value_1_again: 'First pair once more', temperature_c: 'Winding temperature', resolution: 'Resolution of the meter', lead_ohm: 'Resistance of the leads',
  lead_u_ohm: 'Uncertainty of the leads', meter_u_pct: 'Uncertainty of the meter'
}

/** The columns that a form has other names for: "A–B" for value_1. */
export type Titles = Record<string, string>

function titleOf(column: string, titles: Titles) {
  const of_mark = /^marks\[(\d+)\]\.(?:.*\.)?(\w+)/.exec(column)
  if (of_mark) return `Mark ${Number(of_mark[1]) + 1}, ${of_mark[2]!.replace(/_/g, ' ')}`
  const known = titles[column] ?? kTitles[column]
  if (known) return known
  const words = column.replace(/_(c|k|a|m|min|pct|mrad|ohm|m_s)$/, '').replace(/_/g, ' ')
  return words.charAt(0).toUpperCase() + words.slice(1)
}

/** What was typed, and what would do; nothing of cells and rows, which nobody has written yet. */
function ofTyped(message: string) {
  return message.replace(/; (correct the cell; the row|the mark) is left out until .*$/, '')
    .replace(/found "+(.*?)"+(?=, expected|;|$)/, 'found “$1”')
    .replace(/^the cell cannot be used: found (“.*?”), expected/, '$1 is not')
    .replace(/^the cell is empty: expected/, 'is empty; it takes')
    .replace(/^(.*): found (“.*?”), expected/, '$2: $1; it takes')
    .replace(/[a-z]+(_[a-z]+)+/g, (name) => name.replace(/_/g, ' '))
}

// 400, 405, 415, 428: a page of another version than the server's.
const kOfTheProgram = [400, 405, 415, 428]

/** Everything a person needs, in one line. */
export function said(status: number, body: Partial<ErrorBody>, titles: Titles = {}): string {
  if (kOfTheProgram.includes(status)) return 'This page and the server do not fit together any more. Load the page again; what you typed is kept.'
  if (status === 401) return 'The server was started anew and asks who you are: open its address with the token once more. What you typed is kept.'
  if (status === 413) return 'This is more than the server takes at once. Nothing was saved.'
  const { file, row, column, found, expected, mend } = body
  const message = body.message || 'the server could not do this, and did not say why'
  if (status === 422 && column) {
    const asked = [found && `found “${found}”`, expected && `expected ${expected}`].filter(Boolean).join(', ')
    const also = mend && mend !== 'nothing was saved' ? `; ${mend}` : ''
    return `${titleOf(column, titles)}: ${ofTyped(asked ? `${message}: ${asked}` : message)}${also}`
  }
  const place = [file, row && `row ${row}`].filter(Boolean).join(', ')
  const more = [found && `found ${found}`, expected && `expected ${expected}`, mend].filter(Boolean).join('; ')
  return [place, message].filter(Boolean).join(': ') + (more ? ` (${more})` : '')
}
