// A rise on the policy's own scale: where it stands among the bands' limits, with ± 2u.
import { levelOf } from '../meaning'
import type { Limit, PolicyBand } from '../wire'

const kWidth = 120
const kMiddle = 9

const at = (limit: Limit) => (limit ? ('from' in limit ? limit.from : limit.above) : null)

export function RiseStrip({ bands, rise_k, u_k }: { bands: PolicyBand[]; rise_k: number; u_k: number | null }) {
  const limits = bands.map((band) => ({ level: levelOf(bands, band.id), from: at(band.over_like_c) }))
    .filter((limit): limit is { level: number; from: number } => limit.from !== null)
  const highest = limits.length ? limits[limits.length - 1]!.from : 1
  // The square root leaves room for the small limits beside the large ones.
  const end = 3 * highest
  const x = (value: number) => kWidth * Math.sqrt(Math.max(0, Math.min(value, end)) / end)
  const spread = 2 * (u_k ?? 0)
  return (
    <svg class="strip" viewBox={`0 0 ${kWidth} 18`} aria-hidden="true">
      {limits.map(({ level, from }, i) => (
        <rect key={level} class={`zone-${level}`} x={x(from)} y="1" height="16"
          width={x(limits[i + 1]?.from ?? end) - x(from)} />
      ))}
      <path class="whisker" d={`M${x(rise_k - spread)} ${kMiddle}H${x(rise_k + spread)}`} />
      <circle cx={Math.min(x(rise_k), kWidth - 4)} cy={kMiddle} r="4" />
    </svg>
  )
}
