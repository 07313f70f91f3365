import { BandReason, EvidenceList, Explanations, Verdict } from '../evidence'
import { Ladder } from '../ladder'
import { BandTag, PhaseSign } from '../meaning'
import { degrees, kelvins } from '../numbers'
import { comparePath, imagePath } from '../route'
import { thumbnailPath } from '../server'
import { useSurvey } from '../survey_context'
import type { ComponentResult, ImageResult, LugResult } from '../wire'

const isOfSeveral = (lugs: LugResult[]) => new Set(lugs.map(({ image_number }) => image_number)).size > 1

function Lugs({ lugs }: { lugs: LugResult[] }) {
  const several = isOfSeveral(lugs)
  if (!lugs.length) return <p class="aside">No lug is marked here.</p>
  return (
    <table class="lugs lean">
      <caption>Lugs; temperatures of the surface, with standard uncertainty</caption>
      <thead><tr>{['Lug', 'Temperature', 'Over like', 'At rated load', 'Band'].map((title) =>
        <th key={title} scope="col" class={title === 'At rated load' ? 'spare' : ''}>{title}</th>)}</tr></thead>
      <tbody>
        {lugs.map((lug) => (
          <tr key={`${lug.image_number ?? ''} ${lug.name}`}>
            <th scope="row"><PhaseSign phase={lug.phase} /> {lug.name} <span class="aside line">phase {lug.phase_name}</span>
              {several && <span class="aside line of-image">({lug.image_number})</span>}</th>
            <td class="number">{degrees(lug.temperature_c)}
              {lug.u_c !== null && <span class="aside"> ± {lug.u_c.toFixed(1)}</span>}</td>
            <td class="number">{kelvins(lug.rise_over_like_c, lug.rise_over_like_u_c)}</td>
            <td class="number spare">{kelvins(lug.projected_rise_c)}</td>
            <td><BandTag band={lug.band} /></td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

/** Numbered as on the ladder, where lugs are of several. */
function Images({ files, images, numbered }: { files: string[]; images: ImageResult[]; numbered: boolean }) {
  return (
    <ul class="tiles">
      {files.map((file, i) => {
        const status = images.find((image) => image.file === file)?.status
        return (
          <li key={i}>
            <a href={imagePath(file)}>
              {status !== 'rejected' && <img src={thumbnailPath(file)} alt="" loading="lazy" decoding="async" />}
              <span>{numbered && `(${i + 1}) `}{file}{status === 'unmarked' && ' – without marks'}{status === 'rejected' && ' – not measurable'}</span>
            </a>
          </li>
        )
      })}
    </ul>
  )
}

export function Component({ motor, component, images, said }: {
  motor: string
  component: ComponentResult
  images: ImageResult[]
  said: string | null
}) {
  const { survey } = useSurvey()
  const id = `component-${component.component.replace(/\W+/g, '-')}-${component.visit ?? ''}`
  return (
    <section class="component" aria-labelledby={id}>
      <h2 id={id}>{component.component}{component.visit && <span class="aside"> visited {component.visit}</span>}</h2>
      <div class="pair">
        <Ladder svg={component.ladder_svg} />
        <div>
          <BandReason lugs={component.lugs} />
          <Verdict result={component.next_step === said ? { ...component, next_step: null } : component} />
          <Lugs lugs={component.lugs} />
          <Images files={component.images} images={images} numbered={isOfSeveral(component.lugs)} />
          {(component.images.length > 1 || survey.earlier.length > 0) && component.images[0] &&
            <p><a href={comparePath(motor, component.images[0])}>Two images side by side</a></p>}
          {component.evidence.length > 0 &&
            <details><summary>Evidence</summary><EvidenceList evidence={component.evidence} /></details>}
          {component.explanations.length > 0 &&
            <details open><summary>What may lie behind it</summary><Explanations explanations={component.explanations} /></details>}
        </div>
      </div>
    </section>
  )
}
