// Server-sent events: the measuring's progress, and what somebody saved.
import { useEffect, useRef } from 'preact/hooks'
import type { Progress } from './wire'

export interface Changed {
  revision: number
  motor: string | null
  file: string | null
}

export interface Listener {
  progress: (progress: Progress) => void
  changed: (changed: Changed) => void
  connected: (yes: boolean) => void
}

const kCalm_ms = 250
const kLongest_ms = 2000

/** Runs once for events that follow each other quickly, as while a survey is measured. */
export function calmly(run: () => void): () => void {
  let timer: ReturnType<typeof setTimeout> | undefined
  let first = 0
  return () => {
    const now = Date.now()
    if (timer === undefined) first = now
    clearTimeout(timer)
    timer = setTimeout(() => {
      timer = undefined
      run()
    }, Math.max(0, Math.min(kCalm_ms, first + kLongest_ms - now)))
  }
}

export function useEvents(listener: Listener) {
  const current = useRef(listener)
  current.current = listener
  useEffect(() => {
    const source = new EventSource('/api/events')
    const data = (event: Event) => JSON.parse((event as MessageEvent<string>).data) as unknown
    source.addEventListener('progress', (event) => current.current.progress(data(event) as Progress))
    source.addEventListener('changed', (event) => current.current.changed(data(event) as Changed))
    source.addEventListener('open', () => current.current.connected(true))
    source.addEventListener('error', () => current.current.connected(false))
    return () => source.close()
  }, [])
}
