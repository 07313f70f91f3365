import { Heading } from './heading'

export function Unknown({ path }: { path: string }) {
  return (
    <>
      <Heading title="Nothing is at this address" />
      <p>The survey has no screen <strong>{path}</strong>. The link may have lost a part, or belong to another survey.</p>
      <p><a href="/">Ranked list</a> · <a href="/motors">Motors</a> · <a href="/images">Images</a> · <a href="/review">Review</a></p>
    </>
  )
}
