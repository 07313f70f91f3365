import { announce } from './announce'

export interface Done {
  what: string
  undo: () => void
}

export function done(what: string, undo: () => void): Done {
  announce(what)
  return { what, undo }
}

/** What was saved last, and the way back. */
export function SavedNote({ done: last, busy }: { done: Done | null; busy: boolean }) {
  return last && <p class="saved" role="status">{last.what}. <button type="button" class="quiet" disabled={busy} onClick={last.undo}>Undo</button></p>
}
