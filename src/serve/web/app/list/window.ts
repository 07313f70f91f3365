// Only the rows in sight are in the document: fixed heights, so that 100 000 rows scroll like ten.
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks'

const kSpare = 8 // rows kept ready above and below
const kMostPrinted = 2000

export interface Window {
  from: number
  to: number // exclusive
  height: number // of all rows together, px
  top: number // of the first row in the document, px
}

function inSight(list: HTMLElement | null, count: number, row_px: number): [number, number] {
  const top = list ? list.getBoundingClientRect().top : 0
  const from = Math.max(0, Math.floor(-top / row_px) - kSpare)
  return [Math.min(from, count), Math.min(count, Math.ceil((innerHeight - top) / row_px) + kSpare)]
}

/** The rows of a list that grows with the document and scrolls with it. */
export function useWindow(count: number, row_px: number) {
  const list = useRef<HTMLDivElement>(null)
  const [[from, to], setRange] = useState<[number, number]>([0, Math.min(count, 40)])
  const look = () =>
    setRange((old) => {
      const now = inSight(list.current, count, row_px)
      return old[0] === now[0] && old[1] === now[1] ? old : now
    })
  useLayoutEffect(look, [count, row_px])
  useEffect(() => {
    const printing = () => setRange([0, Math.min(count, kMostPrinted)])
    addEventListener('scroll', look, { passive: true })
    addEventListener('resize', look)
    addEventListener('beforeprint', printing)
    addEventListener('afterprint', look)
    return () => {
      removeEventListener('scroll', look)
      removeEventListener('resize', look)
      removeEventListener('beforeprint', printing)
      removeEventListener('afterprint', look)
    }
  }, [count, row_px])

  const reveal = (index: number) => {
    if (!list.current) return
    const head = document.querySelector('.list-head')?.getBoundingClientRect().bottom ?? 0
    const top = list.current.getBoundingClientRect().top + index * row_px
    if (top < head) scrollBy(0, top - head)
    else if (top + row_px > innerHeight) scrollBy(0, top + row_px - innerHeight)
    look()
  }
  const end = Math.min(to, count)
  const shown: Window = { from: Math.min(from, end), to: end, height: count * row_px, top: Math.min(from, end) * row_px }
  return { list, window: shown, reveal }
}
