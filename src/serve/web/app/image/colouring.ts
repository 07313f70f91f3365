// From temperatures to colours: maps of open libraries, and the range that they span.
import { interpolateCividis, interpolateInferno } from 'd3-scale-chromatic'
import type { Temperatures } from '../server'

export type MapName = 'inferno' | 'cividis' | 'grey'
export const kMaps: MapName[] = ['inferno', 'cividis', 'grey']

export interface Range {
  low_c: number
  high_c: number
}

const kShades = 256
const kMostSorted = 200_000 // pixels that decide a percentile
const kNoData = 0xff808080

function rgbOf(name: MapName, part: number): [number, number, number] {
  if (name === 'grey') return [part * 255, part * 255, part * 255]
  const colour = (name === 'inferno' ? interpolateInferno : interpolateCividis)(part)
  if (colour.startsWith('#')) {
    const value = parseInt(colour.slice(1), 16)
    return [value >> 16, (value >> 8) & 255, value & 255]
  }
  return (colour.match(/\d+/g) ?? []).map(Number) as [number, number, number]
}

const tables = new Map<MapName, Uint32Array>()

/** 256 shades as a canvas holds them: alpha, blue, green, red from the highest byte down. */
export function shadesOf(name: MapName): Uint32Array {
  let table = tables.get(name)
  if (!table) {
    table = Uint32Array.from({ length: kShades }, (_, i) => {
      const [r, g, b] = rgbOf(name, i / (kShades - 1)).map(Math.round) as [number, number, number]
      return (255 << 24) | (b << 16) | (g << 8) | r
    })
    tables.set(name, table)
  }
  return table
}

export function cssShade(name: MapName, part: number): string {
  const [r, g, b] = rgbOf(name, part).map(Math.round)
  return `rgb(${r},${g},${b})`
}

/** The temperatures that leave `left_out_pct` of the pixels out at each end. */
export function rangeOf({ celsius }: Temperatures, left_out_pct: number): Range | null {
  const step = Math.max(1, Math.floor(celsius.length / kMostSorted))
  const values: number[] = []
  for (let i = 0; i < celsius.length; i += step) {
    const value = celsius[i] as number
    if (Number.isFinite(value)) values.push(value)
  }
  if (!values.length) return null
  const sorted = Float32Array.from(values).sort()
  const cut = Math.floor((sorted.length - 1) * Math.min(left_out_pct, 49) / 100)
  return apart({ low_c: sorted[cut] as number, high_c: sorted[sorted.length - 1 - cut] as number })
}

export function apart({ low_c, high_c }: Range): Range {
  return high_c - low_c >= 0.1 ? { low_c, high_c } : { low_c: low_c - 0.05, high_c: low_c + 0.05 }
}

export const together = (ranges: Range[]): Range => ({
  low_c: Math.min(...ranges.map(({ low_c }) => low_c)),
  high_c: Math.max(...ranges.map(({ high_c }) => high_c))
})

export function paint(canvas: HTMLCanvasElement, image: Temperatures, { low_c, high_c }: Range, name: MapName) {
  const shades = shadesOf(name)
  const { width, height, celsius } = image
  canvas.width = width
  canvas.height = height
  const context = canvas.getContext('2d')
  if (!context) return
  const pixels = context.createImageData(width, height)
  const words = new Uint32Array(pixels.data.buffer)
  const scale = (kShades - 1) / (high_c - low_c)
  for (let i = 0; i < words.length; ++i) {
    const shade = ((celsius[i] as number) - low_c) * scale
    words[i] = shade === shade ? (shades[shade < 0 ? 0 : shade > kShades - 1 ? kShades - 1 : shade | 0] as number) : kNoData
  }
  context.putImageData(pixels, 0, 0)
}

/** What the image declares at the pixel nearest to a point. */
export function temperatureAt({ width, height, celsius }: Temperatures, x: number, y: number): number | null {
  const column = Math.round(x)
  const row = Math.round(y)
  if (column < 0 || row < 0 || column >= width || row >= height) return null
  const value = celsius[row * width + column] as number
  return Number.isFinite(value) ? value : null
}
