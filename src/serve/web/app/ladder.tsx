// The phase ladder, drawn by the server's own code; it takes the page's colours through CSS variables.
import { useEffect, useRef } from 'preact/hooks'

export function Ladder({ svg, wait }: { svg: string | null; wait?: string }) {
  const box = useRef<HTMLDivElement>(null)
  useEffect(() => {
    if (!box.current) return
    const drawing = svg && new DOMParser().parseFromString(svg, 'image/svg+xml').documentElement
    box.current.replaceChildren(...(drawing && drawing.localName === 'svg' ? [document.importNode(drawing, true)] : []))
  }, [svg])
  return (
    <figure class="ladder-box">
      <div ref={box} />
      {!svg && <p class="aside">{wait ?? 'No ladder: nothing is measured here yet.'}</p>}
    </figure>
  )
}
