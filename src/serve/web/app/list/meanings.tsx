// What the words of the list mean, and whose limits they are.
import { BandTag, verdictTitle } from '../meaning'
import { useSurvey } from '../survey_context'
import type { Limit } from '../wire'

const words = (limit: Limit) => (limit ? ('from' in limit ? `from ${limit.from} K` : `more than ${limit.above} K`) : '–')

export function Meanings() {
  const { policy, verdicts } = useSurvey().survey
  return (
    <details class="meanings">
      <summary>What the bands and verdicts mean</summary>
      <table class="stacks" role="table">
        <caption>Bands, the most severe first. {policy.rule} Source: {policy.source}</caption>
        <thead role="rowgroup"><tr role="row">{['Band', 'Over like', 'Over air', 'What to do'].map((title) =>
          <th key={title} scope="col" role="columnheader">{title}</th>)}</tr></thead>
        <tbody role="rowgroup">
          {[...policy.bands].reverse().map((band) => (
            <tr key={band.id} role="row">
              <th scope="row" role="rowheader"><BandTag band={band.id} /></th>
              <td role="cell" data-label="Over like">{words(band.over_like_c)}</td>
              <td role="cell" data-label="Over air">{words(band.over_air_c)}</td>
              <td role="cell" data-label="What to do">{band.action}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p>A row’s place in the list is its urgency. “How sure” is another question: how certain the cause is that it names, from heat
        and readings together: almost certain from 95 %, very likely from 80 %, likely from 60 %, possible from 20 %.</p>
      <dl>
        {verdicts.map(({ id, meaning }) => <div key={id}><dt>{verdictTitle(id)}</dt><dd>{meaning}</dd></div>)}
      </dl>
    </details>
  )
}
