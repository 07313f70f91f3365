// Images and photographs dropped or chosen, and how far each of them has come.
import { useRef, useState } from 'preact/hooks'
import { counted } from '../numbers'
import { sentenceOf } from '../server'
import { bring } from './bring'

interface Coming {
  id: number
  file: File
  bytes: number
  waits: boolean
  problem: string | null
}

let last = 0

export function Bringing({ arrived }: { arrived: () => void }) {
  const [coming, setComing] = useState<Coming[]>([])
  const [over, setOver] = useState(false)
  const [came, setCame] = useState(0)
  const waiting = useRef<Coming[]>([])
  const ended = useRef(new Map<number, AbortController>())
  const busy = useRef(false)
  const input = useRef<HTMLInputElement>(null)

  const change = (id: number, what: Partial<Coming>) =>
    setComing((all) => all.map((one) => (one.id === id ? { ...one, ...what } : one)))
  const remove = (id: number) => setComing((all) => all.filter((one) => one.id !== id))

  const work = async () => {
    if (busy.current) return
    busy.current = true
    for (let next = waiting.current.shift(); next; next = waiting.current.shift()) {
      const { id, file } = next
      const ending = ended.current.get(id)
      if (!ending || ending.signal.aborted) continue
      try {
        await bring(file, (bytes, waits) => change(id, { bytes, waits }), ending.signal)
        remove(id)
        setCame((n) => n + 1)
      } catch (error) {
        if (!ending.signal.aborted) change(id, { problem: sentenceOf(error), waits: false })
      }
      ended.current.delete(id)
    }
    busy.current = false
    arrived()
  }

  const queue = (files: Iterable<File>) => {
    const more = [...files].map((file) => ({ id: ++last, file, bytes: 0, waits: false, problem: null }))
    for (const { id } of more) ended.current.set(id, new AbortController())
    waiting.current.push(...more)
    setComing((all) => [...all, ...more])
    void work()
  }
  const leave = (id: number) => {
    ended.current.get(id)?.abort()
    remove(id)
  }
  const on = coming.filter(({ problem }) => problem === null)

  return (
    <section aria-labelledby="bring-title">
      <h2 id="bring-title">Bring images and photographs</h2>
      <div class={`drop${over ? ' over' : ''}`}
        onDragOver={(event) => {
          event.preventDefault()
          setOver(true)
        }}
        onDragLeave={() => setOver(false)}
        onDrop={(event) => {
          event.preventDefault()
          setOver(false)
          queue(event.dataTransfer?.files ?? [])
        }}>
        <p>Drop them here, or <button type="button" onClick={() => input.current?.click()}>Choose files</button></p>
        <input ref={input} type="file" multiple hidden aria-label="Files to bring"
          onChange={(event) => {
            queue(event.currentTarget.files ?? [])
            event.currentTarget.value = ''
          }} />
        <p class="aside">Temperatures as 16-bit TIFF, PNG, CSV matrix, NPY or FITS; photographs as JPEG or PNG. Nothing that
          is in the folder is written over.</p>
      </div>
      <p role="status">{on.length > 0 ? `${counted(on.length, 'file')} on the way` : came > 0 ? `${counted(came, 'file')} brought` : ''}</p>
      <ul class="coming">
        {coming.map(({ id, file, bytes, waits, problem }) => (
          <li key={id}>
            {problem
              ? <p class="problem" role="alert">{problem}</p>
              : <label>{file.name}{waits && ': the server does not answer; this goes on where it stopped'}
                <progress max={Math.max(file.size, 1)} value={bytes} /></label>}
            <span class="actions">
              {problem && <button type="button" onClick={() => {
                remove(id)
                queue([file])
              }}>Try again<span class="unseen"> {file.name}</span></button>}
              <button type="button" class="quiet" onClick={() => leave(id)}>{problem ? 'Leave it' : 'Cancel'}<span class="unseen"> {file.name}</span></button>
            </span>
          </li>
        ))}
      </ul>
    </section>
  )
}
