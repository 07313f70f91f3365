// Two images side by side in one range of colours, which stays whatever is chosen.
import { useEffect, useState } from 'preact/hooks'
import { Heading } from '../heading'
import { kMaps, rangeOf, together, type MapName, type Range } from '../image/colouring'
import { useKeptRange } from '../image/kept_range'
import { Ends, useMap } from '../image/range_panel'
import { ScaleBar } from '../image/scale_bar'
import { useResource, type Resource } from '../resource'
import { motorPath, queried, rememberQuery } from '../route'
import { getImage, getMotor, getNamedImage, getNamedTemperatures } from '../server'
import { useSurvey } from '../survey_context'
import { Waiting } from '../waiting'
import { beside, choosable, found, textOf, type Choosable } from './chosen'
import { Side, type Shown } from './side'

function useShown(chosen: Choosable | null): Resource<Shown> {
  const { revision } = useSurvey()
  return useResource(`beside ${chosen ? textOf(chosen) : ''}`, async () => {
    if (!chosen) throw new Error('There is no other image to hold beside it.')
    const [view, image] = await Promise.all([getNamedImage(chosen), getNamedTemperatures(chosen)])
    return { view, image }
  }, revision)
}

/** What both images span, the first time; from then on what a person sets. */
function useLockedRange(motor: string, left: Shown | null, right: Shown | null) {
  const [{ range }, keep] = useKeptRange(motor)
  const both = left && right
    ? [left, right].map(({ image }) => rangeOf(image, 0)).filter((one): one is Range => one !== null) : []
  const ofBoth = both.length ? together(both) : null
  const set = (next: Range) => keep({ kind: 'hand', range: next })
  useEffect(() => {
    if (!range && ofBoth) set(ofBoth)
  }, [range, ofBoth === null])
  return { range: range ?? ofBoth, set, ofBoth }
}

function Pair({ motor, all }: { motor: string; all: Choosable[] }) {
  const [names, setNames] = useState({ left: queried('left'), right: queried('right') })
  const left = found(all, names.left) ?? all[0]!
  const right = found(all, names.right) ?? beside(all, left)
  const shown = { left: useShown(left), right: useShown(right) }
  const { range, set, ofBoth } = useLockedRange(motor, shown.left.data, shown.right.data)
  const [map, setMap] = useMap()
  useEffect(() => rememberQuery({ left: textOf(left), right: right ? textOf(right) : '' }), [names])
  if (!right) return <p>This motor has one image that gives temperatures: there is none to hold beside it.</p>
  return (
    <>
      <div class="two">
        <Side name="First image" all={all} chosen={left} choose={(text) => setNames((old) => ({ ...old, left: text }))} shown={shown.left} range={range} map={map} />
        <Side name="Second image" all={all} chosen={right} choose={(text) => setNames((old) => ({ ...old, right: text }))} shown={shown.right} range={range} map={map} />
      </div>
      {range && <ScaleBar map={map} range={range} cursor_c={null} />}
      <fieldset class="range">
        <legend>Colours of both; they stay when other images are chosen</legend>
        {range && <Ends range={range} setRange={set} />}
        <button type="button" disabled={!ofBoth} onClick={() => ofBoth && set(ofBoth)}>Range of these two</button>
        <label>Map
          <select value={map} onChange={(event) => setMap(event.currentTarget.value as MapName)}>{kMaps.map((name) => <option key={name}>{name}</option>)}</select>
        </label>
      </fieldset>
    </>
  )
}

export function CompareScreen({ motor }: { motor: string }) {
  const { revision } = useSurvey()
  const { data, error } = useResource(`compare ${motor}`, async () => {
    const { images } = await getMotor(motor)
    const first = images[0]
    return choosable(images, first ? (await getImage(first.file)).earlier_images : [])
  }, revision)
  return (
    <>
      <p class="kicker"><a href={motorPath(motor)}>{motor}</a></p>
      <Heading title="Two images side by side" />
      {data ? (data.length ? <Pair motor={motor} all={data} /> : <p>No image of this motor gives temperatures.</p>)
        : <Waiting error={error} what="The images are being read" />}
    </>
  )
}
