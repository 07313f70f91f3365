import { useState } from 'preact/hooks'
import { Heading } from '../heading'
import { useResource } from '../resource'
import { comparePath, imagePath, motorPath, queried } from '../route'
import { getImage, getProposals, getTemperatures } from '../server'
import { useSurvey } from '../survey_context'
import { Waiting } from '../waiting'
import type { ImageView } from '../wire'
import { Editor } from './editor'
import { Unreadable } from './unreadable'

function Neighbours({ view }: { view: ImageView }) {
  const others = view.like_images.filter((file) => file !== view.file)
  if (!others.length && !view.earlier_images.length) return null
  return (
    <nav class="neighbours" aria-label="Other images of this motor">
      {others.length > 0 && <>Also of {view.motor}: {others.map((file) => <a key={file} href={imagePath(file)}>{file}</a>)} · </>}
      <a href={comparePath(view.motor, view.file)}>Two images side by side</a>
    </nav>
  )
}

export function ImageScreen({ file }: { file: string }) {
  const { revision } = useSurvey()
  const { data: view, error, reload } = useResource(`image ${file}`, () => getImage(file), revision)
  const readable = view !== null && view.width !== null
  const pixels = useResource(`pixels ${file} ${readable}`, async () => (readable ? getTemperatures(file) : null), 0)
  // "edit" in the review leads here with the proposal as a draft.
  const [wantsProposal] = useState(() => queried('proposal') === '1')
  const proposal = useResource(`proposal ${file}`, async () => (wantsProposal ? (await getProposals(file)).marks : null), 0)
  if (!view) return <><Heading title={file} /><Waiting error={error} what="The image is being read" /></>
  const ready = pixels.data && (!wantsProposal || proposal.data || proposal.error)
  return (
    <>
      <p class="kicker"><a href={motorPath(view.motor)}>{view.motor}</a>, {view.component}
        {view.taken_at && <> · taken {view.taken_at}</>}</p>
      <Heading title={file} />
      {view.result.problems.length > 0 &&
        <ul class="notice">{view.result.problems.map((problem) => <li key={problem}>{problem}</li>)}</ul>}
      {ready && pixels.data
        ? <Editor view={view} image={pixels.data} proposed={proposal.data} reload={reload} />
        : readable ? <Waiting error={pixels.error} what="The temperatures are being read" />
          : <Unreadable view={view} reload={reload} />}
      <Neighbours view={view} />
    </>
  )
}
