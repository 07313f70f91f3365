// Geometry of marks on the screen: moving, resizing, handles. Nothing is measured here.
import type { Point, Shape } from '../wire'

const kSmallest_px = 1

/** Two decimals: finer than a hand can mean, and a mark file that stays readable. */
const tidy = (value: number) => Math.round(value * 100) / 100
const tidyPoint = ([x, y]: Point): Point => [tidy(x), tidy(y)]

export function moved(shape: Shape, dx: number, dy: number): Shape {
  const by = ([x, y]: Point): Point => tidyPoint([x + dx, y + dy])
  switch (shape.kind) {
    case 'circle': return { ...shape, center: by(shape.center) }
    case 'rectangle': return { ...shape, corner: by(shape.corner) }
    case 'polygon': return { ...shape, points: shape.points.map(by) }
  }
}

/** Corners of the upright box around a shape. */
export function boxOf(shape: Shape): [Point, Point] {
  switch (shape.kind) {
    case 'circle': {
      const [x, y] = shape.center
      return [[x - shape.radius, y - shape.radius], [x + shape.radius, y + shape.radius]]
    }
    case 'rectangle': {
      const [x, y] = shape.corner
      return [[x, y], [x + shape.size[0], y + shape.size[1]]]
    }
    case 'polygon': {
      const xs = shape.points.map(([x]) => x)
      const ys = shape.points.map(([, y]) => y)
      return [[Math.min(...xs), Math.min(...ys)], [Math.max(...xs), Math.max(...ys)]]
    }
  }
}

export function centreOf(shape: Shape): Point {
  const [[left, top], [right, bottom]] = boxOf(shape)
  return [(left + right) / 2, (top + bottom) / 2]
}

/** Larger or smaller by `px` on every side, about its middle. */
export function grown(shape: Shape, px: number): Shape {
  switch (shape.kind) {
    case 'circle': return { ...shape, radius: tidy(Math.max(kSmallest_px, shape.radius + px)) }
    case 'rectangle': {
      const [[left, top], [right, bottom]] = boxOf(shape)
      return rectangleOf([left - px, top - px], [right + px, bottom + px])
    }
    case 'polygon': {
      const [cx, cy] = centreOf(shape)
      const [[left, top], [right, bottom]] = boxOf(shape)
      const half = Math.max(right - left, bottom - top) / 2
      const factor = Math.max(kSmallest_px, half + px) / Math.max(kSmallest_px, half)
      return { ...shape, points: shape.points.map(([x, y]) => tidyPoint([cx + (x - cx) * factor, cy + (y - cy) * factor])) }
    }
  }
}

export function circleOf(center: Point, edge: Point): Shape {
  const radius = Math.hypot(edge[0] - center[0], edge[1] - center[1])
  return { kind: 'circle', center: tidyPoint(center), radius: tidy(Math.max(kSmallest_px, radius)) }
}

export function rectangleOf(a: Point, b: Point): Shape {
  const size: Point = [
    tidy(Math.max(kSmallest_px, Math.abs(a[0] - b[0]))), tidy(Math.max(kSmallest_px, Math.abs(a[1] - b[1])))
  ]
  return { kind: 'rectangle', corner: tidyPoint([Math.min(a[0], b[0]), Math.min(a[1], b[1])]), size }
}

/** Where a selected shape can be taken hold of. */
export function handlesOf(shape: Shape): Point[] {
  if (shape.kind === 'circle') return [[shape.center[0] + shape.radius, shape.center[1]]]
  if (shape.kind === 'polygon') return shape.points
  const [[left, top], [right, bottom]] = boxOf(shape)
  return [[left, top], [right, top], [right, bottom], [left, bottom]]
}

export function withHandleAt(shape: Shape, handle: number, to: Point): Shape {
  if (shape.kind === 'circle') return circleOf(shape.center, to)
  if (shape.kind === 'rectangle') return rectangleOf(handlesOf(shape)[(handle + 2) % 4] as Point, to)
  return { ...shape, points: shape.points.map((point, i) => (i === handle ? tidyPoint(to) : point)) }
}

export function kept(shape: Shape, width: number, height: number): Shape {
  const [x, y] = centreOf(shape)
  const dx = Math.max(0, Math.min(width - 1, x)) - x
  const dy = Math.max(0, Math.min(height - 1, y)) - y
  return dx || dy ? moved(shape, dx, dy) : shape
}

export function sentenceOf(shape: Shape): string {
  const at = centreOf(shape).map((value) => Math.round(value)).join(', ')
  switch (shape.kind) {
    case 'circle': return `circle at ${at}, radius ${shape.radius}`
    case 'rectangle': return `rectangle at ${at}, ${shape.size[0]} × ${shape.size[1]}`
    case 'polygon': return `polygon at ${at}, ${shape.points.length} corners`
  }
}
