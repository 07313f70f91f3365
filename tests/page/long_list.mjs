import assert from 'node:assert/strict'
import { person, until } from './browser.mjs'
import { stubFindings } from './many_findings.mjs'
import { pageTest } from './session.mjs'

const kRows = 100_000
const kMostInDocument = 120 // rows; a screen holds a dozen

pageTest('a list of 100 000 rows holds a screenful of them, and reaches its end', async ({ url }) => {
  const { page, open, done } = await person(url)
  await stubFindings(page, kRows)
  await open('/')
  await page.locator('[data-index="0"]').waitFor()
  const inDocument = () => page.locator('.list-body [role=row]').count()
  assert.ok((await inDocument()) < kMostInDocument)
  assert.equal(await page.getByRole('grid').getAttribute('aria-rowcount'), String(kRows + 1))
  await page.mouse.move(600, 600)
  for (let i = 0; i < 20; ++i) {
    await page.mouse.wheel(0, 30_000)
    await page.waitForFunction(() => {
      // Rows are under the middle of the screen again.
      return document.elementFromPoint(innerWidth / 2, innerHeight / 2)?.closest('[role=row]')
    })
  }
  assert.ok((await inDocument()) < kMostInDocument)
  await page.locator('.list-body [role=row]').nth(10).focus()
  await page.keyboard.press('End')
  await until(page.locator(`[data-index="${kRows - 1}"] .rank`), (text) => text === String(kRows), 'the last row')
  await page.getByRole('button', { name: 'Motor' }).click()
  await page.keyboard.press('Home')
  await page.evaluate(() => scrollTo(0, 0))
  await until(page.locator('[data-index="0"] .at-motor a'), (text) => text === 'M-0', 'ordered by motor')
  await page.keyboard.press('/')
  await page.keyboard.type('M-77777')
  await until(page.locator('.shown'), (text) => text.startsWith('1 of 100,000'), 'filtered')
  await done()
})
