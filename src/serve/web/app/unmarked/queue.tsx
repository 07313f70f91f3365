// Images without marks, one after the other: accept what is proposed, skip, or go and mark.
import { useEffect, useState } from 'preact/hooks'
import { announce } from '../announce'
import { Heading } from '../heading'
import { useKeys } from '../keys'
import { counted } from '../numbers'
import { useResource } from '../resource'
import { go, imagePath } from '../route'
import { getProposals, getRows, getTemperatures, putMarks, sentenceOf } from '../server'
import { useSurvey } from '../survey_context'
import { Waiting } from '../waiting'
import type { ImageRow } from '../wire'
import { Proposal } from './proposal'

function useQueue() {
  const { revision } = useSurvey()
  const rows = useResource('images', () => getRows<ImageRow>('/api/images'), revision)
  const [skipped, setSkipped] = useState<string[]>([])
  const [accepted, setAccepted] = useState<string[]>([])
  const open = rows.data?.filter(({ status, file }) => status === 'unmarked' && !accepted.includes(file)) ?? []
  // What was skipped comes round again after the rest.
  const next = open.find(({ file }) => !skipped.includes(file)) ?? open[0] ?? null
  return {
    ...rows, open, next,
    skip: (file: string) => setSkipped((old) => (open.every((row) => row.file === file || old.includes(row.file)) ? [file] : [...old, file])),
    accept: (file: string) => setAccepted((old) => [...old, file])
  }
}

export function Queue() {
  const { survey } = useSurvey()
  const queue = useQueue()
  const file = queue.next?.file ?? null
  const [problem, setProblem] = useState<string | null>(null)
  const [last, setLast] = useState<string | null>(null)
  const shown = useResource(`proposed ${file}`, async () => {
    if (!file) return null
    const [proposal, image] = await Promise.all([getProposals(file), getTemperatures(file)])
    return { proposal, image }
  }, 0)
  useEffect(() => {
    if (file) announce(`${file}, ${queue.next?.component ?? ''}`)
  }, [file])

  const marks = shown.data?.proposal.marks ?? []
  const accept = async () => {
    if (!file || !shown.data || !marks.length) return
    const { width, height } = shown.data.image
    try {
      await putMarks(file, { version: 1, image: file, size: [width, height], marks }, 'none')
      setProblem(null)
      setLast(file)
      queue.accept(file)
    } catch (error) {
      setProblem(sentenceOf(error))
    }
  }
  const skip = () => file && queue.skip(file)
  const edit = () => file && go(`${imagePath(file)}${marks.length ? '?proposal=1' : ''}`)
  useKeys([
    { key: 'a', does: 'accept the proposed marks', run: () => void accept() },
    { key: 's', does: 'skip this image for now', run: skip },
    { key: 'e', does: 'edit: mark this image by hand', run: edit }
  ])
  if (!queue.data) return <><Heading title="Unmarked images" /><Waiting error={queue.error} what="The images are being read" /></>
  return (
    <div class="queue">
      <Heading title="Unmarked images" />
      <p role="status">{queue.open.length ? `${counted(queue.open.length, 'image')} without marks.` : 'Every image that can be measured has marks.'}
        {last && <> Accepted: <a href={imagePath(last)}>{last}</a></>}</p>
      {problem && <p class="notice" role="alert">{problem}</p>}
      {queue.next &&
        <div class="actions">
          <button type="button" class="main" disabled={!marks.length} onClick={() => void accept()}>Accept <kbd>a</kbd></button>
          <button type="button" onClick={edit}>Edit <kbd>e</kbd></button>
          <button type="button" onClick={skip}>Skip <kbd>s</kbd></button>
        </div>}
      {queue.next && (shown.data
        ? <Proposal row={queue.next} image={shown.data.image} marks={marks} reason={shown.data.proposal.reason} />
        : <Waiting error={shown.error} what={`Looking for lugs on ${file}`} />)}
      {!queue.open.length && <p><a href="/">To the ranked list of {survey.site ?? survey.name}</a></p>}
    </div>
  )
}
