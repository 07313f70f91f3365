// Numbers as people read them. Nothing is worked out here.

const kMissing = '–'

export const decimals = (value: number, places: number) => {
  const text = value.toFixed(places)
  return /^-0\.?0*$/.test(text) ? text.slice(1) : text.replace('-', '\u2212')
}

export function degrees(value: number | null | undefined, places = 1) {
  return value == null ? kMissing : `${decimals(value, places)} °C`
}

export function kelvins(value: number | null | undefined, u?: number | null) {
  if (value == null) return kMissing
  return u == null ? `${decimals(value, 1)} K` : `${decimals(value, 1)} ± ${decimals(u, 1)} K`
}

export function percent(value: number | null | undefined, places = 1) {
  return value == null ? kMissing : `${decimals(value, places)} %`
}

/** How likely something is, in words. */
export function likelihood(probability: number) {
  if (probability >= 0.95) return 'almost certain'
  if (probability >= 0.8) return 'very likely'
  if (probability >= 0.6) return 'likely'
  return probability >= 0.2 ? 'possible' : 'unlikely'
}

/** A probability as a share; nothing that is worked out is wholly certain. */
export function share(probability: number | null | undefined) {
  if (probability == null) return kMissing
  if (probability > 0.99) return 'over 99 %'
  return probability < 0.01 ? 'under 1 %' : `${decimals(100 * probability, 0)} %`
}

const kOhmUnits: [number, string][] = [[1e6, 'MΩ'], [1e3, 'kΩ'], [1, 'Ω'], [1e-3, 'mΩ'], [1e-6, 'µΩ']]

export function ohms(value: number | null | undefined) {
  if (value == null) return kMissing
  const [size, name] = kOhmUnits.find(([from]) => Math.abs(value) >= from) ?? kOhmUnits[4]!
  return `${Number((value / size).toPrecision(3))} ${name}`.replace('-', '\u2212')
}

export const watts = (value: number) => (Math.abs(value) >= 1000
  ? `${Number((value / 1000).toPrecision(2))} kW` : `${Number(value.toPrecision(2))} W`)

/** A number that was typed with a decimal comma gets its point; other texts stay. */
export const withPoint = (text: string) => (/^[+-]?\d*,\d+$/.test(text) ? text.replace(',', '.') : text)

/** What a person typed into a number field: a decimal comma is understood. */
export function typed(text: string): number | null {
  const value = Number(text.trim().replace(',', '.'))
  return text.trim() && Number.isFinite(value) ? value : null
}

export const counted = (count: number, noun: string) => `${count.toLocaleString('en')} ${noun}${count === 1 ? '' : 's'}`
