import assert from 'node:assert/strict'
import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { person, rowOf, until } from './browser.mjs'
import { pageTest } from './session.mjs'

const kUnmarked = 'route/cv04_starter_closeup.npy'
const kCarried = ['route/be01_terminal_box.tif', 'route/cv02_terminal_box.tif']

/** Proposals as the server would make them, so that the page's part is tested whatever is found on the image. */
const propose = (page) => page.route('**/api/proposals?*', (route) => route.fulfill({
  json: {
    marks: [1, 2, 3].map((phase) => ({
      name: `T${phase}`, role: 'lug', phase, shape: { kind: 'circle', center: [80 * phase, 120], radius: 9 }, origin: 'proposed', confidence: 0.8
    })),
    reason: 'three warm spots of one size in a row'
  }
}))

/** Marks as carrying writes them. */
function carryOnto(survey, file, confidence) {
  const path = join(survey.folder, 'marks', `${file}.json`)
  const json = JSON.parse(readFileSync(path, 'utf8'))
  for (const mark of json.marks) Object.assign(mark, { origin: 'carried', from: 'before.tif', confidence })
  writeFileSync(path, JSON.stringify(json))
}

const placeOf = ({ shape }) => shape.center ?? shape.corner ?? shape.points[0]
const lugsOf = (survey, file) => survey.marks(file).filter(({ role }) => role === 'lug')
const shown = (page, file) => page.getByRole('heading', { name: file }).waitFor()
const toLookAt = (page, count) => page.getByText(`${count} image${count === 1 ? '' : 's'} to look at`).waitFor()

pageTest('a proposal is accepted with one key, and then lies on disk as proposed and confirmed', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await propose(page)
  await open('/review')
  await shown(page, kUnmarked)
  await page.locator('.proposed li').first().waitFor()
  await page.keyboard.press('a')
  await page.getByText('Every image that can be measured has marks that somebody confirmed.').waitFor()
  const marks = survey.marks(kUnmarked)
  assert.ok(marks.length > 0 && marks.every(({ origin, confirmed }) => origin === 'proposed' && confirmed === true), JSON.stringify(marks))
  await done()
})

pageTest('a proposal is taken to the picture with one key, and is a draft there', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await propose(page)
  await open('/review')
  await page.locator('.proposed li').first().waitFor()
  await page.keyboard.press('e')
  await until(page.locator('h1'), (text) => text === kUnmarked, 'the image')
  await rowOf(page, 'T1').waitFor()
  await page.getByText('not saved yet').waitFor()
  assert.ok(!existsSync(join(survey.folder, 'marks', `${kUnmarked}.json`)))
  await done()
})

pageTest('carried marks wait in the review, the least sure first, and are put right by key', async ({ survey, url }) => {
  const before = lugsOf(survey, kCarried[1])
  const { page, open, done } = await person(url)
  await propose(page)
  await open('/review')
  await toLookAt(page, 3)
  await shown(page, kCarried[1])
  await page.locator('.proposed li').first().waitFor()
  await page.keyboard.press('p')
  await page.keyboard.press('ArrowRight')
  await page.keyboard.press('ArrowUp')
  await page.keyboard.press('a')
  await shown(page, kCarried[0])
  const after = lugsOf(survey, kCarried[1])
  assert.deepEqual(after.map(({ phase }) => phase), [1, 2, 0].map((i) => before[i].phase))
  assert.deepEqual(after.map(placeOf), before.map(placeOf).map(([x, y]) => [x + 1, y - 1]))
  assert.ok(after.every(({ confirmed, origin }) => confirmed === true && origin === 'carried'), JSON.stringify(after))
  await page.locator('.proposed li').first().waitFor()
  await page.keyboard.press('n')
  await shown(page, kUnmarked)
  assert.ok(lugsOf(survey, kCarried[0]).every(({ confirmed }) => confirmed === undefined))
  await done()
}, (survey) => kCarried.forEach((file, i) => carryOnto(survey, file, [0.91, 0.62][i])))

pageTest('a key held down accepts one image', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await open('/review')
  await page.locator('.proposed li').first().waitFor()
  await page.keyboard.down('a')
  await toLookAt(page, 2)
  await page.locator('.proposed li').first().waitFor()
  for (let i = 0; i < 5; ++i) await page.keyboard.down('a') // as a held key repeats
  await page.keyboard.up('a')
  await toLookAt(page, 2)
  const confirmed = kCarried.filter((file) => lugsOf(survey, file).every((mark) => mark.confirmed))
  assert.equal(confirmed.length, 1)
  await done()
}, (survey) => kCarried.forEach((file) => carryOnto(survey, file, 0.7)))

pageTest('what rests on unconfirmed marks says so in the list, until the marks are called right', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await open('/')
  await page.getByText('unconfirmed marks').first().waitFor()
  await open(`/image/${kCarried[0]}`)
  await page.getByRole('button', { name: 'The marks are right' }).click()
  await page.getByRole('button', { name: 'Save marks' }).click()
  await page.getByText('all marks are saved').waitFor()
  assert.ok(lugsOf(survey, kCarried[0]).every(({ confirmed }) => confirmed === true))
  await open('/')
  await page.locator('.list-body [role=row]').first().waitFor()
  await page.waitForFunction(() => !document.body.textContent.includes('unconfirmed marks'))
  await done()
}, (survey) => carryOnto(survey, kCarried[0], 0.9))
