// The whole page: the survey, its news, and the screen that the address names.
import { useCallback, useEffect, useMemo, useState } from 'preact/hooks'
import { BenchScreen } from './bench/bench_screen'
import { calmly, useEvents } from './events'
import { Frame } from './frame'
import { ImageScreen } from './image/image_screen'
import { Images } from './list/images'
import { Motors } from './list/motors'
import { RankedList } from './list/ranked_list'
import { MotorScreen } from './motor/motor_screen'
import { useRoute, type Route } from './route'
import { getSurvey, sentenceOf } from './server'
import { SurveyContext } from './survey_context'
import { Review } from './review/queue'
import type { Progress, Survey } from './wire'

function Screen({ route }: { route: Route }) {
  switch (route.screen) {
    case 'motor': return <MotorScreen key={route.motor} motor={route.motor} />
    case 'bench': return <BenchScreen key={route.motor} motor={route.motor} />
    case 'image': return <ImageScreen key={route.file} file={route.file} />
    case 'motors': return <Motors />
    case 'images': return <Images />
    case 'review': return <Review />
    default: return <RankedList />
  }
}

export function App() {
  const route = useRoute()
  const [survey, setSurvey] = useState<Survey | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [progress, setProgress] = useState<Progress | null>(null)
  const [connected, setConnected] = useState(true)

  const load = useCallback(() => {
    getSurvey().then(
      (fresh) => {
        setSurvey(fresh)
        setProgress(fresh.progress)
        setProblem(null)
      },
      (error: unknown) => setProblem(sentenceOf(error))
    )
  }, [])
  useEffect(load, [])
  const loadSoon = useMemo(() => calmly(load), [])
  useEvents({
    progress: (now) => {
      setProgress(now)
      if (now.done >= now.total) loadSoon()
    },
    changed: loadSoon,
    connected: (yes) => {
      setConnected(yes)
      if (yes && !connected) load() // a restarted server has a new token
    }
  })

  if (!survey) {
    return <main class="alone"><h1>ohmglow</h1><p role="status">{problem ?? 'The survey is being read.'}</p></main>
  }
  return (
    <SurveyContext.Provider value={{ survey, revision: survey.revision }}>
      <Frame route={route} progress={progress} connected={connected}><Screen route={route} /></Frame>
    </SurveyContext.Provider>
  )
}
