// Something fetched: loaded when its key changes, and again when somebody saved.
import { useCallback, useEffect, useRef, useState } from 'preact/hooks'
import { Refusal } from './server'

const kAgain_ms = 1500

export interface Resource<T> {
  data: T | null
  error: unknown
  reload: () => void
}

export function useResource<T>(key: string, load: () => Promise<T>, revision: string | number): Resource<T> {
  const [state, setState] = useState<{ key: string; data: T | null; error: unknown }>({ key, data: null, error: null })
  const [asked, setAsked] = useState(0)
  const newest = useRef(0)
  const { error } = state
  useEffect(() => {
    const mine = ++newest.current
    load().then(
      (data) => mine === newest.current && setState({ key, data, error: null }),
      (error: unknown) => mine === newest.current && setState((old) => ({ key, data: old.key === key ? old.data : null, error }))
    )
  }, [key, asked, revision])
  // A server that was away for a moment is asked again.
  useEffect(() => {
    if (!(error instanceof TypeError) && !(error instanceof Refusal && error.status >= 500)) return
    const timer = setTimeout(() => setAsked((n) => n + 1), kAgain_ms)
    return () => clearTimeout(timer)
  }, [error])
  const reload = useCallback(() => setAsked((n) => n + 1), [])
  // What belongs to another key is not shown for a moment under this one.
  return state.key === key ? { ...state, reload } : { data: null, error: null, reload }
}
