// Which findings a filtered list shows, for whoever saves them.
import { useEffect } from 'preact/hooks'

let ranks: number[] | null = null

/** Null where nothing is filtered. */
export const shownRanks = () => ranks

export function useShownRanks(now: number[] | null) {
  useEffect(() => {
    ranks = now
    return () => void (ranks = null)
  }, [now])
}
