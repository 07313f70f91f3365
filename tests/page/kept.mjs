// What is drawn or typed is never lost: over reloads, restarts, other people's saves and slips of the hand.
import assert from 'node:assert/strict'
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import test from 'node:test'
import { drag, person, saveMarks, until } from './browser.mjs'
import { demoSurvey, serve } from './program.mjs'
import { pageTest } from './session.mjs'

const kImage = 'route/cv02_terminal_box.tif'
const kUnmarked = 'route/cv04_starter_closeup.npy'

async function drawCircle(page, at) {
  await page.getByRole('button', { name: 'Draw a circle' }).click()
  await drag(page, at, [at[0] + 10, at[1]])
}
const names = (survey) => survey.marks(kImage).map(({ name }) => name)

/** As a colleague at another desk would save marks. */
function saveElsewhere(survey, change) {
  const path = join(survey.folder, 'marks', `${kImage}.json`)
  const file = JSON.parse(readFileSync(path, 'utf8'))
  file.marks = change(file.marks)
  writeFileSync(path, JSON.stringify(file))
}
const withWall = (marks) => [...marks, { name: 'wall', role: 'ambient', shape: { kind: 'circle', center: [30, 30], radius: 8 } }]

pageTest('a draft that a colleague’s save has overtaken meets it, and overwrites nothing unseen', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await open(`/image/${kImage}`)
  await page.getByText('all marks are saved').waitFor()
  await drawCircle(page, [40, 60])
  await page.getByText('not saved yet').waitFor()
  await page.goto('about:blank')
  saveElsewhere(survey, withWall)
  await open(`/image/${kImage}`)
  await page.getByText('not saved yet').waitFor()
  await page.getByRole('button', { name: 'Save marks' }).click()
  const dialog = page.getByRole('dialog')
  await dialog.getByText('Nothing is saved yet').waitFor()
  assert.ok(names(survey).includes('wall'))
  await dialog.getByRole('button', { name: 'Keep mine' }).click()
  await page.getByText('all marks are saved').waitFor()
  assert.ok(!names(survey).includes('wall'))
  await page.getByRole('button', { name: 'Undo' }).click() // theirs is one step away, as the dialog says
  await page.getByRole('button', { name: /^wall/ }).waitFor()
  await saveMarks(page)
  assert.ok(names(survey).includes('wall'))
  await done()
})

test('a survey is served at the same address again, so that drafts survive a restart', async () => {
  const survey = demoSurvey()
  const first = await serve(survey.folder)
  const second = await serve(survey.folder) // while the first one runs, at another port
  assert.notEqual(first.port, second.port)
  await second.stop()
  const { page, open, done } = await person(first.url)
  await open(`/image/${kImage}`)
  await page.getByText('all marks are saved').waitFor()
  await drawCircle(page, [40, 60])
  await open('/motor/CV-02')
  await page.getByRole('button', { name: 'Enter a reading' }).first().click()
  await page.getByLabel('A–B').fill('920')
  await first.kill()
  const third = await serve(survey.folder)
  assert.equal(third.port, first.port)
  await page.reload()
  await until(page.getByLabel('A–B'), async () => true, 'the form')
  assert.equal(await page.getByLabel('A–B').inputValue(), '920')
  await open(`/image/${kImage}`)
  await page.getByText('not saved yet').waitFor()
  await done()
  await third.stop()
  survey.remove()
})

test('a screen that failed while the server was away comes back by itself', async () => {
  const survey = demoSurvey()
  const first = await serve(survey.folder)
  const { page, open, done } = await person(first.url)
  await open('/')
  await page.locator('.list-row').nth(2).waitFor()
  await first.kill()
  await page.getByRole('link', { name: 'Motors' }).click()
  await page.getByText('The server does not answer.').first().waitFor()
  const second = await serve(survey.folder, first.port)
  await page.locator('.motors .list-row').nth(2).waitFor()
  await done()
  await second.stop()
  survey.remove()
})

