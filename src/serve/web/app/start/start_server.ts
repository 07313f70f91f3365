// The calls by which a survey is made of a folder that holds none.
import { call, json, takeToken } from '../server'
import type { ErrorBody } from '../wire'

export interface Sheet {
  columns: string[]
  rows: string[][]
}

/** What is known of the folder before anybody says anything. */
export interface Beginning {
  csrf: string
  name: string
  site: string
  surveyed_on: string
  images: Sheet
  motors: Sheet
  photos: string[]
  /** Images whose files do not say what their numbers mean. */
  undeclared: string[]
  /** Images whose day is when the file was written. */
  dated_by_folder: string[]
  left_out: ErrorBody[]
  largest_bytes: number
}

export interface Arrived {
  bytes: number
  is_whole: boolean
}

export async function getStart(): Promise<Beginning> {
  const found = await json<Beginning>('GET', '/api/start')
  takeToken(found.csrf)
  return found
}

export interface NewSurvey {
  site: string
  surveyed_on: string
  thermographer: string
  images: Sheet
  motors: Sheet
}

export const postStart = (survey: NewSurvey) => json<{ written: string[] }>('POST', '/api/start', { body: survey })

const incoming = (file: File) =>
  `/api/incoming?name=${encodeURIComponent(file.name)}&size=${file.size}&changed=${file.lastModified}`

export const getArrived = (file: File, signal: AbortSignal) => json<Arrived>('GET', incoming(file), { signal })

export async function putPiece(file: File, from: number, piece: Blob, signal: AbortSignal): Promise<Arrived> {
  const response = await call('PUT', `${incoming(file)}&from=${from}`, { bytes: piece, signal })
  return response.json() as Promise<Arrived>
}
