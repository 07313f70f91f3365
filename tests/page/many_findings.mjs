/** What /api/findings would say of a very long route. */
function manyFindings(count) {
  const columns = [
    'rank', 'motor', 'description', 'component', 'image', 'phase', 'phase_name', 'lug', 'band', 'band_by', 'verdict',
    'temperature_c', 'rise_over_like_c', 'rise_over_like_u_c', 'rise_over_air_c', 'projected_rise_c',
    'case', 'leads_case', 'decision', 'do'
  ]
  const rows = Array.from({ length: count }, (_, i) => [
    i + 1, `M-${(i * 7919) % count}`, 'made up', 'terminal box', null, (i % 3) + 1, 'ABC'[i % 3], `T${(i % 3) + 1}`,
    i < 100 ? 'urgent' : 'watch', 'like', 'no_reading', 60, count / (i + 1), 0.5, 30, null,
    i + 1, 1, i < 100 ? 'stop_now' : 'image_again', 'Take it off load as soon as that is safe.'
  ])
  return { revision: 1, columns, rows }
}

/** Answers /api/findings inside the page: megabytes through the debugging port would take longer than the list. */
export function stubFindings(page, count) {
  return page.addInitScript(`{
    const fetched = window.fetch
    const many = ${manyFindings}
    window.fetch = (path, ...rest) => (path === '/api/findings'
      ? Promise.resolve(new Response(JSON.stringify(many(${count})))) : fetched(path, ...rest))
  }`)
}
