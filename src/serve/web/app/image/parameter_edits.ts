// Parameters that are changed and not saved yet; what they were goes along, for conflicts and for undo.
import { useState } from 'preact/hooks'
import { useDraft } from '../drafts'
import { done, type Done } from '../saved'
import { getImage, patchParameters, Refusal, sentenceOf } from '../server'
import { useSurvey } from '../survey_context'
import type { ImageView } from '../wire'

export type Edits = Record<string, string | null>

const kNone: Edits = {}
const rowOf = (view: ImageView, name: string) => view.parameters.find((parameter) => parameter.name === name)?.row ?? null

export function useParameterEdits(view: ImageView, reload: () => void) {
  const [draft, keep] = useDraft<{ edits: Edits; was: Edits }>(`ohmglow.parameters ${useSurvey().survey.name} ${view.file}`)
  const [busy, setBusy] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  const [last, setLast] = useState<Done | null>(null)
  const edits = draft?.value.edits ?? kNone
  const was = draft?.value.was ?? kNone

  const setEdits = (next: Edits) => {
    const names = Object.keys(next)
    setProblem(null)
    keep(names.length ? {
      etag: draft?.etag ?? view.parameters_etag,
      value: { edits: next, was: Object.fromEntries(names.map((name) => [name, name in was ? was[name]! : rowOf(view, name)])) }
    } : null)
  }
  const patch = async (wanted: Edits, from: Edits, etag: string) => {
    setBusy(true)
    setProblem(null)
    try {
      let saved: ImageView
      try {
        saved = await patchParameters(view.file, wanted, etag)
      } catch (error) {
        if (!(error instanceof Refusal) || error.status !== 412) throw error
        const now = await getImage(view.file)
        const touched = Object.keys(from).filter((name) => rowOf(now, name) !== from[name])
        if (touched.length) {
          keep({ etag: now.parameters_etag, value: { edits: wanted, was: Object.fromEntries(Object.keys(wanted).map((name) => [name, rowOf(now, name)])) } })
          setProblem('Someone else has changed the same parameters meanwhile. Both values stand below; press Save again if yours hold.')
          reload()
          return
        }
        saved = await patchParameters(view.file, wanted, now.parameters_etag) // another row, or other cells of this one
      }
      keep(null)
      setLast(done('Parameters saved', () => void patch(from, wanted, saved.parameters_etag)))
      reload()
    } catch (error) {
      setProblem(sentenceOf(error))
    } finally {
      setBusy(false)
    }
  }
  return {
    edits, setEdits, busy, problem, last, isEdited: draft !== null,
    save: () => {
      if (draft && !busy) void patch(edits, was, draft.etag)
    }
  }
}

export type ParameterEdits = ReturnType<typeof useParameterEdits>
