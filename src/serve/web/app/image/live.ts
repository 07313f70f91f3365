// What the server's own code makes of what is not saved yet.
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

export interface Live<Answer> {
  answer: Answer | null
  error: unknown
}

/** The answer to the latest `question`; null while there is none. A question that failed has none either: the numbers of
    before are not those of now. */
export function useAnswer<Question, Answer>(question: Question | null, ask: (question: Question) => Promise<Answer>): Live<Answer> {
  const [live, setLive] = useState<Live<Answer>>({ answer: null, error: null })
  const wanted = useRef(false)
  const asker = useRef<LatestWins<Question, Answer>>()
  asker.current ??= new LatestWins<Question, Answer>(
    ask,
    (answer) => wanted.current && setLive({ answer, error: null }),
    (error) => wanted.current && setLive({ answer: null, error })
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

/** What marks and parameters that are not saved yet make of an image; null while nothing differs from what is saved. */
export const useLive = (question: TryRequest | null): Live<TryAnswer> => useAnswer(question, postTry)
