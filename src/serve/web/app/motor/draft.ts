// A reading that is being typed.
import type { Reading } from '../wire'

export interface Draft {
  row: number | null // null: a new one
  reading: Reading
  /** The row as it was when it was taken up. */
  was: Reading | null
}
