// Every call to the server, one function each.
import { said, type Titles } from './said'
import type {
  ErrorBody, ImageView, Mark, MarkFile, MotorView, News, Progress, Reading, Survey, Table, TryAnswer, TryRequest
} from './wire'
import { base } from './base'

let token = ''

/** The server's "no", with the place and the way to mend it. */
export class Refusal extends Error {
  constructor(
    readonly status: number,
    readonly body: Partial<ErrorBody>,
    readonly answer: Record<string, unknown> = {}
  ) {
    super(body.message || 'ohmglow could not do this, and did not say why')
  }
}

export function sentenceOf(error: unknown, titles: Titles = {}): string {
  if (error instanceof Refusal) return said(error.status, error.body, titles)
  if (error instanceof SyntaxError) return 'The server’s answer has come through damaged. Load the page again; what you typed is kept.'
  if (error instanceof TypeError) return 'The server does not answer. What is not saved is kept here; as soon as ohmglow serve runs again, this goes on.'
  return error instanceof Error ? error.message : String(error)
}

interface Options {
  body?: unknown
  bytes?: Blob
  etag?: string
  signal?: AbortSignal
}

export async function call(method: string, path: string, options: Options = {}, isAgain = false): Promise<Response> {
  const headers: Record<string, string> = {}
  if (method !== 'GET') {
    headers['X-Ohmglow-Token'] = token
    headers['Content-Type'] = options.bytes ? 'application/octet-stream' : 'application/json'
  }
  if (options.etag !== undefined) headers['If-Match'] = `"${options.etag}"`
  const init: RequestInit = { method, headers, signal: options.signal ?? null }
  if (options.body !== undefined) init.body = JSON.stringify(options.body)
  if (options.bytes) init.body = options.bytes
  const response = await fetch(base + path, init)
  if (response.ok) return response
  if (response.status === 403 && method !== 'GET' && !isAgain) {
    // A server that was started anew has another token; its survey tells it, or the folder that is to become one.
    const before = token
    await getSurvey().catch(async () => takeToken((await json<{ csrf: string }>('GET', '/api/start')).csrf))
    if (token !== before) return call(method, path, options, true)
  }
  const answer = (await response.json().catch(() => ({}))) as { error?: Partial<ErrorBody> }
  throw new Refusal(response.status, answer.error ?? {}, answer as Record<string, unknown>)
}

export async function json<T>(method: string, path: string, options: Options = {}): Promise<T> {
  return (await call(method, path, options)).json() as Promise<T>
}

/** What everything that changes something is sent with. */
export function takeToken(csrf: string) {
  token = csrf
}

const of = (file: string) => `file=${encodeURIComponent(file)}`

/** An image of this survey or of an older one; `page` where its file holds several. */
export interface ImageName {
  file: string
  page: number | null
  survey: string | null
}
const ofImage = ({ file, page, survey }: ImageName) =>
  of(file) + (page === null ? '' : `&page=${page}`) + (survey === null ? '' : `&survey=${encodeURIComponent(survey)}`)
export const thisSurveys = (file: string): ImageName => ({ file, page: null, survey: null })

export async function getSurvey(): Promise<Survey> {
  const survey = await json<Survey>('GET', '/api/survey')
  takeToken(survey.csrf)
  return survey
}

export const getNews = () => json<News>('GET', '/api/news')

/** A table of rows as objects. */
export async function getRows<T>(path: '/api/findings' | '/api/asides' | '/api/motors' | '/api/images'): Promise<T[]> {
  const { columns, rows } = await json<Table>('GET', path)
  return rows.map((row) => Object.fromEntries(columns.map((name, i) => [name, row[i]])) as T)
}

export const getMotor = (motor: string) =>
  json<MotorView>('GET', `/api/motor?motor=${encodeURIComponent(motor)}`)

export const getNamedImage = (image: ImageName) => json<ImageView>('GET', `/api/image?${ofImage(image)}`)
export const getImage = (file: string) => getNamedImage(thisSurveys(file))

export interface Temperatures {
  width: number
  height: number
  celsius: Float32Array
}

export const getTemperatures = (file: string, signal?: AbortSignal) => getNamedTemperatures(thisSurveys(file), signal)

export async function getNamedTemperatures(image: ImageName, signal?: AbortSignal): Promise<Temperatures> {
  const response = await call('GET', `/api/image/temperatures?${ofImage(image)}`, signal ? { signal } : {})
  return {
    width: Number(response.headers.get('X-Width')),
    height: Number(response.headers.get('X-Height')),
    celsius: new Float32Array(await response.arrayBuffer())
  }
}

export const thumbnailPath = (file: string) => `${base}/api/image/thumbnail?${of(file)}`
export const photoPath = (file: string) => `${base}/api/image/photo?${of(file)}`

export interface ExportState {
  id: string
  state: 'writing' | 'ready' | 'failed'
  progress: Progress
  file: string | null
  bytes: number | null
  error: ErrorBody | null
}

/** `ranks`: of the findings that are meant; null: all. */
export const postExport = (format: string, ranks: number[] | null) =>
  json<ExportState>('POST', '/api/exports', { body: { format, ...(ranks ? { ranks } : {}) } })
export const getExport = (id: string) => json<ExportState>('GET', `/api/exports?id=${id}`)
export const deleteExport = (id: string) => json<{ id: string }>('DELETE', `/api/exports?id=${id}`)
export const exportedPath = (id: string) => `${base}/api/export?id=${id}`

export interface SavedMarks {
  marks: MarkFile
  marks_etag: string
}

export const putMarks = (file: string, marks: MarkFile, etag: string) =>
  json<SavedMarks>('PUT', `/api/image/marks?${of(file)}`, { body: marks, etag })

export const postTry = (request: TryRequest, signal?: AbortSignal) =>
  json<TryAnswer>('POST', '/api/try', signal ? { body: request, signal } : { body: request })

export const patchParameters = (file: string, changes: Record<string, string | null>, etag: string) =>
  json<ImageView>('PATCH', `/api/image/parameters?${of(file)}`, { body: changes, etag })

const readings = (motor: string, row?: number) =>
  `/api/readings?motor=${encodeURIComponent(motor)}` + (row === undefined ? '' : `&row=${row}`)

export const postReading = (motor: string, reading: Reading, etag: string) =>
  json<{ row: number; readings_etag: string }>('POST', readings(motor), { body: { motor, ...reading }, etag })

export const putReading = (motor: string, row: number, reading: Reading, etag: string) =>
  json<{ row: number; readings_etag: string }>('PUT', readings(motor, row), { body: { motor, ...reading }, etag })

export const deleteReading = (motor: string, row: number, etag: string) =>
  json<{ row: number | null; readings_etag: string }>('DELETE', readings(motor, row), { etag })

export const getProposals = (file: string) =>
  json<{ marks: Mark[]; reason: string | null }>('GET', `/api/proposals?${of(file)}`)
