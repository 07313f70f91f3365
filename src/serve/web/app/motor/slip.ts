// Slips of a typing hand: a wrong unit, a digit or a point in the wrong place. Asked about, never corrected unasked.
import { typed } from '../numbers'
import type { Reading, Survey } from '../wire'

const kInBase: Record<string, number> = { ohm: 1, mohm: 1e-3, uohm: 1e-6, a: 1, ka: 1e3, v: 1, kv: 1e3, mv: 1e-3 }
const kStriking = 5 // times; a fault seldom does that to all three values

export interface Slip {
  question: string
  /** A unit with which the values would be like the earlier ones. */
  unit: string | null
}

const valuesOf = ({ value_1, value_2, value_3 }: Reading) => [value_1, value_2, value_3].map((text) => typed(text ?? ''))
const middleOf = (values: number[]) => [...values].sort((a, b) => a - b)[1] as number

function complete(reading: Reading): number[] | null {
  const values = valuesOf(reading)
  return values.every((value): value is number => value !== null && value > 0) ? values : null
}

function timesText(ratio: number) {
  const times = ratio >= 1 ? ratio : 1 / ratio
  return `${Number(times.toPrecision(2))} times ${ratio >= 1 ? 'as high as' : 'lower than'}`
}

export function slipOf(survey: Survey, reading: Reading, rows: Reading[], names: [string, string, string]): Slip | null {
  const values = complete(reading)
  const base = kInBase[reading.unit.toLowerCase()]
  if (!values || base === undefined) return null
  const alike = [...rows].reverse().filter((row) => row.test === reading.test && complete(row) && row.unit.toLowerCase() in kInBase)
  const earlier = alike.find((row) => row.place === reading.place) ?? (reading.test.startsWith('joint') ? undefined : alike[0])
  if (earlier) {
    const now = middleOf(values)
    const then = middleOf(complete(earlier) as number[]) * (kInBase[earlier.unit.toLowerCase()] as number)
    const ratio = now * base / then
    if (ratio >= kStriking || ratio <= 1 / kStriking) {
      const fits = (unit: string) => {
        const other = now * (kInBase[unit] ?? NaN) / then
        return other < kStriking && other > 1 / kStriking
      }
      return {
        question: `This is ${timesText(ratio)} the earlier reading${earlier.taken_at ? ` of ${earlier.taken_at}` : ''} (${earlier.value_1}, ${earlier.value_2}, ${earlier.value_3} ${earlier.unit}). Are the unit and the decimal point right?`,
        unit: (survey.units[reading.test] ?? []).find((unit) => unit !== reading.unit.toLowerCase() && fits(unit)) ?? null
      }
    }
  }
  // One value that is ten or a thousand times the two others, which agree.
  for (let i = 0; i < 3; ++i) {
    const others = values.filter((_, j) => j !== i) as [number, number]
    const mean = (others[0] + others[1]) / 2
    const ratio = (values[i] as number) / mean
    if (Math.abs(others[0] - others[1]) < 0.2 * mean && (ratio >= 8 || ratio <= 1 / 8)) {
      return { question: `${names[i]} is ${timesText(ratio)} the two others. Is its decimal point right?`, unit: null }
    }
  }
  return null
}
