import type { ComponentChildren } from 'preact'
import { useEffect, useRef } from 'preact/hooks'

// A new screen is read from its heading on. What stands there while the screen is being loaded is
// replaced by the real one, so the focus goes along until the person does something.
let expected = false
for (const event of ['keydown', 'pointerdown']) addEventListener(event, () => (expected = false), true)

export function expectHeading() {
  expected = true
}

/** A screen's heading: it gets the focus when the screen is opened, and names the browser's tab. */
export function Heading({ title, children }: { title: string; children?: ComponentChildren }) {
  const heading = useRef<HTMLHeadingElement>(null)
  useEffect(() => {
    document.title = `${title} – ohmglow`
    if (expected) heading.current?.focus()
  }, [title])
  return <h1 ref={heading} tabIndex={-1}>{children ?? title}</h1>
}
