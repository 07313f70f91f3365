// The colours' range of a motor's images, kept while one goes from image to image and looks at two at once.
import { useCallback, useState } from 'preact/hooks'
import { useSurvey } from '../survey_context'
import type { Range } from './colouring'

export type RangeKind = 'percentile' | 'hand' | 'motor'

export interface KeptRange {
  kind: RangeKind
  left_out_pct: number
  range: Range | null // of kind 'hand'
}

const kOwn: KeptRange = { kind: 'percentile', left_out_pct: 0, range: null }

function read(key: string): KeptRange {
  try {
    return { ...kOwn, ...(JSON.parse(sessionStorage.getItem(key) ?? '{}') as Partial<KeptRange>) }
  } catch {
    return kOwn
  }
}

export function useKeptRange(motor: string): [KeptRange, (change: Partial<KeptRange>) => void] {
  const key = `ohmglow.range ${useSurvey().survey.name} ${motor}`
  const [kept, setKept] = useState(() => read(key))
  const keep = useCallback((change: Partial<KeptRange>) => {
    const next = { ...read(key), ...change }
    sessionStorage.setItem(key, JSON.stringify(next))
    setKept(next)
  }, [key])
  return [kept, keep]
}