pageTest('readings are saved, said to be saved, and taken back', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  const before = survey.text('readings.csv')
  await open('/motor/CV-02')
  await page.getByRole('button', { name: 'Enter a reading' }).first().click()
  for (const [name, value] of [['A–B', '0,920'], ['B–C', '0,921'], ['C–A', '0,829']]) await page.getByLabel(name).fill(value)
  await page.getByLabel('Unit').selectOption('ohm')
  await page.getByText(/^Unbalance \d/).first().waitFor()
  await page.getByRole('button', { name: 'Save the reading' }).click()
  await page.getByText('Reading saved').first().waitFor()
  assert.notEqual(survey.text('readings.csv'), before)
  await page.locator('.saved').getByRole('button', { name: 'Undo' }).click()
  await page.waitForFunction(() => !document.querySelector('.saved'))
  assert.equal(survey.text('readings.csv').trim(), before.trim())
  await done()
})

pageTest('parameters survive leaving the page, meet another’s change, and are taken back', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  const before = survey.text('images.csv')
  await open(`/image/${kImage}`)
  const field = page.locator('#parameter-emissivity')
  await field.fill('0,7')
  await page.locator('table.effect').waitFor()
  await open('/motors')
  await page.locator('.list-row').nth(1).waitFor()
  await open(`/image/${kImage}`)
  assert.equal(await field.inputValue(), '0.7')
  await page.getByRole('button', { name: 'Save the parameter' }).click()
  await page.getByText('Parameters saved').first().waitFor()
  assert.match(survey.text('images.csv'), /cv02_terminal_box\.tif.*0\.7/)
  await page.locator('.saved').getByRole('button', { name: 'Undo' }).click()
  await until(page.locator('.saved'), (text) => /Parameters saved/.test(text), 'taken back')
  for (let i = 0; i < 50 && survey.text('images.csv') !== before; ++i) await page.waitForTimeout(100)
  assert.equal(survey.text('images.csv'), before)
  await done()
})

pageTest('Ctrl S without marks writes nothing, accepting works after it, and is taken back', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  const path = join(survey.folder, 'marks', `${kUnmarked}.json`)
  await page.route('**/api/proposals?*', (route) => route.fulfill({
    json: { marks: [{ name: 'T1', role: 'lug', phase: 1, shape: { kind: 'circle', center: [80, 120], radius: 9 }, origin: 'proposed', confidence: 0.8 }], reason: null }
  }))
  await open(`/image/${kUnmarked}`)
  await page.getByText('No marks yet').waitFor()
  await page.keyboard.press('Control+s')
  await page.waitForTimeout(500)
  assert.ok(!existsSync(path))
  mkdirSync(dirname(path), { recursive: true })
  writeFileSync(path, JSON.stringify({ version: 1, image: kUnmarked, size: [320, 240], marks: [] })) // of an older page
  await open('/review')
  await page.locator('.proposed li').first().waitFor()
  await page.evaluate(() => { // twice before anything is drawn anew
    for (let i = 0; i < 2; ++i) document.dispatchEvent(new KeyboardEvent('keydown', { key: 'a', bubbles: true }))
  })
  await page.getByText('Accepted:').waitFor()
  assert.equal(await page.getByRole('alert').count(), 0)
  assert.equal(survey.marks(kUnmarked).length, 1)
  await page.keyboard.press('z')
  await page.locator('.proposed li').first().waitFor()
  assert.equal(survey.marks(kUnmarked).length, 0)
  await page.keyboard.press('a')
  await page.getByText('Accepted:').waitFor()
  assert.equal(survey.marks(kUnmarked).length, 1)
  await done()
})

pageTest('twenty tabs of one browser are all told of a change', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  const pages = [page]
  for (let i = 1; i < 20; ++i) pages.push(await page.context().newPage())
  await open(`/image/${kImage}`)
  for (const other of pages.slice(1)) await other.goto(`${url}/motors`)
  for (const other of pages.slice(1)) await other.locator('.list-row').nth(1).waitFor()
  saveElsewhere(survey, withWall)
  await page.reload()
  await page.getByRole('button', { name: /^wall/ }).waitFor()
  for (const other of pages) assert.equal(await other.getByText('The connection to the server is lost').count(), 0)
  await done()
})
