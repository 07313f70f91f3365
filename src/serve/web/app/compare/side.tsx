// One of two images: its picture with the marks, and what they measure.
import { useMemo, useRef } from 'preact/hooks'
import { Canvas, type CanvasHandle } from '../image/canvas'
import type { MapName, Range } from '../image/colouring'
import { kNoWishes } from '../image/gestures'
import type { Scene } from '../image/stage'
import { BandTag, PhaseSign } from '../meaning'
import { degrees, kelvins } from '../numbers'
import type { Resource } from '../resource'
import { imagePath } from '../route'
import type { Temperatures } from '../server'
import { Waiting } from '../waiting'
import type { ImageView } from '../wire'
import { textOf, titleOf, type Choosable } from './chosen'

export interface Shown {
  view: ImageView
  image: Temperatures
}

const ignore = () => {}

/** The images to choose from, those of each older survey under its name. */
function Options({ all }: { all: Choosable[] }) {
  const option = (image: Choosable) =>
    <option key={textOf(image)} value={textOf(image)}>{image.component ? `${image.component}: ${titleOf(image)}` : titleOf(image)}</option>
  const surveys = [...new Set(all.map(({ survey }) => survey))].filter((name): name is string => name !== null)
  return (
    <>
      {all.filter(({ survey }) => survey === null).map(option)}
      {surveys.map((name) => <optgroup key={name} label={name}>{all.filter(({ survey }) => survey === name).map(option)}</optgroup>)}
    </>
  )
}

function Picture({ shown, range, map, title }: { shown: Shown; range: Range; map: MapName; title: string }) {
  const handle = useRef<CanvasHandle | null>(null)
  const { view, image } = shown
  const marks = view.marks?.marks ?? []
  const scene = useMemo<Scene>(() => ({
    marks, selected: null, hottest: {}, pending: null, cross: null,
    labels: Object.fromEntries(view.result.lugs.map(({ name, temperature_c }) => [name, temperature_c === null ? '' : degrees(temperature_c)]))
  }), [view])
  return <Canvas image={image} range={range} map={map} scene={scene} handle={handle} wishes={kNoWishes}
    doing={{ tool: 'select', marks, selected: null }} onKeyDown={ignore} label={`Thermal image ${title}; the marks are in the table below`} />
}

function Lugs({ view, title }: { view: ImageView; title: string }) {
  const { lugs } = view.result
  if (!lugs.length) return <p class="aside">No lug is marked on it.</p>
  return (
    <table class="lean">
      <caption class="unseen">Lugs of {title}</caption>
      <thead><tr>{['Lug', 'Temperature', 'Over like', 'Over air', 'Band'].map((name) =>
        <th key={name} scope="col" class={name === 'Over air' ? 'spare' : ''}>{name}</th>)}</tr></thead>
      <tbody>
        {lugs.map((lug) => (
          <tr key={lug.name}>
            <th scope="row"><PhaseSign phase={lug.phase} /> {lug.name} <span class="aside line">phase {lug.phase_name}</span></th>
            <td class="number">{degrees(lug.temperature_c)}</td>
            <td class="number">{kelvins(lug.rise_over_like_c, lug.rise_over_like_u_c)}</td>
            <td class="number spare">{kelvins(lug.rise_over_air_c)}</td>
            <td><BandTag band={lug.band} /></td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

export function Side(props: {
  name: string
  all: Choosable[]
  chosen: Choosable
  choose: (text: string) => void
  shown: Resource<Shown>
  range: Range | null
  map: MapName
}) {
  const { chosen, range } = props
  const { data, error } = props.shown
  const title = titleOf(chosen)
  return (
    <section class="side" aria-label={props.name}>
      <label>{props.name}
        <select value={textOf(chosen)} onChange={(event) => props.choose(event.currentTarget.value)}><Options all={props.all} /></select>
      </label>
      {data && range
        ? <>
            <p class="of">{chosen.survey === null ? <a href={imagePath(chosen.file)}>{data.view.component}</a> : <>{chosen.survey}, {data.view.component}</>}
              {data.view.taken_at && <span class="aside"> taken {data.view.taken_at}</span>}</p>
            <Picture key={textOf(chosen)} shown={data} range={range} map={props.map} title={title} />
            <Lugs view={data.view} title={title} />
          </>
        : <Waiting error={error} what={`Reading ${title}`} />}
    </section>
  )
}
