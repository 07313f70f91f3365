// Sweeps and air gaps as the report shows them, drawn by the server's own code.
import { Ladder } from '../ladder'
import type { Shown, ShownAirGap, ShownSweep } from './bench_wire'

/** What was found, what it leaves open, what to do next. */
export function RotorSays({ shown }: { shown: Shown }) {
  return (
    <>
      <p class={`result level-${shown.level}`}><strong>{shown.result}</strong></p>
      {shown.cannot_tell.length > 0 &&
        <><p class="aside">What this leaves open:</p><ul>{shown.cannot_tell.map((text) => <li key={text}>{text}</li>)}</ul></>}
      {shown.next_test && <p class="do"><strong>Next test</strong><span>{shown.next_test}</span></p>}
    </>
  )
}

export function RotorPictures({ sweeps, gaps, behind }: { sweeps: ShownSweep[]; gaps: ShownAirGap[]; behind: Shown | null }) {
  const all = [...sweeps, ...gaps]
  if (!all.length) return <p>No sweep and no air gap is entered for this motor.</p>
  return (
    <div class="rotors">
      {all.map((shown) => (
        <article key={shown.title} class="rotor-shown">
          <h3>{shown.title}</h3>
          <div class="says"><RotorSays shown={shown} /></div>
          <Ladder svg={shown.svg} />
          <details>
            <summary>Figures</summary>
            <ul class="number">{shown.numbers.map((text) => <li key={text}>{text}</li>)}</ul>
          </details>
        </article>
      ))}
      {behind && (
        <article class="rotor-shown">
          <h3>{behind.title}</h3>
          <div class="says"><RotorSays shown={behind} /></div>
          <ul>{behind.numbers.map((text) => <li key={text}>{text}</li>)}</ul>
        </article>
      )}
    </div>
  )
}
