// The picture and the marks on it, drawn with Konva. It shows a scene; what a hand does is gestures.ts.
import 'konva/lib/Core' // ties its parts together
import { Layer } from 'konva/lib/Layer'
import { Circle } from 'konva/lib/shapes/Circle'
import { Image as Picture } from 'konva/lib/shapes/Image'
import { Label, Tag } from 'konva/lib/shapes/Label'
import { Line } from 'konva/lib/shapes/Line'
import { Path } from 'konva/lib/shapes/Path'
import { Rect } from 'konva/lib/shapes/Rect'
import { Text } from 'konva/lib/shapes/Text'
import { Stage as Drawing } from 'konva/lib/Stage'
import type { Mark, Point, Shape } from '../wire'
import { isConfirmed } from './marks_state'
import { boxOf, handlesOf } from './shapes'

export interface Scene {
  marks: Mark[]
  selected: string | null
  labels: Record<string, string>
  hottest: Record<string, Point>
  pending: Shape | null
  cross: Point | null
}

export interface Hit {
  mark: string
  handle: number | null
}

const kMostZoom = 64
const kHandle_px = 7
const kSmallest_px = 32 // of a mark that shows handles; a smaller one is resized closer up, or by key
const kDark = '#10151a'
const kLight = '#ffffff'

export class Stage {
  private stage: Drawing
  private picture = new Picture({ image: undefined, x: -0.5, y: -0.5 })
  private marks = new Layer()
  private width = 1
  private height = 1
  private fitted = 1
  private scene: Scene = { marks: [], selected: null, labels: {}, hottest: {}, pending: null, cross: null }

  constructor(private box: HTMLDivElement) {
    this.stage = new Drawing({ container: box, width: 1, height: 1 })
    const below = new Layer({ imageSmoothingEnabled: false, listening: false })
    below.add(this.picture)
    this.stage.add(below, this.marks)
  }

  destroy() {
    this.stage.destroy()
  }

  show(canvas: HTMLCanvasElement) {
    const other = canvas.width !== this.width || canvas.height !== this.height
    this.width = canvas.width
    this.height = canvas.height
    this.picture.image(canvas)
    if (other) this.resize()
    this.picture.getLayer()?.batchDraw()
  }

  /** Fills the box again, after the box or the picture changed. */
  resize() {
    this.stage.size({ width: Math.max(1, this.box.clientWidth), height: Math.max(1, this.box.clientHeight) })
    this.fit()
  }

  get scale() {
    return this.stage.scaleX()
  }
  get zoomed() {
    return this.scale > this.fitted * 1.001
  }

  fit() {
    this.fitted = Math.min(this.stage.width() / this.width, this.stage.height() / this.height)
    this.look(this.fitted, {
      x: (this.stage.width() - (this.width - 1) * this.fitted) / 2, y: (this.stage.height() - (this.height - 1) * this.fitted) / 2
    })
  }

  zoom(factor: number, about?: Point) {
    const scale = Math.min(kMostZoom, Math.max(this.fitted, this.scale * factor))
    const [x, y] = about ?? [this.stage.width() / 2, this.stage.height() / 2]
    const { x: left, y: top } = this.stage.position()
    this.look(scale, { x: x - ((x - left) * scale) / this.scale, y: y - ((y - top) * scale) / this.scale })
  }

  panBy(dx: number, dy: number) {
    const { x, y } = this.stage.position()
    this.look(this.scale, { x: x + dx, y: y + dy })
  }

  /** Brings a point of the image into sight. */
  follow([x, y]: Point) {
    const at = this.stage.getAbsoluteTransform().point({ x, y })
    const room = 24
    const over = (value: number, size: number) => Math.max(0, room - value) - Math.max(0, value - (size - room))
    if (this.zoomed) this.panBy(over(at.x, this.stage.width()), over(at.y, this.stage.height()))
  }

  private look(scale: number, { x, y }: { x: number; y: number }) {
    const within = (value: number, size: number, count: number) => {
      const first = scale / 2 // the image begins half a pixel before pixel 0's centre
      const room = size - count * scale
      return room >= 0 ? first + room / 2 : Math.min(first, Math.max(first + room, value))
    }
    this.stage.scale({ x: scale, y: scale })
    this.stage.position({
      x: within(x, this.stage.width(), this.width), y: within(y, this.stage.height(), this.height)
    })
    Object.assign(this.box.dataset, { scale: String(scale), left: String(this.stage.x()), top: String(this.stage.y()) })
    this.draw(this.scene)
    this.stage.batchDraw()
  }

