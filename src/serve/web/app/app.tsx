// The whole page: the survey, its news, and the screen that the address names.
import { useRef, useState } from 'preact/hooks'
import { BenchScreen } from './bench/bench_screen'
import { CompareScreen } from './compare/compare_screen'
import { Frame } from './frame'
import { ImageScreen } from './image/image_screen'
import { Images } from './list/images'
import { Motors } from './list/motors'
import { RankedList } from './list/ranked_list'
import { MotorScreen } from './motor/motor_screen'
import { useNews } from './news'
import { useRoute, type Route } from './route'
import { getSurvey, sentenceOf } from './server'
import { StartScreen } from './start/start_screen'
import { SurveyContext } from './survey_context'
import { Review } from './review/queue'
import { Surveys } from './surveys'
import { Unknown } from './unknown'
import type { News, Progress, Survey } from './wire'

function Screen({ route }: { route: Route }) {
  switch (route.screen) {
    case 'motor': return <MotorScreen key={route.motor} motor={route.motor} />
    case 'bench': return <BenchScreen key={route.motor} motor={route.motor} />
    case 'compare': return <CompareScreen key={route.motor} motor={route.motor} />
    case 'image': return <ImageScreen key={route.file} file={route.file} />
    case 'motors': return <Motors />
    case 'images': return <Images />
    case 'review': return <Review />
    case 'unknown': return <Unknown path={route.path} />
    default: return <RankedList />
  }
}

/** Those that could not be had while the server was away. */
function loadPicturesAgain() {
  for (const picture of document.images) {
    if (picture.complete && picture.naturalWidth === 0 && picture.getAttribute('src')) picture.src = picture.src
  }
}

export function App() {
  const route = useRoute()
  const [survey, setSurvey] = useState<Survey | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [progress, setProgress] = useState<Progress | null>(null)
  const [connected, setConnected] = useState(true)
  const [holds, setHolds] = useState<News['holds'] | null>(null)
  const [revision, setRevision] = useState('')

  const heard = useRef<News | null>(null)
  useNews((news, refused) => {
    if (news && !connected) loadPicturesAgain()
    setConnected(news !== null)
    if (refused) setProblem(sentenceOf(refused))
    if (!news) return
    setHolds(news.holds)
    if (news.holds !== 'survey') return
    setProgress(news.progress)
    const before = heard.current
    const isMeasuring = news.progress.done < news.progress.total
    const differs = !before || before.run !== news.run || before.changes !== news.changes ||
      (before.revision !== news.revision && !isMeasuring)
    if (!differs) return
    getSurvey().then(
      (fresh) => {
        heard.current = news
        setSurvey(fresh)
        setRevision(`${news.run} ${news.changes} ${fresh.revision}`)
        setProblem(null)
      },
      (error: unknown) => setProblem(sentenceOf(error))
    )
  })

  if (holds === 'nothing') return <StartScreen />
  if (holds === 'surveys') return <Surveys />
  if (!survey) {
    return <main class="alone"><h1>ohmglow</h1><p role="status">{problem ?? (connected ? 'The survey is being read.' : 'The server does not answer yet. This page goes on as soon as it does.')}</p></main>
  }
  return (
    <SurveyContext.Provider value={{ survey, revision }}>
      <Frame route={route} progress={progress} connected={connected}><Screen route={route} /></Frame>
    </SurveyContext.Provider>
  )
}
