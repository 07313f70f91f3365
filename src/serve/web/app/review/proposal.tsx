import { useMemo, useRef } from 'preact/hooks'
import { Canvas, type CanvasHandle } from '../image/canvas'
import type { Wishes } from '../image/gestures'
import { useColours } from '../image/range_panel'
import { ScaleBar } from '../image/scale_bar'
import type { Scene } from '../image/stage'
import { percent } from '../numbers'
import { motorPath } from '../route'
import type { Temperatures } from '../server'
import type { ImageRow, Mark } from '../wire'

const ignore = () => {}
const kNoWishes: Wishes = { select: ignore, change: ignore, add: ignore, place: ignore, pend: ignore, hover: ignore }

export function Proposal({ row, image, marks, reason }: { row: ImageRow; image: Temperatures; marks: Mark[]; reason: string | null }) {
  const handle = useRef<CanvasHandle | null>(null)
  const colours = useColours(image, [])
  const scene = useMemo<Scene>(() => ({ marks, selected: null, labels: {}, hottest: {}, pending: null, cross: null }), [marks])
  const names = marks.map(({ name }) => name).join(', ')
  return (
    <article class="proposal" aria-labelledby="proposal-title">
      <h2 id="proposal-title">{row.file} <span class="aside"><a href={motorPath(row.motor)}>{row.motor}</a>, {row.component}</span></h2>
      <Canvas image={image} range={colours.range} map={colours.map} scene={scene} handle={handle} wishes={kNoWishes}
        doing={{ tool: 'select', marks, selected: null }} onKeyDown={ignore}
        label={`Thermal image of ${row.motor}, ${row.component}, with ${marks.length ? `marks ${names}` : 'no marks'}`} />
      <ScaleBar map={colours.map} range={colours.range} cursor_c={null} />
      {marks.length
        ? <ul class="proposed">{marks.map((mark) => (
            <li key={mark.name}><strong>{mark.name}</strong>{mark.confidence !== undefined && <span class="aside"> confidence {percent(100 * mark.confidence, 0)}</span>}</li>
          ))}</ul>
        : <p>No marks are proposed here. Edit leads to marking by hand.</p>}
      {reason && <p class="aside">{reason}</p>}
    </article>
  )
}
