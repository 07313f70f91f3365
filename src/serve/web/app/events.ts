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
