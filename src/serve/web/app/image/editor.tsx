// One image: the picture with its marks, the ladder they lead to, and the parameters behind the numbers.
import { useEffect, useMemo } from 'preact/hooks'
import { announce } from '../announce'
import { marksDraft } from '../drafts'
import { BandReason, Verdict } from '../evidence'
import { useKeys } from '../keys'
import { Ladder } from '../ladder'
import { BandTag, bandName } from '../meaning'
import { degrees, kelvins } from '../numbers'
import { go, imagePath } from '../route'
import { getRows, photoPath, sentenceOf, type Temperatures } from '../server'
import { useSurvey } from '../survey_context'
import type { ComponentResult, ImageRow, ImageView, LugResult, Mark, TryRequest } from '../wire'
import { Canvas } from './canvas'
import { temperatureAt } from './colouring'
import { Conflict } from './conflict'
import { kPictureKeys, useEditing, type Editing } from './editing'
import { useLive } from './live'
import { MarkForm } from './mark_form'
import { confirmed, isConfirmed, useMarks } from './marks_state'
import { MarksTable } from './marks_table'
import { useParameterEdits } from './parameter_edits'
import { Parameters } from './parameters'
import { RangePanel, useColours } from './range_panel'
import { useSaving } from './saving'
import { ScaleBar } from './scale_bar'
import { kToolKeys, Toolbar } from './toolbar'

const kNoLugs: LugResult[] = []

// The selected mark's numbers, or else the temperature under the pointer.
function Selected({ lug }: { lug: LugResult }) {
  return (
    <p class="readout number">
      <strong>{lug.name}</strong> <span>{degrees(lug.temperature_c)}</span>
      <span><strong>{kelvins(lug.rise_over_like_c, lug.rise_over_like_u_c)}</strong> over like</span>
      <span>{kelvins(lug.rise_over_air_c)} over air</span> <BandTag band={lug.band} />
    </p>
  )
}

function Cursor({ editing, image }: { editing: Editing; image: Temperatures }) {
  const at = editing.pointer ?? editing.cross
  const value = at && temperatureAt(image, ...at)
  return (
    <p class="cursor number" id="cursor">
      {at && value !== null ? <>{Math.round(at[0])}, {Math.round(at[1])}: <strong>{degrees(value)}</strong> <span class="aside">as stored</span></>
        : <span class="aside">Point at the picture for its temperature.</span>}
    </p>
  )
}

// The selected lug's rise and band, spoken when they have come to rest.
function useSpokenNumbers(lugs: LugResult[], selected: string | null, changed: boolean) {
  const { bands } = useSurvey().survey.policy
  const lug = lugs.find(({ name }) => name === selected)
  const sentence = lug && changed
    ? `${lug.name}: ${degrees(lug.temperature_c)}, ${kelvins(lug.rise_over_like_c)} over like, band ${bandName(bands, lug.band)}` : ''
  useEffect(() => {
    if (sentence) announce(sentence, 600)
  }, [sentence])
}

function SaveBar({ marks, saving, next }: { marks: ReturnType<typeof useMarks>; saving: ReturnType<typeof useSaving>; next: () => void }) {
  return (
    <div class="save-bar">
      <button type="button" class="main" disabled={!marks.unsaved || saving.busy} onClick={() => void saving.save()}>Save marks</button>
      <button type="button" disabled={!marks.marks.length || saving.busy} onClick={next}>Save, next without marks</button>
      <button type="button" disabled={!marks.unsaved} onClick={marks.revert}>As they were saved</button>
      {!marks.marks.every(isConfirmed) && <button type="button" onClick={() => marks.change(confirmed(marks.marks))}>The marks are right</button>}
      <span class="aside" role="status">{saving.busy ? 'saving …' : marks.unsaved ? 'not saved yet' : 'all marks are saved'}</span>
      {saving.others && <p class="notice">Someone else has saved marks of this image. Saving yours shows both versions first.</p>}
      {saving.problem && <p class="notice" role="alert">{saving.problem}</p>}
    </div>
  )
}