  /** A place on the screen, relative to the box, and the same in pixels of the image. */
  inBox(event: { clientX: number; clientY: number }): Point {
    const box = this.box.getBoundingClientRect()
    return [event.clientX - box.left, event.clientY - box.top]
  }
  inImage([x, y]: Point): Point {
    return [(x - this.stage.x()) / this.scale, (y - this.stage.y()) / this.scale]
  }
  hit([x, y]: Point): Hit | null {
    const { mark, handle } = (this.stage.getIntersection({ x, y })?.attrs ?? {}) as { mark?: string; handle?: number }
    return mark === undefined ? null : { mark, handle: handle ?? null }
  }

  draw(scene: Scene) {
    this.scene = scene
    this.marks.destroyChildren()
    for (const mark of scene.marks) this.drawMark(mark, mark.name === scene.selected)
    if (scene.pending) this.outline(scene.pending, { dash: [6, 4] })
    if (scene.cross) this.drawCross(scene.cross)
    this.marks.batchDraw()
  }

  private drawMark(mark: Mark, selected: boolean) {
    const dash = !isConfirmed(mark) ? [3, 4] : mark.role === 'lug' ? [] : [8, 5]
    this.outline(mark.shape, { dash, mark: mark.name, wide: selected })
    const hottest = this.scene.hottest[mark.name]
    if (hottest && mark.role === 'lug') this.drawHottest(hottest)
    this.drawLabel(mark, selected)
    const [[left, top], [right, bottom]] = boxOf(mark.shape)
    // On a small mark handles would leave nothing to take hold of for moving it.
    if (!selected || Math.min(right - left, bottom - top) * this.scale < kSmallest_px) return
    handlesOf(mark.shape).forEach(([x, y], handle) => this.marks.add(new Circle({
      x, y, radius: kHandle_px / this.scale, hitStrokeWidth: 16, fill: kLight, stroke: kDark, strokeWidth: 2,
      strokeScaleEnabled: false, mark: mark.name, handle
    })))
  }

  // A dark line under a light one is seen on every colour of every map.
  private outline(shape: Shape, look: { dash: number[]; mark?: string; wide?: boolean }) {
    const width = look.wide ? 3 : 1.75
    for (const [stroke, strokeWidth] of [[kDark, width + 2.5], [kLight, width]] as const) {
      const upper = stroke === kLight
      const common = {
        stroke, strokeWidth, strokeScaleEnabled: false, mark: look.mark, listening: upper && look.mark !== undefined,
        dash: upper ? look.dash : [], hitStrokeWidth: 18, fill: 'transparent'
      }
      this.marks.add(
        shape.kind === 'circle' ? new Circle({ ...common, x: shape.center[0], y: shape.center[1], radius: shape.radius })
          : shape.kind === 'rectangle'
            ? new Rect({ ...common, x: shape.corner[0], y: shape.corner[1], width: shape.size[0], height: shape.size[1] })
            : new Line({ ...common, points: shape.points.flat(), closed: true })
      )
    }
  }

  private drawLabel(mark: Mark, selected: boolean) {
    const [[left, top], [right]] = boxOf(mark.shape)
    const extra = this.scene.labels[mark.name]
    const label = new Label({
      x: (left + right) / 2, y: top - 5 / this.scale, scaleX: 1 / this.scale, scaleY: 1 / this.scale, listening: false
    })
    label.add(new Tag({ fill: selected ? kLight : kDark, opacity: 0.88, cornerRadius: 3, pointerDirection: 'down' }))
    label.add(new Text({
      text: mark.name + (extra ? `  ${extra}` : '') + (isConfirmed(mark) ? '' : ' ?'), padding: 4, fontSize: 13,
      fontStyle: '600', fontFamily: 'system-ui, sans-serif', fill: selected ? kDark : kLight
    }))
    this.marks.add(label)
    // A label over the picture's upper edge hangs below its mark's upper edge.
    if (this.stage.getAbsoluteTransform().point({ x: 0, y: top }).y < 30) label.y(top + 26 / this.scale)
  }

  private drawHottest([x, y]: Point) {
    const r = 4 / this.scale
    for (const [stroke, strokeWidth] of [[kDark, 3.5], [kLight, 1.5]] as const) {
      this.marks.add(new Path({
        data: `M${x - r} ${y - r}L${x + r} ${y + r}M${x - r} ${y + r}L${x + r} ${y - r}`, stroke, strokeWidth,
        strokeScaleEnabled: false, listening: false
      }))
    }
  }

  private drawCross([x, y]: Point) {
    const gap = 4 / this.scale
    const far = 4000
    for (const [stroke, strokeWidth] of [[kDark, 3], [kLight, 1]] as const) {
      this.marks.add(new Path({
        data: `M${-far} ${y}H${x - gap}M${x + gap} ${y}H${far}M${x} ${-far}V${y - gap}M${x} ${y + gap}V${far}`,
        stroke, strokeWidth, strokeScaleEnabled: false, listening: false, opacity: 0.8
      }))
    }
  }
}
