// The marks and what they measure. Choosing a row selects the mark on the picture.
import { BandTag, decidedBy, PhaseSign } from '../meaning'
import { degrees, kelvins } from '../numbers'
import { useSurvey } from '../survey_context'
import type { LugResult, Mark } from '../wire'
import { isConfirmed } from './marks_state'

const kRoles = { lug: 'lug', ambient: 'air patch', reflector: 'reflector patch' }

function Measured({ lug, flags }: { lug: LugResult; flags: Map<string, string> }) {
  return (
    <>
      <td class="number">{degrees(lug.temperature_c)}
        {lug.u_c !== null && <span class="aside"> ± {lug.u_c.toFixed(1)}</span>}</td>
      <td class="number">{kelvins(lug.rise_over_like_c, lug.rise_over_like_u_c)}</td>
      <td class="number spare">{kelvins(lug.rise_over_air_c)}</td>
      <td><BandTag band={lug.band} />
        {lug.band_by !== 'none' && <span class="aside line">by {decidedBy(lug.band_by)}</span>}
        {lug.flags.map((flag) => <span key={flag} class="aside line">{flags.get(flag) ?? flag}</span>)}</td>
    </>
  )
}

export function MarksTable(props: {
  marks: Mark[]
  lugs: LugResult[]
  selected: string | null
  select: (name: string | null) => void
}) {
  const flags = new Map(useSurvey().survey.flags.map(({ id, meaning }) => [id, meaning]))
  if (!props.marks.length) {
    return <p>No marks yet. Draw one around each phase’s lug: choose a shape above the picture, then press on the lug and
      drag.</p>
  }
  return (
    <table class="marks lean">
      <caption>Marks and what they measure; temperatures of the surface, with standard uncertainty</caption>
      <thead><tr>
        {['Mark', 'Temperature', 'Over like', 'Over air', 'Band'].map((title) => <th key={title} scope="col" class={title === 'Over air' ? 'spare' : ''}>{title}</th>)}
      </tr></thead>
      <tbody>
        {props.marks.map((mark) => {
          const lug = props.lugs.find(({ name }) => name === mark.name)
          return (
            <tr key={mark.name} class={mark.name === props.selected ? 'current' : ''}>
              <th scope="row">
                <button type="button" aria-pressed={mark.name === props.selected}
                  onClick={() => props.select(mark.name === props.selected ? null : mark.name)}>
                  <PhaseSign phase={lug?.phase ?? (mark.role === 'lug' && typeof mark.phase === 'number' ? mark.phase : null)} />
                  {mark.name}{lug && <span class="aside line"> phase {lug.phase_name}</span>}
                  {mark.role !== 'lug' && <span class="aside"> {kRoles[mark.role]}</span>}
                  {!isConfirmed(mark) && <span class="aside"> unconfirmed</span>}
                </button>
              </th>
              {lug ? <Measured lug={lug} flags={flags} />
                : <td colSpan={4} class="aside">{mark.role === 'lug' ? 'not measured yet' : `serves as ${kRoles[mark.role]}`}</td>}
            </tr>
          )
        })}
      </tbody>
    </table>
  )
}
