// What a reading says, worked out.
import { BandTag } from '../meaning'
import { ohms, percent, share, watts } from '../numbers'
import type { ElectricalResult } from '../wire'

export function Sayings({ result }: { result: ElectricalResult }) {
  if (result.problem) return <p>{result.problem}</p>
  const { phase_name, excess_ohm, excess_w, excess_at_a } = result
  return (
    <>
      {result.unbalance_pct !== null &&
        <p>Unbalance <strong class="number">{percent(result.unbalance_pct, 2)}</strong>
          {result.unbalance_u_pct !== null && <span class="aside"> ± {percent(result.unbalance_u_pct, 2)}</span>}
          {result.band && <> <BandTag band={result.band} /></>}</p>}
      {phase_name && excess_ohm !== null &&
        <p>Highest: <strong>phase {phase_name}</strong>, <span class="number">{ohms(excess_ohm)}</span> over the two others
          {excess_w !== null && excess_at_a !== null && <>, {watts(excess_w)} at {Number(excess_at_a.toPrecision(3))} A</>}
          {result.phase_probability !== null && <span class="aside"> (that this is the highest phase: {share(result.phase_probability)})</span>}</p>}
      {result.negative_sequence_pct !== null && <p>Negative sequence {percent(result.negative_sequence_pct, 2)}
        {result.derating !== null && <>, derating {result.derating.toFixed(2)}</>}</p>}
      {result.note && <p>{result.note}</p>}
    </>
  )
}
