import { useRef } from 'preact/hooks'
import { exportPath } from './server'
import { useSurvey } from './survey_context'

const kFormats: Record<string, string> = {
  html: 'Report for the browser (HTML)', pdf: 'Report to print (PDF)', csv: 'Ranked list (CSV)',
  xlsx: 'Ranked list (spreadsheet)', json: 'Everything, for programs (JSON)',
  'shutdown.pdf': 'Shutdown sheet to take along (PDF)', 'shutdown.xlsx': 'Shutdown sheet (spreadsheet)'
}

export function Export() {
  const menu = useRef<HTMLDetailsElement>(null)
  const close = () => {
    if (menu.current) menu.current.open = false
  }
  return (
    <details class="menu" ref={menu}
      onKeyDown={(event) => {
        if (event.key !== 'Escape' || !menu.current?.open) return
        event.stopPropagation()
        close()
        menu.current.querySelector('summary')?.focus()
      }}
      onFocusOut={(event) => event.relatedTarget && !menu.current?.contains(event.relatedTarget as Node) && close()}>
      <summary>Export</summary>
      <ul>
        {useSurvey().survey.formats.map((format) => (
          <li key={format}><a href={exportPath(format)} download onClick={close}>{kFormats[format] ?? format.toUpperCase()}</a></li>
        ))}
      </ul>
    </details>
  )
}
