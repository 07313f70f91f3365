// What the server's own code makes of marks and parameters that are not saved yet.
import { useLayoutEffect, useRef, useState } from 'preact/hooks'
import { postTry } from '../server'
import type { TryAnswer, TryRequest } from '../wire'

/** One question under way at a time; of those that come meanwhile only the latest is asked. */
export class LatestWins<Question, Answer> {
  private busy = false
  private next: Question | null = null

  constructor(
    private ask: (question: Question) => Promise<Answer>,
    private done: (answer: Answer, question: Question) => void,
    private failed: (error: unknown) => void
  ) {}

  put(question: Question) {
    if (this.busy) {
      this.next = question
      return
    }
    this.busy = true
    this.ask(question)
      .then((answer) => this.done(answer, question), this.failed)
      .finally(() => {
        this.busy = false
        const { next } = this
        this.next = null
        if (next !== null) this.put(next)
      })
  }

  /** What waits is no longer wanted. */
  forget() {
    this.next = null
  }
}

export interface Live {
  answer: TryAnswer | null
  error: unknown
}

/** The answer to `question`; null while nothing differs from what is saved. */
export function useLive(question: TryRequest | null): Live {
  const [live, setLive] = useState<Live>({ answer: null, error: null })
  const wanted = useRef(false)
  const asker = useRef<LatestWins<TryRequest, TryAnswer>>()
  asker.current ??= new LatestWins<TryRequest, TryAnswer>(
    (request) => postTry(request),
    (answer) => wanted.current && setLive({ answer, error: null }),
    (error) => wanted.current && setLive({ answer: null, error }) // the numbers of before are not those of now
  )
  const text = question && JSON.stringify(question)
  // Asked at once: a plain effect would wait for the next frame to be painted.
  useLayoutEffect(() => {
    wanted.current = question !== null
    if (question) asker.current?.put(question)
    else {
      asker.current?.forget()
      setLive({ answer: null, error: null })
    }
  }, [text])
  return live
}
