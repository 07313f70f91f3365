// The bench's calls to the server, and what it makes of rows that are not saved yet.
import { useAnswer } from '../image/live'
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

type Question = BenchRows & { motor: string; stage: Stage }

/** What the rows say with those that are saved; null while there are none. */
export const useTried = (question: Question | null) =>
  useAnswer(question, (asked: Question) => json<BenchTried>('POST', '/api/bench/try', { body: asked }))
