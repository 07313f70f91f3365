// What a person must look at, one image after the other, the least sure first: marks that nobody has
// confirmed, then images without marks. One key accepts, shifts the phases or goes on.
import { useEffect, useRef, useState } from 'preact/hooks'
import { announce } from '../announce'
import { keepDraft, marksDraft } from '../drafts'
import { Heading } from '../heading'
import { confirmed, phasesShifted } from '../image/marks_state'
import { kept, moved } from '../image/shapes'
import { useKeys } from '../keys'
import { counted } from '../numbers'
import { useResource } from '../resource'
import { go, imagePath } from '../route'
import { getImage, getProposals, getRows, getTemperatures, putMarks, sentenceOf, type Temperatures } from '../server'
import { useSurvey } from '../survey_context'
import { Waiting } from '../waiting'
import type { ImageRow, Mark } from '../wire'
import { Proposal } from './proposal'

/** An image whose marks are to be looked at. */
interface Case {
  image: Temperatures
  marks: Mark[]
  before: Mark[] // on disk
  etag: string
  reason: string | null
}

async function loadCase(row: ImageRow): Promise<Case> {
  const image = getTemperatures(row.file)
  const view = await getImage(row.file)
  if (!row.unconfirmed) {
    const { marks, reason } = await getProposals(row.file)
    return { image: await image, marks, before: view.marks?.marks ?? [], etag: view.marks_etag, reason }
  }
  const marks = view.marks?.marks ?? []
  const from = marks.find((mark) => mark.from)?.from
  return { image: await image, marks, before: marks, etag: view.marks_etag, reason: from ? `carried from ${from}` : 'proposed' }
}

/** What was accepted last, and what lay there before. */
interface Accepted {
  file: string
  before: Mark[]
  size: [number, number]
  etag: string
}

const kUnsure = -1 // marks without a confidence come before all others

function useReview() {
  const { revision } = useSurvey()
  const rows = useResource('images', () => getRows<ImageRow>('/api/images'), revision)
  const [later, setLater] = useState<string[]>([])
  const [done, setDone] = useState<string[]>([])
  const isOpen = ({ status, unconfirmed, file }: ImageRow) => (status === 'unmarked' || unconfirmed > 0) && !done.includes(file)
  const sureness = (row: ImageRow) => (row.unconfirmed ? row.confidence ?? kUnsure : 2)
  const open = (rows.data?.filter(isOpen) ?? []).sort((a, b) => sureness(a) - sureness(b))
  // What was put off comes round again after the rest.
  const next = open.find(({ file }) => !later.includes(file)) ?? open[0] ?? null
  return {
    ...rows, open, next,
    putOff: (file: string) => setLater((old) => (open.every((row) => row.file === file || old.includes(row.file)) ? [file] : [...old, file])),
    finish: (file: string) => setDone((old) => [...old, file]),
    reopen: (file: string) => setDone((old) => old.filter((other) => other !== file))
  }
}

/** The marks of the image at hand, as they were changed by key. */
function useMarksAtHand(file: string | null, found: Case | null) {
  const [changed, setChanged] = useState<{ file: string; marks: Mark[] } | null>(null)
  const now = found && changed && changed.file === file ? changed.marks : found?.marks ?? []
  const change = (by: (marks: Mark[]) => Mark[]) => file && found && now.length > 0 && setChanged({ file, marks: by(now) })
  return {
    marks: now,
    isChanged: now !== found?.marks,
    shiftPhases: () => change(phasesShifted),
    nudge: (x: number, y: number) => change((marks) => marks.map((mark) => ({
      ...mark, shape: found ? kept(moved(mark.shape, x, y), found.image.width, found.image.height) : mark.shape
    })))
  }
}

const kArrows = [['ArrowLeft', -1, 0, 'left'], ['ArrowRight', 1, 0, 'right'], ['ArrowUp', 0, -1, 'up'], ['ArrowDown', 0, 1, 'down']] as const