export function Editor({ view, image, proposed, reload }: {
  view: ImageView
  image: Temperatures
  proposed: Mark[] | null
  reload: () => void
}) {
  const { survey } = useSurvey()
  const marks = useMarks(view.marks?.marks ?? [], view.marks_etag, marksDraft(survey.name, view.file), proposed)
  const parameters = useParameterEdits(view, reload)
  const { edits, isEdited: edited } = parameters
  const question = useMemo<TryRequest | null>(() => (marks.unsaved || edited
    ? { file: view.file, marks: marks.marks, ...(edited ? { parameters: edits } : {}) } : null), [marks.unsaved, marks.marks, edits])
  const live = useLive(question)
  // What cannot be measured as it stands shows no numbers, least of all those of before.
  const failed = live.error !== null
  const lugs = failed ? kNoLugs : (live.answer?.result ?? view.result).lugs ?? kNoLugs
  const component: ComponentResult | null = failed ? null : live.answer ? live.answer.component_result : view.component_result
  const editing = useEditing(image, marks, lugs)
  const saving = useSaving(view, marks, reload)
  const colours = useColours(image, view.like_images, view.motor)
  useSpokenNumbers(lugs, editing.selected, live.answer !== null)
  useEffect(() => {
    const keyed = (event: KeyboardEvent) => {
      if (!(event.ctrlKey || event.metaKey) || document.querySelector('dialog[open]')) return
      const key = event.key.toLowerCase()
      const typing = (event.target as Element).matches?.('input:not([type=checkbox]), textarea')
      if (key === 's') void saving.save()
      else if (typing) return
      else if (key === 'y' || (key === 'z' && event.shiftKey)) marks.redo()
      else if (key === 'z') marks.undo()
      else return
      event.preventDefault()
    }
    document.addEventListener('keydown', keyed)
    return () => document.removeEventListener('keydown', keyed)
  })
  useKeys([
    ...kToolKeys.map(({ tool, title, key }) => ({ key, does: title.toLowerCase(), run: () => editing.setTool(tool) })),
    ...kPictureKeys, { key: 'Ctrl Z', does: 'undo; with Shift redo' }, { key: 'Ctrl S', does: 'save the marks' }
  ])
  const next = async () => {
    if (!(await saving.save())) return
    const rows = await getRows<ImageRow>('/api/images').catch(() => [])
    const unmarked = rows.find(({ status, file }) => status === 'unmarked' && file !== view.file)
    go(unmarked ? imagePath(unmarked.file) : '/review')
  }
  const lug = lugs.find(({ name }) => name === editing.selected)
  const cursor_at = editing.pointer ?? editing.cross

  return (
    <div class="editor">
      <section class="seen" aria-label="The picture">
        <Toolbar editing={editing} marks={marks} />
        <SaveBar marks={marks} saving={saving} next={() => void next()} />
        <Canvas image={image} range={colours.range} map={colours.map} scene={editing.scene} wishes={editing.wishes}
          doing={{ tool: editing.tool, marks: marks.marks, selected: editing.selected }} onKeyDown={editing.onKeyDown}
          handle={editing.handle} describedBy="cursor"
          label={`Thermal image of ${view.motor}, ${view.component}. Arrow keys move ${editing.mark ? `mark ${editing.mark.name}` : 'the cross'}; the marks are listed in the table below.`} />
        <ScaleBar map={colours.map} range={colours.range} cursor_c={cursor_at && temperatureAt(image, ...cursor_at)} />
        <div class="readouts">
          {lug && <Selected lug={lug} />}
          <Cursor editing={editing} image={image} />
        </div>
        <RangePanel colours={colours} likes={view.like_images.filter((file) => file !== view.file).length} />
        {view.photo &&
          <details class="photo"><summary>Photograph</summary>
            <img src={photoPath(view.file)} alt={`Photograph of ${view.motor}, ${view.component}`} loading="lazy" /></details>}
      </section>
      <section class="led-to" aria-label="What it comes to">
        <div class="stays">
          {failed && <p class="notice" role="alert">{sentenceOf(live.error)}</p>}
          <Ladder svg={component?.ladder_svg ?? null} {...(failed ? { wait: 'No numbers until this is mended.' } : {})} />
          {component && <><BandReason lugs={component.lugs} /><Verdict result={component} /></>}
        </div>
      </section>
      <section class="marked" aria-label="Marks">
        <MarksTable marks={marks.marks} lugs={lugs} selected={editing.selected} select={editing.select} />
        <MarkForm editing={editing} marks={marks} />
      </section>
      <Parameters view={view} parameters={parameters} wrong={edited ? live.error : null}
        before={view.result.lugs ?? kNoLugs} after={edited && live.answer ? lugs : null} />
      {saving.meeting &&
        <Conflict file={view.file} size={[image.width, image.height]} mine={marks.marks} theirs={saving.meeting.theirs}
          keepMine={saving.keepMine} takeTheirs={saving.takeTheirs} merge={saving.merge} later={saving.later} />}
    </div>
  )
}
