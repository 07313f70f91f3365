// What can be saved: written by the server while a dialog tells how far it is.
import { useEffect, useRef, useState } from 'preact/hooks'
import { Dialog } from './dialog'
import { counted } from './numbers'
import { exportedPath, deleteExport, getExport, postExport, Refusal, sentenceOf, type ExportState } from './server'
import { shownRanks } from './shown'
import { useSurvey } from './survey_context'

const kFormats: Record<string, string> = {
  html: 'Report for the browser (HTML)', pdf: 'Report to print (PDF)', csv: 'Ranked list (CSV)',
  xlsx: 'Ranked list (spreadsheet)', json: 'Everything, for programs (JSON)',
  'shutdown.pdf': 'Shutdown sheet to take along (PDF)', 'shutdown.xlsx': 'Shutdown sheet (spreadsheet)'
}
const titleOf = (format: string) => kFormats[format] ?? format.toUpperCase()
const kLook_ms = 300

/** A link that is followed once: the browser saves what it leads to. */
function save(path: string) {
  const link = document.createElement('a')
  link.href = path
  link.download = ''
  document.body.append(link)
  link.click()
  link.remove()
}

function Saving({ format, ranks, close }: { format: string; ranks: number[] | null; close: () => void }) {
  const [state, setState] = useState<ExportState | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const closing = useRef(close)
  closing.current = close
  useEffect(() => {
    let ended = false
    let id: string | null = null
    let timer: ReturnType<typeof setTimeout> | undefined
    const look = (now: ExportState) => {
      if (ended) return
      setState(now)
      if (now.state === 'failed') return setProblem(sentenceOf(new Refusal(0, now.error ?? {})))
      if (now.state === 'writing') {
        timer = setTimeout(() => getExport(now.id).then(look, fail), kLook_ms)
        return
      }
      id = null // it is kept until it is saved
      save(exportedPath(now.id))
      closing.current()
    }
    const fail = (error: unknown) => !ended && setProblem(sentenceOf(error))
    postExport(format, ranks).then((now) => {
      id = now.id
      if (ended) void deleteExport(now.id).catch(() => null)
      else look(now)
    }, fail)
    return () => {
      ended = true
      clearTimeout(timer)
      if (id) void deleteExport(id).catch(() => null)
    }
  }, [])
  const { done, total } = state?.progress ?? { done: 0, total: 0 }
  return (
    <Dialog title={ranks ? `${titleOf(format)}: ${counted(ranks.length, 'finding')} shown` : titleOf(format)} close={close}>
      {problem
        ? <p class="problem" role="alert">{problem}</p>
        : <p role="status"><label>{total ? `${done} of ${counted(total, 'finding')} drawn` : 'It is being written'}
          <progress {...(total ? { max: total, value: done } : {})} /></label></p>}
      <p class="actions"><button type="button" onClick={close}>{problem ? 'Close' : 'Cancel'}</button></p>
    </Dialog>
  )
}

export function Export() {
  const { survey } = useSurvey()
  const menu = useRef<HTMLDetailsElement>(null)
  const [asked, setAsked] = useState<{ format: string; ranks: number[] | null } | null>(null)
  const [shown, setShown] = useState<number[] | null>(null)
  const close = () => {
    if (menu.current) menu.current.open = false
  }
  const ask = (format: string, ranks: number[] | null) => {
    close()
    setAsked({ format, ranks })
  }
  return (
    <>
      <details class="menu" ref={menu} onToggle={() => setShown(shownRanks())}
        onKeyDown={(event) => {
          if (event.key !== 'Escape' || !menu.current?.open) return
          event.stopPropagation()
          close()
          menu.current.querySelector('summary')?.focus()
        }}
        onFocusOut={(event) => event.relatedTarget && !menu.current?.contains(event.relatedTarget as Node) && close()}>
        <summary>Export</summary>
        <ul>
          {shown !== null && shown.length > 0 &&
            <li><button type="button" class="quiet" onClick={() => ask('csv', shown)}>The list as it is filtered (CSV)</button></li>}
          {survey.formats.map((format) => (
            <li key={format}><button type="button" class="quiet" onClick={() => ask(format, null)}>{titleOf(format)}</button></li>
          ))}
        </ul>
      </details>
      {asked && <Saving {...asked} close={() => {
        setAsked(null)
        menu.current?.querySelector('summary')?.focus()
      }} />}
    </>
  )
}
