// The survey and its revision, for every component.
import { createContext } from 'preact'
import { useContext } from 'preact/hooks'
import type { Survey } from './wire'

export interface Shared {
  survey: Survey
  /** Another one when a file of the survey changed, here or at somebody else's desk, or the server began anew. */
  revision: string
}

export const SurveyContext = createContext<Shared | null>(null)

export function useSurvey(): Shared {
  const shared = useContext(SurveyContext)
  if (!shared) throw new Error('no survey around this component')
  return shared
}
