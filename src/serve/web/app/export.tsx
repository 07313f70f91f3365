import { exportPath } from './server'
import { useSurvey } from './survey_context'

const kFormats: Record<string, string> = {
  html: 'Report for the browser (HTML)', pdf: 'Report to print (PDF)', csv: 'Ranked list (CSV)',
  xlsx: 'Ranked list (spreadsheet)', json: 'Everything, for programs (JSON)'
}

export function Export() {
  return (
    <details class="menu">
      <summary>Export</summary>
      <ul>
        {useSurvey().survey.formats.map((format) => (
          <li key={format}><a href={exportPath(format)} download>{kFormats[format] ?? format.toUpperCase()}</a></li>
        ))}
      </ul>
    </details>
  )
}
