// An image that gives no temperatures: its parameters may be what is missing (unit, scale, page).
import { useState } from 'preact/hooks'
import { patchParameters, sentenceOf } from '../server'
import type { ImageView } from '../wire'
import { Parameters, type Edits } from './parameters'

const kDeclared = ['scale', 'offset', 'unit', 'page']

export function Unreadable({ view, reload }: { view: ImageView; reload: () => void }) {
  const [edits, setEdits] = useState<Edits>({})
  const [saving, setSaving] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  const save = async () => {
    setSaving(true)
    try {
      await patchParameters(view.file, edits, view.parameters_etag)
      setEdits({})
      setProblem(null)
      reload()
    } catch (error) {
      setProblem(sentenceOf(error))
    } finally {
      setSaving(false)
    }
  }
  return (
    <>
      <p>This file gives no temperatures. Where a declaration is missing, it can be made below (scale, offset, unit, page);
        otherwise the file itself must be mended.</p>
      {problem && <p class="notice" role="alert">{problem}</p>}
      <Parameters view={view} edits={edits} setEdits={setEdits} before={[]} after={null} save={() => void save()} saving={saving}
        first={kDeclared} />
    </>
  )
}
