// The marks under a person's hand: every change can be undone, and nothing is lost on the way out.
import { useEffect, useReducer, useState } from 'preact/hooks'
import { keepDraft, readDraft } from '../drafts'
import type { Mark, Phase, Shape } from '../wire'

interface State {
  past: Mark[][]
  now: Mark[]
  future: Mark[][]
  saved: Mark[]
  stroke: number | null // changes of one stroke are undone together
}

type Action =
  | { do: 'change'; marks: Mark[]; stroke: number | null }
  | { do: 'undo' | 'redo' }
  | { do: 'saved'; marks: Mark[] } // what lies on disk now
  | { do: 'revert' }

function after(state: State, action: Action): State {
  const { past, now, future } = state
  switch (action.do) {
    case 'change':
      return {
        ...state, now: action.marks, future: [], stroke: action.stroke,
        past: action.stroke !== null && action.stroke === state.stroke ? past : [...past, now]
      }
    case 'undo':
      return past.length ? { ...state, past: past.slice(0, -1), now: past[past.length - 1]!, future: [now, ...future], stroke: null } : state
    case 'redo':
      return future.length ? { ...state, past: [...past, now], now: future[0]!, future: future.slice(1), stroke: null } : state
    case 'saved':
      return { ...state, saved: action.marks, stroke: null }
    case 'revert':
      return { ...state, past: [...past, now], now: state.saved, future: [], stroke: null }
  }
}

const same = (a: Mark[], b: Mark[]) => JSON.stringify(a) === JSON.stringify(b)

/** Unsaved marks outlive a closed tab or a stopped server; `etag` is the version of those on disk. */
export function useMarks(saved: Mark[], etag: string, draftKey: string, proposed: Mark[] | null) {
  const [draft] = useState(() => (proposed ? { etag, value: proposed } : readDraft<Mark[]>(draftKey)))
  const fresh = draft !== null && !same(draft.value, saved)
  const [state, dispatch] = useReducer(after, null, (): State =>
    ({ past: fresh ? [saved] : [], now: fresh ? draft.value : saved, future: [], saved, stroke: null }))
  const [grewFrom, setGrewFrom] = useState(fresh ? draft.etag : etag)
  const unsaved = !same(state.now, state.saved)
  useEffect(() => {
    keepDraft(draftKey, unsaved ? { etag: grewFrom, value: state.now } : null)
  }, [unsaved, state.now, grewFrom])
  return {
    marks: state.now, saved: state.saved, unsaved, grewFrom, setGrewFrom,
    canUndo: state.past.length > 0, canRedo: state.future.length > 0,
    change: (marks: Mark[], stroke: number | null = null) => dispatch({ do: 'change', marks, stroke }),
    undo: () => dispatch({ do: 'undo' }),
    redo: () => dispatch({ do: 'redo' }),
    markSaved: (marks: Mark[]) => dispatch({ do: 'saved', marks }),
    revert: () => dispatch({ do: 'revert' })
  }
}

export type Marks = ReturnType<typeof useMarks>

export function freeName(marks: Mark[], wish: string): string {
  const taken = new Set(marks.map(({ name }) => name))
  if (!taken.has(wish)) return wish
  for (let i = 2; ; ++i) if (!taken.has(`${wish} ${i}`)) return `${wish} ${i}`
}

/** A new lug takes the first phase that has none. */
export function newMark(marks: Mark[], shape: Shape): Mark {
  const taken = marks.filter(({ role }) => role === 'lug').map(({ phase }) => phase)
  const phase = ([1, 2, 3] as Phase[]).find((candidate) => !taken.includes(candidate)) ?? 1
  return { name: freeName(marks, `T${phase}`), role: 'lug', phase, shape, origin: 'hand' }
}

/** Whether a person has looked; what a program set counts as not seen until then. */
export const isConfirmed = (mark: Mark) => mark.confirmed ?? (mark.origin === undefined || mark.origin === 'hand')

export const confirmed = (marks: Mark[]) => marks.map((mark) => (isConfirmed(mark) ? mark : { ...mark, confirmed: true }))

/** Each lug's mark with the name and phase of the next one. */
export function phasesShifted(marks: Mark[]): Mark[] {
  const lugs = marks.filter(({ role }) => role === 'lug')
  return marks.map((mark) => {
    const at = lugs.indexOf(mark)
    if (at < 0) return mark
    const { name, phase } = lugs[(at + 1) % lugs.length] as Mark
    return { ...mark, name, ...(phase === undefined ? {} : { phase }) }
  })
}

/** A person who touches a proposed or carried mark makes it their own. */
export function byHand(mark: Mark, change: Partial<Mark>): Mark {
  const { confidence: _confidence, from: _from, confirmed: _confirmed, ...rest } = mark
  const next = { ...(mark.origin && mark.origin !== 'hand' ? { ...rest, origin: 'hand' as const } : mark), ...change }
  for (const key of Object.keys(next) as (keyof Mark)[]) if (next[key] === undefined) delete next[key]
  return next
}
