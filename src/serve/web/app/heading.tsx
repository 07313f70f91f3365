import type { ComponentChildren } from 'preact'
import { useEffect } from 'preact/hooks'

/** A screen's heading: it gets the focus when the screen is opened, and names the browser's tab. */
export function Heading({ title, children }: { title: string; children?: ComponentChildren }) {
  useEffect(() => {
    document.title = `${title} – ohmglow`
  }, [title])
  return <h1 tabIndex={-1}>{children ?? title}</h1>
}
