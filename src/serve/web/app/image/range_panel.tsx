// Which temperatures the colours span, and in which colours.
import { useEffect, useState } from 'preact/hooks'
import { Field } from '../field'
import { typed } from '../numbers'
import { getTemperatures, type Temperatures } from '../server'
import { apart, kMaps, rangeOf, together, type MapName, type Range } from './colouring'
import { useKeptRange, type RangeKind } from './kept_range'

export interface Colours {
  map: MapName
  setMap: (map: MapName) => void
  kind: RangeKind
  setKind: (kind: RangeKind) => void
  left_out_pct: number
  setLeftOut: (pct: number) => void
  range: Range
  setRange: (range: Range) => void
}

const kSetting = 'ohmglow.colours'

export function useMap(): [MapName, (map: MapName) => void] {
  const [map, setMap] = useState<MapName>(() => {
    const kept = localStorage.getItem(kSetting) as MapName | null
    return kept && kMaps.includes(kept) ? kept : 'inferno'
  })
  useEffect(() => localStorage.setItem(kSetting, map), [map])
  return [map, setMap]
}

export function useColours(image: Temperatures | null, like_images: string[], motor: string): Colours {
  const [map, setMap] = useMap()
  const [{ kind, left_out_pct, range: byHand }, keep] = useKeptRange(motor)
  const [range, setRange] = useState<Range>(byHand ?? { low_c: 0, high_c: 1 })
  const likes = like_images.join('\n')
  useEffect(() => {
    if (!image) return
    const own = rangeOf(image, kind === 'percentile' ? left_out_pct : 0)
    if (own && !(kind === 'hand' && byHand)) setRange(own)
    if (kind !== 'motor') return
    const stop = new AbortController()
    Promise.all(like_images.map((file) => getTemperatures(file, stop.signal).then((other) => rangeOf(other, 0), () => null)))
      .then((ranges) => {
        const all = [own, ...ranges].filter((found): found is Range => found !== null)
        if (!stop.signal.aborted && all.length) setRange(together(all))
      })
    return () => stop.abort()
  }, [image, kind, left_out_pct, likes])
  return {
    map, setMap, kind, left_out_pct, range,
    setKind: (next) => keep({ kind: next, range: next === 'hand' ? range : null }),
    setLeftOut: (pct) => keep({ left_out_pct: pct }),
    setRange: (next) => {
      setRange(next)
      keep({ kind: 'hand', range: next })
    }
  }
}

export function Ends({ range, setRange }: Pick<Colours, 'range' | 'setRange'>) {
  const withEnd = (end: keyof Range, text: string): Range => ({ ...range, [end]: typed(text) ?? range[end] })
  const refuse = (end: keyof Range) => (text: string) => {
    if (typed(text) === null) return 'not a temperature'
    const next = withEnd(end, text)
    return next.low_c < next.high_c ? null : 'from must be below to'
  }
  const take = (end: keyof Range) => (text: string) => setRange(apart(withEnd(end, text)))
  const input = { inputMode: 'decimal', size: 6 } as const
  return (
    <>
      <Field label="from, °C" value={range.low_c.toFixed(1)} take={take('low_c')} refuse={refuse('low_c')} input={input} />
      <Field label="to, °C" value={range.high_c.toFixed(1)} take={take('high_c')} refuse={refuse('high_c')} input={input} />
    </>
  )
}

export function RangePanel({ colours, likes }: { colours: Colours; likes: number }) {
  return (
    <fieldset class="range">
      <legend>Colours</legend>
      <label>Map
        <select value={colours.map} onChange={(event) => colours.setMap(event.currentTarget.value as MapName)}>
          {kMaps.map((map) => <option key={map}>{map}</option>)}
        </select>
      </label>
      <label>Range
        <select value={colours.kind} onChange={(event) => colours.setKind(event.currentTarget.value as RangeKind)}>
          <option value="percentile">of this image</option>
          <option value="motor" disabled={!likes}>of all images of the motor</option>
          <option value="hand">by hand</option>
        </select>
      </label>
      {colours.kind === 'percentile' &&
        <label>Left out at each end
          <select value={String(colours.left_out_pct)} onChange={(event) => colours.setLeftOut(Number(event.currentTarget.value))}>
            {[0, 0.5, 1, 2, 5].map((pct) => <option key={pct} value={pct}>{pct ? `${pct} %` : 'nothing'}</option>)}
          </select>
        </label>}
      {colours.kind === 'hand' && <Ends range={colours.range} setRange={colours.setRange} />}
    </fieldset>
  )
}
