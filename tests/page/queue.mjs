import assert from 'node:assert/strict'
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { person, rowOf, until } from './browser.mjs'
import { pageTest } from './session.mjs'

const kUnmarked = 'route/cv04_starter_closeup.npy'

/** Proposals as the server would make them, so that the page's part is tested whatever is found on the image. */
const propose = (page) => page.route('**/api/proposals?*', (route) => route.fulfill({
  json: {
    marks: [1, 2, 3].map((phase) => ({
      name: `T${phase}`, role: 'lug', phase, shape: { kind: 'circle', center: [80 * phase, 120], radius: 9 }, origin: 'proposed', confidence: 0.8
    })),
    reason: 'three warm spots of one size in a row'
  }
}))

pageTest('a proposal is accepted with one key, and then lies on disk as proposed', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await propose(page)
  await open('/unmarked')
  await page.getByRole('heading', { name: kUnmarked }).waitFor()
  await page.locator('.proposed li').first().waitFor()
  await page.keyboard.press('a')
  await page.getByText('Every image that can be measured has marks.').waitFor()
  const marks = survey.marks(kUnmarked)
  assert.ok(marks.length > 0 && marks.every(({ origin }) => origin === 'proposed'), JSON.stringify(marks))
  await done()
})

pageTest('a proposal is taken to the picture with one key, and is a draft there', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await propose(page)
  await open('/unmarked')
  await page.locator('.proposed li').first().waitFor()
  await page.keyboard.press('e')
  await until(page.locator('h1'), (text) => text === kUnmarked, 'the image')
  await rowOf(page, 'T1').waitFor()
  await page.getByText('not saved yet').waitFor()
  assert.ok(!existsSync(join(survey.folder, 'marks', `${kUnmarked}.json`)))
  await done()
})
