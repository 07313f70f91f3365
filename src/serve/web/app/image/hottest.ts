// Where the picture is hottest near a mark. It only moves the mark; what the mark measures the server says.
import type { Temperatures } from '../server'
import type { Point, Shape } from '../wire'
import { boxOf } from './shapes'

const kReach = 0.5 // of the mark's own size, looked over on each side

function blockMean({ width, celsius }: Temperatures, column: number, row: number): number {
  let sum = 0
  for (let y = row - 1; y <= row + 1; ++y) {
    for (let x = column - 1; x <= column + 1; ++x) sum += celsius[y * width + x] as number
  }
  return sum / 9
}

/** Middle of the hottest 3 × 3 pixels in and closely around the mark; null where there is no data. */
export function hottestNear(image: Temperatures, shape: Shape): Point | null {
  const [[left, top], [right, bottom]] = boxOf(shape)
  const reach_x = (right - left) * kReach
  const reach_y = (bottom - top) * kReach
  const to_x = Math.min(image.width - 2, Math.ceil(right + reach_x))
  const to_y = Math.min(image.height - 2, Math.ceil(bottom + reach_y))
  let best = -Infinity
  let found: Point | null = null
  for (let y = Math.max(1, Math.floor(top - reach_y)); y <= to_y; ++y) {
    for (let x = Math.max(1, Math.floor(left - reach_x)); x <= to_x; ++x) {
      const mean = blockMean(image, x, y)
      if (mean > best) {
        best = mean
        found = [x, y]
      }
    }
  }
  return found
}
