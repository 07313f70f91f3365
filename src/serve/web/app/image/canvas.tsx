// The picture on the screen, with its keyboard.
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks'
import type { Temperatures } from '../server'
import type { Point, Shape } from '../wire'
import { paint, type MapName, type Range } from './colouring'
import { Gestures, type Doing, type Wishes } from './gestures'
import { Stage, type Scene } from './stage'

export interface CanvasHandle {
  stage: Stage
  gestures: Gestures
}

export function Canvas(props: {
  image: Temperatures
  range: Range
  map: MapName
  scene: Scene
  doing: Doing
  wishes: Wishes
  label: string
  describedBy?: string
  onKeyDown: (event: KeyboardEvent) => void
  handle: { current: CanvasHandle | null }
}) {
  const box = useRef<HTMLDivElement>(null)
  const painted = useRef<HTMLCanvasElement>()
  const latest = useRef(props)
  latest.current = props
  const { image, range, map, scene, doing } = props

  useEffect(() => {
    if (!box.current) return
    const element = box.current
    const stage = new Stage(element.firstElementChild as HTMLDivElement)
    const gestures = new Gestures(stage, element, () => latest.current.doing, {
      select: (mark) => latest.current.wishes.select(mark),
      change: (mark, shape, stroke) => latest.current.wishes.change(mark, shape, stroke),
      add: (shape) => latest.current.wishes.add(shape),
      place: (at) => latest.current.wishes.place(at),
      pend: (shape) => latest.current.wishes.pend(shape),
      hover: (at) => latest.current.wishes.hover(at)
    })
    props.handle.current = { stage, gestures }
    stage.draw(latest.current.scene)
    const sizes = new ResizeObserver(() => stage.resize())
    sizes.observe(element)
    return () => {
      sizes.disconnect()
      gestures.destroy()
      stage.destroy()
      props.handle.current = null
    }
  }, [])
  useEffect(() => {
    painted.current ??= document.createElement('canvas')
    paint(painted.current, image, range, map)
    props.handle.current?.stage.show(painted.current)
  }, [image, range.low_c, range.high_c, map])
  useLayoutEffect(() => props.handle.current?.stage.draw(scene), [scene])
  useEffect(() => props.handle.current?.gestures.stop(), [doing.tool])

  // A finger scrolls the page until there is something else for it to do.
  const touch = doing.tool !== 'select' || doing.selected !== null || props.handle.current?.stage.zoomed
  return (
    <div class={`canvas tool-${doing.tool}${touch ? ' holds-touch' : ''}`} ref={box} tabIndex={0} role="application"
      aria-label={props.label} aria-describedby={props.describedBy} onKeyDown={props.onKeyDown}
      style={{ aspectRatio: `${image.width} / ${image.height}` }}>
      <div class="stage" />
    </div>
  )
}

const kSteps: Record<string, Point> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }

/** Pixels that an arrow key stands for; ten with Shift. */
export function stepOf(event: KeyboardEvent): Point | null {
  const step = kSteps[event.key]
  if (!step || event.ctrlKey || event.metaKey || event.altKey) return null
  const size = event.shiftKey ? 10 : 1
  return [step[0] * size, step[1] * size]
}

/** Where a shape of a keyboard's making begins: a tenth of the picture around a point. */
export function shapeAround(tool: 'circle' | 'rectangle', [x, y]: Point, image: Temperatures): Shape {
  const half = Math.max(3, Math.round(Math.min(image.width, image.height) / 20))
  return tool === 'circle' ? { kind: 'circle', center: [x, y], radius: half }
    : { kind: 'rectangle', corner: [x - half, y - half], size: [2 * half, 2 * half] }
}
