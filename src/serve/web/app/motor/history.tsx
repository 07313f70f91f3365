// How the rises went over the surveys.
import { useEffect, useRef, useState } from 'preact/hooks'
import uPlot from 'uplot'
import { BandTag } from '../meaning'
import { kelvins } from '../numbers'
import type { HistoryPoint, Phase } from '../wire'

const kHeight_px = 240
const kDayLabel_px = 90

interface Line {
  title: string
  phase: Phase
  values: (number | null)[]
}

const dayOf = ({ surveyed_on }: HistoryPoint) => surveyed_on?.slice(0, 10) ?? null
const isoDay = (seconds: number) => new Date(seconds * 1000).toISOString().slice(0, 10)

function linesOf(points: HistoryPoint[]): { days: string[]; lines: Line[] } {
  const days = [...new Set(points.map(dayOf).filter((day): day is string => day !== null))].sort()
  const titles = [...new Set(points.map(({ component, lug }) => `${component}, ${lug}`))]
  const lines = titles.map((title) => {
    const own = points.filter(({ component, lug }) => `${component}, ${lug}` === title)
    const at = (day: string) => own.find((point) => dayOf(point) === day)?.rise_over_like_c ?? null
    return { title, phase: own[0]?.phase ?? 1, values: days.map(at) }
  })
  return { days, lines }
}

function draw(box: HTMLElement, points: HistoryPoint[]) {
  const { days, lines } = linesOf(points)
  const style = getComputedStyle(document.documentElement)
  const colour = (name: string) => style.getPropertyValue(name).trim()
  const axis = { stroke: colour('--ink'), grid: { stroke: colour('--line'), width: 1 }, ticks: { stroke: colour('--line'), width: 1 } }
  const seconds = days.map((day) => Date.parse(day) / 1000)
  // A label a survey, as many as there is room for.
  const apart = Math.ceil(seconds.length / Math.max(1, Math.floor(box.clientWidth / kDayLabel_px)))
  const surveys = { ...axis, splits: () => seconds.filter((_, i) => i % apart === 0), values: (_: uPlot, at: number[]) => at.map(isoDay) }
  const dashes: Record<Phase, number[]> = { 1: [], 2: [8, 4], 3: [2, 4] }
  return new uPlot({
    width: box.clientWidth, height: kHeight_px, padding: [null, kDayLabel_px / 2, null, null],
    scales: { x: { time: true }, y: { range: (_, low, high) => [Math.min(0, low), Math.max(4, high * 1.1)] } },
    axes: [surveys, { ...axis, label: 'rise over like, K', size: 48 }],
    series: [
      { label: 'Survey', value: (_, at) => (at == null ? '' : isoDay(at)) },
      ...lines.map(({ title, phase }) => ({
        label: title, stroke: colour(`--phase-${phase}`), width: 2, dash: dashes[phase], points: { show: true, size: 7 }, spanGaps: true,
        value: (_: uPlot, value: number | null) => kelvins(value)
      }))
    ]
  }, [seconds, ...lines.map(({ values }) => values)] as uPlot.AlignedData, box)
}

function Chart({ points }: { points: HistoryPoint[] }) {
  const box = useRef<HTMLDivElement>(null)
  const [dark, setDark] = useState(matchMedia('(prefers-color-scheme: dark)').matches)
  useEffect(() => {
    const scheme = matchMedia('(prefers-color-scheme: dark)')
    const changed = () => setDark(scheme.matches)
    scheme.addEventListener('change', changed)
    return () => scheme.removeEventListener('change', changed)
  }, [])
  useEffect(() => {
    if (!box.current) return
    const element = box.current
    const chart = draw(element, points)
    const sizes = new ResizeObserver(() => chart.setSize({ width: element.clientWidth, height: kHeight_px }))
    sizes.observe(element)
    return () => {
      sizes.disconnect()
      chart.destroy()
    }
  }, [points, dark])
  return <div ref={box} class="chart" aria-hidden="true" />
}

export function History({ points }: { points: HistoryPoint[] }) {
  if (new Set(points.map(({ survey }) => survey)).size < 2) return null
  return (
    <section aria-labelledby="history-title">
      <h2 id="history-title">History</h2>
      <Chart points={points} />
      <details>
        <summary>The same as a table</summary>
        <div class="scroll" tabIndex={0} role="region" aria-label="History as a table">
          <table>
            <thead><tr>{['Surveyed', 'Component', 'Lug', 'Rise over like', 'Band'].map((title) => <th key={title} scope="col">{title}</th>)}</tr></thead>
            <tbody>
              {points.map((point) => (
                <tr key={`${point.survey} ${point.component} ${point.lug}`}>
                  <td class="number">{point.surveyed_on}</td><td>{point.component}</td><td>{point.lug}</td>
                  <td class="number">{kelvins(point.rise_over_like_c, point.rise_over_like_u_c)}</td><td><BandTag band={point.band} /></td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </details>
    </section>
  )
}
