import { sentenceOf } from './server'

/** What stands where something is still to come, or did not. */
export function Waiting({ error, what }: { error: unknown; what: string }) {
  return error
    ? <p class="notice" role="alert">{sentenceOf(error)}</p>
    : <p class="aside" role="status">{what} …</p>
}
