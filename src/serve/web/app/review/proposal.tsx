import { useMemo, useRef } from 'preact/hooks'
import { Canvas, type CanvasHandle } from '../image/canvas'
import { rangeOf } from '../image/colouring'
import { kNoWishes } from '../image/gestures'
import { useMap } from '../image/range_panel'
import { ScaleBar } from '../image/scale_bar'
import type { Scene } from '../image/stage'
import { likelihood, share } from '../numbers'
import { motorPath } from '../route'
import type { Temperatures } from '../server'
import type { ImageRow, Mark } from '../wire'

const ignore = () => {}
const kNoRange = { low_c: 0, high_c: 1 }

export function Proposal({ row, image, marks, reason }: { row: ImageRow; image: Temperatures; marks: Mark[]; reason: string | null }) {
  const handle = useRef<CanvasHandle | null>(null)
  const [map] = useMap()
  const range = useMemo(() => rangeOf(image, 0) ?? kNoRange, [image])
  const scene = useMemo<Scene>(() => ({ marks, selected: null, labels: {}, hottest: {}, pending: null, cross: null }), [marks])
  const names = marks.map(({ name }) => name).join(', ')
  return (
    <article class="proposal" aria-labelledby="proposal-title">
      <h2 id="proposal-title">{row.file} <span class="aside"><a href={motorPath(row.motor)}>{row.motor}</a>, {row.component}</span></h2>
      <Canvas image={image} range={range} map={map} scene={scene} handle={handle} wishes={kNoWishes}
        doing={{ tool: 'select', marks, selected: null }} onKeyDown={ignore}
        label={`Thermal image of ${row.motor}, ${row.component}, with ${marks.length ? `marks ${names}` : 'no marks'}`} />
      <ScaleBar map={map} range={range} cursor_c={null} />
      {marks.length
        ? <ul class="proposed">{marks.map((mark) => (
            <li key={mark.name}><strong>{mark.name}</strong>{mark.confidence !== undefined && <span class="aside"> on its lug: {likelihood(mark.confidence)} ({share(mark.confidence)})</span>}</li>
          ))}</ul>
        : <p>No marks are proposed here. Edit leads to marking by hand.</p>}
      {reason && <p class="aside">{reason}</p>}
    </article>
  )
}
