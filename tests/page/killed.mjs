import assert from 'node:assert/strict'
import { spawnSync } from 'node:child_process'
import { existsSync, readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import test, { after } from 'node:test'
import { closeBrowser, drag, person, saveMarks } from './browser.mjs'
import { demoSurvey, serve } from './program.mjs'

const kImage = 'route/cv02_terminal_box.tif'
const kKills = 12

after(closeBrowser)

/** A mark file large enough that writing it takes a while. */
function manyMarks(marks, serial) {
  const patches = Array.from({ length: 4000 }, (_, i) => ({
    name: `patch ${i} of ${serial}`, role: 'ambient', shape: { kind: 'circle', center: [i % 300, i % 200], radius: 3 }
  }))
  return [...marks, ...patches]
}

test('a server killed while it saves leaves the old mark file or the new one, whole', async () => {
  const survey = demoSurvey()
  const size = [320, 240]
  let whole = survey.marks(kImage)
  const lugs = whole
  for (let kill = 0; kill < kKills; ++kill) {
    const server = await serve(survey.folder)
    const { csrf } = await (await fetch(`${server.url}/api/survey`)).json()
    const path = `${server.url}/api/image?file=${encodeURIComponent(kImage)}`
    const { marks_etag } = await (await fetch(path)).json()
    const fresh = manyMarks(lugs, kill)
    const saving = fetch(`${server.url}/api/image/marks?file=${encodeURIComponent(kImage)}`, {
      method: 'PUT', body: JSON.stringify({ version: 1, image: kImage, size, marks: fresh }),
      headers: { 'X-Ohmglow-Token': csrf, 'Content-Type': 'application/json', 'If-Match': `"${marks_etag}"` }
    }).catch(() => null)
    await new Promise((resolve) => setTimeout(resolve, 4 * kill))
    await server.kill()
    await saving
    const now = survey.marks(kImage) // throws where the file is not whole
    const names = (marks) => marks.map(({ name }) => name).join()
    assert.ok(names(now) === names(whole) || names(now) === names(fresh), `kill ${kill}: neither the old marks nor the new`)
    whole = now
  }
  survey.remove()
})

test('what a killed server left behind is gone when the next one starts, and nothing else', async () => {
  const survey = demoSurvey()
  const { pid } = spawnSync('true') // a program that is no more
  const left = ['', 'marks', 'marks/route'].map((folder) => join(survey.folder, folder, `.ohmglow-${pid}-0.tmp`))
  const kept = [join(survey.folder, `.ohmglow-${process.pid}-0.tmp`), join(survey.folder, 'notes.tmp')]
  for (const path of [...left, ...kept]) writeFileSync(path, 'half')
  const server = await serve(survey.folder)
  assert.deepEqual(left.filter(existsSync), [])
  assert.deepEqual(kept.filter(existsSync), kept)
  await server.stop()
  survey.remove()
})

test('marks outlive a killed server: they are kept in the browser and saved when it is back', async () => {
  const survey = demoSurvey()
  const first = await serve(survey.folder)
  const before = survey.text(`marks/${kImage}.json`)
  const { page, open, done } = await person(first.url)
  await open(`/image/${kImage}`)
  await page.getByText('all marks are saved').waitFor()
  await page.getByRole('button', { name: 'Draw a circle' }).click()
  await drag(page, [40, 40], [50, 40])
  await first.kill()
  await page.getByRole('button', { name: 'Save marks' }).click()
  await page.getByText('The server does not answer').first().waitFor()
  assert.equal(survey.text(`marks/${kImage}.json`), before)
  const second = await serve(survey.folder, first.port)
  await page.reload()
  await page.getByText('not saved yet').waitFor()
  await saveMarks(page)
  assert.equal(survey.marks(kImage).length, JSON.parse(before).marks.length + 1)
  const folder = join(survey.folder, 'marks', 'route')
  assert.ok(existsSync(folder) && readdirSync(folder).every((name) => name.endsWith('.json')), 'no half-written file is left')
  await done()
  await second.stop()
  survey.remove()
})
