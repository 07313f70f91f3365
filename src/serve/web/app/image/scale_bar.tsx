import { decimals } from '../numbers'
import { cssShade, type MapName, type Range } from './colouring'

const kShades = 128
const kTicks = 5
const kWidth = 480
const kHeight = 14

/** The colours with their temperatures, and where the cursor's temperature stands. */
export function ScaleBar({ map, range, cursor_c }: { map: MapName; range: Range; cursor_c: number | null }) {
  const { low_c, high_c } = range
  const part = cursor_c === null ? null : Math.max(0, Math.min(1, (cursor_c - low_c) / (high_c - low_c)))
  return (
    <div class="scale" role="img" aria-label={`Colours from ${decimals(low_c, 1)} to ${decimals(high_c, 1)} °C, as stored`}>
      <svg viewBox={`0 -6 ${kWidth} ${kHeight + 12}`} preserveAspectRatio="none">
        {Array.from({ length: kShades }, (_, i) => (
          <rect key={i} x={(kWidth * i) / kShades} y="0" width={kWidth / kShades + 1} height={kHeight}
            fill={cssShade(map, (i + 0.5) / kShades)} />
        ))}
        {part !== null && <path class="needle" d={`M${kWidth * part} -6V${kHeight + 6}`} />}
      </svg>
      <ol aria-hidden="true">
        {Array.from({ length: kTicks }, (_, i) => low_c + ((high_c - low_c) * i) / (kTicks - 1)).map((value, i) => (
          <li key={i}>{decimals(value, 1)}{i === kTicks - 1 && ' °C'}</li>
        ))}
      </ol>
    </div>
  )
}
