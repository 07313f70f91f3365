import assert from 'node:assert/strict'
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { person, rowOf, until } from './browser.mjs'
import { pageTest } from './session.mjs'

const kUnmarked = 'route/cv04_starter_closeup.npy'

pageTest('a proposal is accepted with one key, and then lies on disk as proposed', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
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
  await open('/unmarked')
  await page.locator('.proposed li').first().waitFor()
  await page.keyboard.press('e')
  await until(page.locator('h1'), (text) => text === kUnmarked, 'the image')
  await rowOf(page, 'T1').waitFor()
  await page.getByText('not saved yet').waitFor()
  assert.ok(!existsSync(join(survey.folder, 'marks', `${kUnmarked}.json`)))
  await done()
})
