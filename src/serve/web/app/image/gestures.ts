// What a mouse, pen or finger does on the picture: select, move, resize, draw, pan, zoom.
import type { Mark, Point, Shape } from '../wire'
import { circleOf, moved, rectangleOf, withHandleAt } from './shapes'
import type { Stage } from './stage'

export type Tool = 'select' | 'circle' | 'rectangle' | 'polygon'

export interface Doing {
  tool: Tool
  marks: Mark[]
  selected: string | null
}

export interface Wishes {
  select: (mark: string | null) => void
  /** `stroke` is one number for one drag, so that undo takes it back as a whole. */
  change: (mark: string, shape: Shape, stroke: number) => void
  add: (shape: Shape) => void
  /** A press without a drag while a shape is chosen. */
  place: (at: Point) => void
  pend: (shape: Shape | null) => void
  hover: (at: Point | null) => void
}

const ignore = () => {}
/** Of a picture that is looked at alone. */
export const kNoWishes: Wishes = { select: ignore, change: ignore, add: ignore, place: ignore, pend: ignore, hover: ignore }

const kSlack_px = 4 // a finger trembles

type Drag =
  | { kind: 'move' | 'resize'; mark: Mark; handle: number; from: Point; stroke: number }
  | { kind: 'draw'; from: Point }
  | { kind: 'pan'; last: Point; start: Point }

let strokes = 0

export class Gestures {
  private drag: Drag | null = null
  private fingers = new Map<number, Point>()
  private corners: Point[] = []

  constructor(private stage: Stage, private box: HTMLElement, private doing: () => Doing, private wishes: Wishes) {
    box.addEventListener('pointerdown', this.down)
    box.addEventListener('pointermove', this.move)
    box.addEventListener('pointerup', this.up)
    box.addEventListener('pointercancel', this.cancel)
    box.addEventListener('pointerleave', this.leave)
    box.addEventListener('dblclick', this.finishPolygon)
    box.addEventListener('wheel', this.wheel, { passive: false })
  }

  destroy() {
    this.box.removeEventListener('pointerdown', this.down)
    this.box.removeEventListener('pointermove', this.move)
    this.box.removeEventListener('pointerup', this.up)
    this.box.removeEventListener('pointercancel', this.cancel)
    this.box.removeEventListener('pointerleave', this.leave)
    this.box.removeEventListener('dblclick', this.finishPolygon)
    this.box.removeEventListener('wheel', this.wheel)
  }

  private down = (event: PointerEvent) => {
    if (event.button !== 0) return
    this.box.setPointerCapture(event.pointerId)
    this.box.focus({ preventScroll: true })
    const place = this.stage.inBox(event)
    this.fingers.set(event.pointerId, place)
    if (this.fingers.size > 1) {
      this.drag = null
      this.wishes.pend(null)
      return
    }
    const at = this.stage.inImage(place)
    const { tool } = this.doing()
    const hit = this.stage.hit(place)
    const isHandle = hit !== null && hit.handle !== null && tool !== 'polygon'
    if (tool === 'select' || isHandle) this.take(place, at)
    else if (tool === 'polygon') this.addCorner(at)
    else this.drag = { kind: 'draw', from: at }
  }

  private take(place: Point, at: Point) {
    const hit = this.stage.hit(place)
    const mark = hit && this.doing().marks.find(({ name }) => name === hit.mark)
    if (!mark) {
      this.drag = { kind: 'pan', last: place, start: place }
      return
    }
    this.wishes.select(mark.name)
    const stroke = ++strokes
    this.drag = hit.handle === null ? { kind: 'move', mark, handle: 0, from: at, stroke }
      : { kind: 'resize', mark, handle: hit.handle, from: at, stroke }
  }

  private move = (event: PointerEvent) => {
    const place = this.stage.inBox(event)
    const at = this.stage.inImage(place)
    this.wishes.hover(at)
    const before = this.fingers.get(event.pointerId)
    if (before && this.fingers.size === 2) this.pinch(event.pointerId, before, place)
    if (before) this.fingers.set(event.pointerId, place)
    const { drag } = this
    if (!drag) {
      if (this.corners.length) this.wishes.pend({ kind: 'polygon', points: [...this.corners, at] })
      return
    }
    switch (drag.kind) {
      case 'move':
        if (Math.hypot(at[0] - drag.from[0], at[1] - drag.from[1]) > 0) {
          this.wishes.change(drag.mark.name, moved(drag.mark.shape, at[0] - drag.from[0], at[1] - drag.from[1]), drag.stroke)
        }
        break
      case 'resize':
        this.wishes.change(drag.mark.name, withHandleAt(drag.mark.shape, drag.handle, at), drag.stroke)
        break
      case 'draw':
        this.wishes.pend(this.drawn(drag.from, at))
        break
      case 'pan':
        this.stage.panBy(place[0] - drag.last[0], place[1] - drag.last[1])
        drag.last = place
    }
  }

  private drawn(from: Point, to: Point): Shape {
    return this.doing().tool === 'circle' ? circleOf(from, to) : rectangleOf(from, to)
  }

  private pinch(id: number, before: Point, now: Point) {
    const other = [...this.fingers].find(([finger]) => finger !== id)?.[1]
    if (!other) return
    const apart = (a: Point, b: Point) => Math.max(1, Math.hypot(a[0] - b[0], a[1] - b[1]))
    this.stage.zoom(apart(now, other) / apart(before, other), [(now[0] + other[0]) / 2, (now[1] + other[1]) / 2])
  }

  private up = (event: PointerEvent) => {
    this.fingers.delete(event.pointerId)
    const { drag } = this
    this.drag = null
    const place = this.stage.inBox(event)
    if (drag?.kind === 'pan' && Math.hypot(place[0] - drag.start[0], place[1] - drag.start[1]) < kSlack_px) {
      this.wishes.select(null)
    }
    if (drag?.kind !== 'draw') return
    const at = this.stage.inImage(place)
    this.wishes.pend(null)
    const far = Math.hypot(at[0] - drag.from[0], at[1] - drag.from[1]) * this.stage.scale
    if (far >= kSlack_px) this.wishes.add(this.drawn(drag.from, at))
    else this.wishes.place(at)
  }

  private cancel = (event: PointerEvent) => {
    this.fingers.delete(event.pointerId)
    this.drag = null
    this.wishes.pend(null)
  }

  private leave = () => this.wishes.hover(null)

  private wheel = (event: WheelEvent) => {
    // The page scrolls unless the picture has the focus or the browser's own zoom key is held.
    if (!event.ctrlKey && !this.box.contains(document.activeElement)) return
    event.preventDefault()
    this.stage.zoom(Math.exp(-event.deltaY / 400), this.stage.inBox(event))
  }

  /** A corner of a polygon; on the first corner it closes. */
  addCorner(at: Point) {
    const first = this.corners[0]
    const closes = first && this.corners.length > 2 &&
      Math.hypot(at[0] - first[0], at[1] - first[1]) * this.stage.scale < 10
    if (closes) return this.finishPolygon()
    this.corners.push(at)
    this.wishes.pend({ kind: 'polygon', points: [...this.corners, at] })
  }

  finishPolygon = () => {
    // A double click has set its place twice.
    const points = this.corners.filter(([x, y], i, all) => i === 0 || x !== all[i - 1]![0] || y !== all[i - 1]![1])
    this.stop()
    if (points.length > 2) this.wishes.add(moved({ kind: 'polygon', points }, 0, 0)) // rounded
  }

  /** Leaves what is half drawn. */
  stop() {
    this.corners = []
    this.drag = null
    this.wishes.pend(null)
  }
}
