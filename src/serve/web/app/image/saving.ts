// Saving marks: with the version they grew from, so that nobody's work is overwritten unseen.
import { useEffect, useRef, useState } from 'preact/hooks'
import { announce } from '../announce'
import { putMarks, Refusal, sentenceOf } from '../server'
import type { ImageView, Mark, MarkFile } from '../wire'
import type { Marks } from './marks_state'

interface Meeting {
  theirs: Mark[]
  etag: string
}

export function useSaving(view: ImageView, marks: Marks, saved: () => void) {
  const [meeting, setMeeting] = useState<Meeting | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [busy, setBusy] = useState(false)
  const { grewFrom: etag, setGrewFrom: setEtag } = marks
  const others = view.marks_etag !== etag // somebody else has saved since

  useEffect(() => {
    if (!others || marks.unsaved || busy) return
    const theirs = view.marks?.marks ?? []
    marks.markSaved(theirs)
    marks.change(theirs)
    setEtag(view.marks_etag)
  }, [view.marks_etag])

  const underWay = useRef(false)
  /** Whether it was saved. `theirs` are the marks that it replaces, for Undo. */
  const put = async (wanted: Mark[], from: string, theirs: Mark[] | null = null): Promise<boolean> => {
    if (underWay.current) return false
    underWay.current = true
    const file: MarkFile = {
      version: 1, image: view.marks?.image ?? view.file, size: view.marks?.size ?? [view.width ?? 0, view.height ?? 0], marks: wanted
    }
    setBusy(true)
    setProblem(null)
    try {
      const answer = await putMarks(view.file, file, from)
      setEtag(answer.marks_etag)
      setMeeting(null)
      if (theirs) marks.change(theirs)
      if (theirs || wanted !== marks.marks) marks.change(wanted)
      marks.markSaved(wanted)
      announce('Marks saved')
      saved()
      return true
    } catch (error) {
      if (error instanceof Refusal && error.status === 412) {
        const current = error.answer.current as MarkFile | null
        setMeeting({ theirs: current?.marks ?? [], etag: String(error.answer.marks_etag) })
      } else setProblem(sentenceOf(error))
      return false
    } finally {
      underWay.current = false
      setBusy(false)
    }
  }
  const takeTheirs = () => {
    if (!meeting) return
    marks.markSaved(meeting.theirs)
    marks.change(meeting.theirs) // mine stay one Undo away
    setEtag(meeting.etag)
    setMeeting(null)
    saved()
  }
  return {
    busy, problem, meeting, others: others && marks.unsaved,
    /** Where nothing differs there is nothing to write: no file is made of no marks. */
    save: async () => !marks.unsaved || (await put(marks.marks, etag)),
    keepMine: () => meeting && void put(marks.marks, meeting.etag, meeting.theirs),
    merge: (chosen: Mark[]) => meeting && void put(chosen, meeting.etag, meeting.theirs),
    takeTheirs, later: () => setMeeting(null)
  }
}
