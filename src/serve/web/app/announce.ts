// What a screen reader is told without moving the focus.
let waiting: ReturnType<typeof setTimeout> | undefined

/** Says the last of several sentences that follow each other quickly, as while a mark is dragged. */
export function announce(sentence: string, calm_ms = 400) {
  clearTimeout(waiting)
  waiting = setTimeout(() => {
    const region = document.getElementById('spoken')
    if (!region) return
    // The same sentence again is spoken only if the text differs.
    region.textContent = region.textContent === sentence ? `${sentence}\u00a0` : sentence
  }, calm_ms)
}
