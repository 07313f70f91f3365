// What is drawn or typed and not saved yet: kept in the browser, with the version that it grew from.
import { useCallback, useState } from 'preact/hooks'

export interface Kept<T> {
  etag: string
  value: T
}

export function readDraft<T>(key: string): Kept<T> | null {
  try {
    const found = JSON.parse(localStorage.getItem(key) ?? 'null') as Kept<T> | null
    return typeof found?.etag === 'string' ? found : null
  } catch {
    return null
  }
}

export function keepDraft<T>(key: string, draft: Kept<T> | null) {
  if (draft) localStorage.setItem(key, JSON.stringify(draft))
  else localStorage.removeItem(key)
}

export function useDraft<T>(key: string): [Kept<T> | null, (draft: Kept<T> | null) => void] {
  const [draft, setDraft] = useState(() => readDraft<T>(key))
  const keep = useCallback((next: Kept<T> | null) => {
    keepDraft(key, next)
    setDraft(next)
  }, [key])
  return [draft, keep]
}

export const marksDraft = (survey: string, file: string) => `ohmglow.marks ${survey} ${file}`