export function Review() {
  const { survey } = useSurvey()
  const review = useReview()
  const row = review.next
  const file = row?.file ?? null
  const [problem, setProblem] = useState<string | null>(null)
  const [last, setLast] = useState<Accepted | null>(null)
  const underWay = useRef(false)
  const [saving, setSaving] = useState(false)
  const found = useResource(`review ${file} ${row?.unconfirmed}`, async () => (row ? loadCase(row) : null), 0)
  const atHand = useMarksAtHand(file, found.data)
  const { marks } = atHand
  useEffect(() => {
    if (file) announce(`${file}, ${row?.component ?? ''}`)
  }, [file])

  /** One at a time: the second press of a key comes before the first one's answer. */
  const alone = async (work: () => Promise<void>) => {
    if (underWay.current) return
    underWay.current = true
    setSaving(true)
    try {
      await work()
      setProblem(null)
    } catch (error) {
      setProblem(sentenceOf(error))
      found.reload()
    } finally {
      underWay.current = false
      setSaving(false)
    }
  }
  const accept = () => file && found.data && marks.length > 0 && void alone(async () => {
    const { image: { width, height }, before, etag } = found.data as Case
    const size: [number, number] = [width, height]
    const { marks_etag } = await putMarks(file, { version: 1, image: file, size, marks: confirmed(marks) }, etag)
    setLast({ file, before, size, etag: marks_etag })
    review.finish(file)
  })
  const undo = () => last && void alone(async () => {
    await putMarks(last.file, { version: 1, image: last.file, size: last.size, marks: last.before }, last.etag)
    setLast(null)
    review.reopen(last.file)
    found.reload()
  })
  const later = () => file && review.putOff(file)
  const edit = () => {
    if (!file || !row) return
    if (atHand.isChanged && found.data) keepDraft(marksDraft(survey.name, file), { etag: found.data.etag, value: marks })
    go(`${imagePath(file)}${marks.length && !row.unconfirmed && !atHand.isChanged ? '?proposal=1' : ''}`)
  }
  useKeys([
    { key: 'a', does: 'accept: the marks lie on their lugs, with their phases', run: () => void accept() },
    { key: 'z', does: 'take the last accepting back', run: () => void undo() },
    { key: 'p', does: 'shift the phases on by one lug', run: atHand.shiftPhases },
    { key: 'n', does: 'next: put this image off', run: later },
    { key: 'e', does: 'edit this image’s marks by hand', run: edit },
    ...kArrows.map(([key, x, y, way]) => ({ key, does: `move all marks ${way} by a pixel`, run: () => atHand.nudge(x, y), repeats: true }))
  ])
  if (!review.data) return <><Heading title="Marks to review" /><Waiting error={review.error} what="The images are being read" /></>
  const unmarked = review.open.filter(({ status }) => status === 'unmarked').length
  return (
    <div class="queue">
      <Heading title="Marks to review" />
      <p role="status">{review.open.length
        ? `${counted(review.open.length, 'image')} to look at, ${unmarked} of them without marks.`
        : 'Every image that can be measured has marks that somebody confirmed.'}
        {last && <> Accepted: <a href={imagePath(last.file)}>{last.file}</a> <button type="button" class="quiet" disabled={saving} onClick={() => void undo()}>Undo</button> <kbd>z</kbd></>}</p>
      {problem && <p class="notice" role="alert">{problem}</p>}
      {row &&
        <div class="actions">
          <button type="button" class="main" disabled={!marks.length || saving} onClick={() => void accept()}>Accept <kbd>a</kbd></button>
          <button type="button" disabled={!marks.length} onClick={atHand.shiftPhases}>Shift phases <kbd>p</kbd></button>
          <button type="button" onClick={edit}>Edit <kbd>e</kbd></button>
          <button type="button" onClick={later}>Next <kbd>n</kbd></button>
        </div>}
      {row && (found.data
        ? <Proposal row={row} image={found.data.image} marks={marks} reason={found.data.reason} />
        : <Waiting error={found.error} what={`Reading ${file}`} />)}
      {!review.open.length && <p><a href="/">To the ranked list of {survey.site ?? survey.name}</a></p>}
    </div>
  )
}
