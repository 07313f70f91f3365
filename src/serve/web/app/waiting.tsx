import { Refusal, sentenceOf } from './server'

/** What stands where something is still to come, or did not. */
export function Waiting({ error, what }: { error: unknown; what: string }) {
  if (error instanceof Refusal && error.status === 404) {
    return (
      <>
        <p class="notice" role="alert">{error.message}{error.body.found && <>: <strong>{error.body.found}</strong></>}. It may have another name
          by now, or belong to another survey.</p>
        <p><a href="/">Ranked list</a> · <a href="/motors">Motors</a> · <a href="/images">Images</a></p>
      </>
    )
  }
  return error
    ? <p class="notice" role="alert">{sentenceOf(error)}</p>
    : <p class="aside" role="status">{what} …</p>
}
