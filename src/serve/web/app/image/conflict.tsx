// Two people marked the same image: both versions side by side, nothing saved until a person has chosen.
import { useState } from 'preact/hooks'
import { Dialog } from '../dialog'
import type { Mark } from '../wire'
import { sentenceOf } from './shapes'
import { Sketch } from './sketch'

type Side = 'mine' | 'theirs' | 'none'

interface Pair {
  name: string
  mine: Mark | undefined
  theirs: Mark | undefined
}

function pairsOf(mine: Mark[], theirs: Mark[]): Pair[] {
  const names = [...new Set([...mine, ...theirs].map(({ name }) => name))]
  const find = (marks: Mark[], wanted: string) => marks.find(({ name }) => name === wanted)
  return names.map((name) => ({ name, mine: find(mine, name), theirs: find(theirs, name) }))
}

const same = ({ mine, theirs }: Pair) => JSON.stringify(mine) === JSON.stringify(theirs)
const describe = (mark: Mark | undefined) =>
  mark ? `${sentenceOf(mark.shape)}${mark.emissivity ? `, emissivity ${mark.emissivity}` : ''}${mark.material ? `, ${mark.material}` : ''}` : 'not there'

function Choice({ pair, side, choose }: { pair: Pair; side: Side; choose: (side: Side) => void }) {
  if (same(pair)) return <tr><th scope="row">{pair.name}</th><td colSpan={2}>the same in both</td></tr>
  const option = (value: Side, mark: Mark | undefined) => (
    <td>
      <label><input type="radio" name={`side-${pair.name}`} checked={side === value} onChange={() => choose(value)} />
        {' '}{describe(mark)}</label>
    </td>
  )
  return <tr><th scope="row">{pair.name}</th>{option('mine', pair.mine)}{option('theirs', pair.theirs)}</tr>
}

export function Conflict(props: {
  file: string
  size: [number, number]
  mine: Mark[]
  theirs: Mark[]
  keepMine: () => void
  takeTheirs: () => void
  merge: (marks: Mark[]) => void
  later: () => void
}) {
  const pairs = pairsOf(props.mine, props.theirs)
  // A mark that only one side has is kept: nothing is lost by default.
  const [sides, setSides] = useState<Record<string, Side>>(() =>
    Object.fromEntries(pairs.map((pair) => [pair.name, pair.mine ? 'mine' : 'theirs'])))
  const chosen = () => pairs.map((pair) => (sides[pair.name] === 'theirs' ? pair.theirs : pair.mine))
    .filter((mark): mark is Mark => mark !== undefined)
  return (
    <Dialog title="Someone else has saved marks of this image meanwhile" close={props.later}>
      <p>Nothing is saved yet. Choose which version holds; the other one can be brought back with Undo.</p>
      <div class="versions">
        <figure><Sketch file={props.file} size={props.size} marks={props.mine} title="Your marks" /><figcaption>Yours</figcaption></figure>
        <figure><Sketch file={props.file} size={props.size} marks={props.theirs} title="Their marks" /><figcaption>Theirs, on disk</figcaption></figure>
      </div>
      <div class="scroll" tabIndex={0} role="region" aria-label="Mark by mark">
        <table>
          <caption>Mark by mark</caption>
          <thead><tr><th scope="col">Mark</th><th scope="col">Yours</th><th scope="col">Theirs</th></tr></thead>
          <tbody>
            {pairs.map((pair) => (
              <Choice key={pair.name} pair={pair} side={sides[pair.name] ?? 'none'}
                choose={(side) => setSides((old) => ({ ...old, [pair.name]: side }))} />
            ))}
          </tbody>
        </table>
      </div>
      <div class="actions">
        <button type="button" class="main" onClick={() => props.merge(chosen())}>Save this choice, mark by mark</button>
        <button type="button" onClick={props.keepMine}>Keep mine</button>
        <button type="button" onClick={props.takeTheirs}>Take theirs</button>
        <button type="button" onClick={props.later}>Decide later</button>
      </div>
    </Dialog>
  )
}
