import assert from 'node:assert/strict'
import { person, rowOf, until } from './browser.mjs'
import { pageTest } from './session.mjs'

const kImage = 'route/cv02_terminal_box.tif'

pageTest("a parameter's effect is shown before it is saved to images.csv, whose other cells stay", async ({ survey, url }) => {
  const before = survey.text('images.csv')
  const { page, open, done } = await person(url)
  await open(`/image/${kImage}`)
  const was = await until(rowOf(page, 'T2').locator('td').first(), (text) => /°C/.test(text), 'T2')
  await page.getByLabel('Emissivity').first().fill('0.6')
  const effect = page.locator('table.effect tbody tr').filter({ hasText: 'T2' }).locator('td').first()
  const text = await until(effect, (line) => /→/.test(line), 'the effect')
  const [old, fresh] = text.match(/[\d.]+(?= °C)/g).map(Number)
  assert.equal(`${old.toFixed(1)}`, was.match(/[\d.]+/)[0])
  assert.ok(fresh > old, 'a lower emissivity means a hotter lug')
  assert.equal(survey.text('images.csv'), before) // nothing saved unasked
  await page.getByRole('button', { name: 'Save the parameter' }).click()
  await page.locator('table.effect').waitFor({ state: 'detached' })
  await until(rowOf(page, 'T2').locator('td').first(), (now) => now.startsWith(fresh.toFixed(1)), 'T2 after saving')
  const changed = survey.text('images.csv').split('\n').map((line, i) => [line, before.split('\n')[i]]).filter(([a, b]) => a !== b)
  assert.equal(changed.length, 1)
  assert.ok(changed[0][0].startsWith(kImage) && changed[0][0].includes('0.6'), changed[0][0])
  await page.reload()
  await until(page.locator('#parameter-emissivity-from'), (line) => /0.6, from images.csv/.test(line), 'where it comes from')
  await done()
})

pageTest('a parameter that cannot be is refused with the reason', async ({ survey, url }) => {
  const before = survey.text('images.csv')
  const { page, open, done } = await person(url)
  await open(`/image/${kImage}`)
  await page.getByLabel('Emissivity').first().fill('1.7')
  await until(page.locator('.notice').first(), (text) => /emissivity/i.test(text), 'the reason')
  assert.equal(survey.text('images.csv'), before)
  await done()
})
