// A file on its way to the server: piece by piece, gone on with after the connection was lost.
import { Refusal } from '../server'
import { getArrived, putPiece } from './start_server'

const kPiece_bytes = 1 << 20
const kPause_ms = 1000
const kConflict = 412

const pause = () => new Promise((resolve) => setTimeout(resolve, kPause_ms))

/** `tell` hears how many bytes the server has, and whether it answers. */
export async function bring(file: File, tell: (bytes: number, waits: boolean) => void, signal: AbortSignal) {
  let at = 0
  let sentAll = false
  for (;;) {
    try {
      ({ bytes: at } = await getArrived(file, signal))
      while (at < file.size || file.size === 0) {
        tell(at, false)
        const piece = file.slice(at, at + kPiece_bytes)
        sentAll = at + piece.size === file.size
        at = (await putPiece(file, at, piece, signal)).bytes
      }
      return tell(at, false)
    } catch (error) {
      // The answer to the last piece was lost; the file is there.
      if (sentAll && error instanceof Refusal && error.status === kConflict) return tell(file.size, false)
      if (!(error instanceof TypeError) || signal.aborted) throw error
      tell(at, true)
      await pause()
    }
  }
}
