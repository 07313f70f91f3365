// The bench's calls to the server, and what it makes of rows that are not saved yet.
import { useLayoutEffect, useRef, useState } from 'preact/hooks'
import { LatestWins } from '../image/live'
import { json } from '../server'
import type { BenchRows, BenchTried, BenchView, Cells, Stage } from './bench_wire'

const of = (motor: string) => `motor=${encodeURIComponent(motor)}`

export const getBench = (motor: string, stage: Stage) => json<BenchView>('GET', `/api/bench?${of(motor)}&stage=${stage}`)

export interface SavedRows {
  row: number | null
  etag: string
}

export const postRows = (table: 'sweeps' | 'air_gaps', motor: string, rows: Cells[], etag: string) =>
  json<SavedRows>('POST', `/api/${table}?${of(motor)}`, { body: { rows }, etag })

export const postShopTest = (motor: string, cells: Cells, etag: string) =>
  json<{ row: number }>('POST', `/api/readings?${of(motor)}`, { body: { motor, ...cells }, etag })

export interface Tried {
  answer: BenchTried | null
  error: unknown
}

type Question = BenchRows & { motor: string; stage: Stage }

/** What the rows say with those that are saved; null while there are none. */
export function useTried(question: Question | null): Tried {
  const [tried, setTried] = useState<Tried>({ answer: null, error: null })
  const wanted = useRef(false)
  const asker = useRef<LatestWins<Question, BenchTried>>()
  asker.current ??= new LatestWins<Question, BenchTried>(
    (asked) => json<BenchTried>('POST', '/api/bench/try', { body: asked }),
    (answer) => wanted.current && setTried({ answer, error: null }),
    (error) => wanted.current && setTried((old) => ({ ...old, error }))
  )
  const text = question && JSON.stringify(question)
  useLayoutEffect(() => {
    wanted.current = question !== null
    if (question) asker.current?.put(question)
    else {
      asker.current?.forget()
      setTried({ answer: null, error: null })
    }
  }, [text])
  return tried
}
