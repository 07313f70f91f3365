// What happens at the server meanwhile: asked for every other second, by as many pages as there are.
import { useEffect, useRef } from 'preact/hooks'
import { getNews, Refusal } from './server'
import type { News } from './wire'

const kPause_ms = 1500 // the server keeps no connection open that long

/** `listen` gets the news, or null while the server does not answer; or why it refuses. */
export function useNews(listen: (news: News | null, refused?: Refusal) => void) {
  const current = useRef(listen)
  current.current = listen
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined
    let ended = false
    const ask = async () => {
      const news = await getNews().catch((error: unknown) => error)
      if (ended) return
      if (news instanceof Refusal) current.current(null, news)
      else current.current(news instanceof Error ? null : (news as News))
      timer = setTimeout(() => void ask(), kPause_ms)
    }
    void ask()
    return () => {
      ended = true
      clearTimeout(timer)
    }
  }, [])
}
