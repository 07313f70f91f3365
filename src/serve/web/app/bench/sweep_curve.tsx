// The curve of the rows that are being typed, in the look of the report's.
import { decimals, typed } from '../numbers'
import type { SweepRow } from './pasted'

const kWidth = 520
const kHeight = 262
const kLeft = 48
const kRight = 440
const kTop = 34
const kBottom = 210
const kLeastReach_pct = 0.1
const kEdge = 0.08 // of the readings' reach, left free above and below
const kTurn_deg = 360
const kLabel = 15

interface Point {
  angle: number
  values: [number, number, number]
}

/** The rows that can be drawn, by angle. */
export function drawable(rows: SweepRow[]): Point[] {
  const points: Point[] = []
  for (const row of rows) {
    const angle = typed(row.angle)
    const [a, b, c] = row.values.map(typed)
    if (angle !== null && a && b && c && a > 0 && b > 0 && c > 0) points.push({ angle, values: [a, b, c] })
  }
  return points.sort((one, other) => one.angle - other.angle)
}

/** 1, 2 or 5 times a power of ten, about four to the span. */
function roundStep(span: number) {
  const wanted = span / 4
  const power = 10 ** Math.floor(Math.log10(wanted))
  return power * ([1, 2, 5, 10].find((times) => times * power >= wanted * 0.999) ?? 10)
}

function ticks(low: number, high: number, step: number) {
  const all: number[] = []
  for (let i = Math.ceil(low / step - 1e-9); i * step <= high + 1e-9 * step; ++i) all.push(i * step)
  return all
}

/** Circle, square, diamond, as everywhere. */
function Shape({ pair, x, y, size }: { pair: number; x: number; y: number; size: number }) {
  const paint = { fill: `var(--phase-${pair + 1})`, stroke: 'var(--ladder-ink)', 'stroke-width': 0.8 }
  if (pair === 0) return <circle cx={x} cy={y} r={size} {...paint} />
  if (pair === 1) return <rect x={x - 0.9 * size} y={y - 0.9 * size} width={1.8 * size} height={1.8 * size} {...paint} />
  const reach = 1.25 * size
  return <path d={`M${x} ${y - reach}l${reach} ${reach}l${-reach} ${reach}l${-reach} ${-reach}z`} {...paint} />
}

const path = (points: [number, number][]) => points.map(([x, y], i) => `${i ? 'L' : 'M'}${x.toFixed(2)} ${y.toFixed(2)}`).join('')

export function SweepCurve({ rows, names, peaks_deg }: { rows: SweepRow[]; names: string[]; peaks_deg: number[][] | null }) {
  const points = drawable(rows)
  const first = points[0]
  if (!first) return <p class="aside curve-waits">The curve begins here with the first row.</p>
  const mean = points.reduce((sum, { values: [a, b, c] }) => sum + a + b + c, 0) / (3 * points.length)
  const off = (value: number) => 100 * (value / mean - 1)
  const all = points.flatMap(({ values }) => values.map(off))
  const low = Math.min(0, ...all)
  const high = Math.max(0, ...all)
  const span = Math.max(high - low, kLeastReach_pct)
  const bottom = low - kEdge * span
  const top = high + kEdge * span
  const yOf = (pct: number) => kBottom - ((pct - bottom) / (top - bottom)) * (kBottom - kTop)
  const from = Math.min(first.angle, 0)
  const to = Math.max(points[points.length - 1]!.angle, from + kTurn_deg)
  const xOf = (angle: number) => kLeft + ((angle - from) / (to - from)) * (kRight - kLeft)
  const step = roundStep(span)
  const places = Math.max(0, -Math.floor(Math.log10(step) + 1e-9))
  const curves = [0, 1, 2].map((pair) => points.map(({ angle, values }): [number, number] => [xOf(angle), yOf(off(values[pair]!))]))
  const every = Math.max(1, Math.floor(points.length / 12))
  let free = kTop - kLabel
  const labels = curves.map((curve, pair) => ({ pair, y: curve[curve.length - 1]![1] })).sort((a, b) => a.y - b.y)
    .map(({ pair, y }) => ({ pair, y: (free = Math.max(y, free + kLabel)) }))
  const peaks = (pair: number) => points.filter(({ angle }) => peaks_deg?.[pair]?.includes(angle))
    .map(({ angle, values }): [number, number] => [xOf(angle), yOf(off(values[pair]!))])
  const ink = 'var(--ladder-ink)'
  const muted = 'var(--ladder-muted)'
  return (
    <svg class="rotor" role="img" aria-label={`The curve of ${points.length} angles`} viewBox={`0 0 ${kWidth} ${kHeight}`} width="100%" font-family="inherit" fill={ink}>
      {ticks(bottom, top, step).map((tick) => {
        const zero = Math.abs(tick) < step / 2
        return (
          <g key={tick}>
            <path d={`M${kLeft} ${yOf(tick)}H${kRight}`} stroke={muted} stroke-opacity={zero ? 0.9 : 0.3} stroke-width={zero ? 1 : 0.6} />
            <text x={kLeft - 6} y={yOf(tick) + 3.5} text-anchor="end" font-size="11">{decimals(tick, places)}</text>
          </g>
        )
      })}
      <text x={kLeft - 6} y={kTop - 8} text-anchor="end" font-size="11" font-weight="600">%</text>
      {ticks(from, to, to - from > 1.5 * kTurn_deg ? 180 : 90).map((tick) => (
        <g key={tick}>
          <path d={`M${xOf(tick)} ${kBottom}v4`} stroke={muted} />
          <text x={xOf(tick)} y={kBottom + 16} text-anchor="middle" font-size="11">{decimals(tick, 0)}°</text>
        </g>
      ))}
      {curves.map((curve, pair) => (
        <g key={pair} fill="none">
          <path class="sweep-pair" d={path(curve)} stroke={`var(--phase-${pair + 1})`} stroke-width="1.2" />
          {curve.filter((_, i) => i >= Math.floor((pair * every) / 3) && (i - Math.floor((pair * every) / 3)) % every === 0)
            .map(([x, y]) => <Shape key={x} pair={pair} x={x} y={y} size={2.6} />)}
          {peaks(pair).length > 1 &&
            <path class="peaks" d={path(peaks(pair))} stroke={`var(--phase-${pair + 1})`} stroke-width="2" stroke-dasharray="5 3" />}
        </g>
      ))}
      {labels.map(({ pair, y }) => (
        <g key={pair}>
          <Shape pair={pair} x={kRight + 12} y={y} size={3.6} />
          <text x={kRight + 20} y={y + 4} font-size="12" font-weight="600">{names[pair]}</text>
        </g>
      ))}
      <text x="2" y="16" font-size="12" font-weight="600">Inductance of the pairs about their common mean</text>
      <text x="2" y={kHeight - 18} font-size="10">Shaft's angle, from its mark. Dashed: the peaks, joined.</text>
      <text x="2" y={kHeight - 5} font-size="10">Straight and level peaks: nothing turns with the rotor.</text>
    </svg>
  )
}
