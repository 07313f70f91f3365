import assert from 'node:assert/strict'
import { person, rowOf, until } from './browser.mjs'
import { pageTest } from './session.mjs'

const kUnmarked = 'route/cv04_starter_closeup.npy'

pageTest('a lug is marked, moved, resized and saved with the keyboard alone, and spoken', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await open(`/image/${kUnmarked}`)
  await page.locator('.canvas').focus()
  await page.keyboard.press('Shift+ArrowLeft') // the cross, ten pixels from the middle
  await until(page.locator('#spoken'), (text) => /°C/.test(text), 'the temperature under the cross is spoken')
  await page.keyboard.press('c')
  await page.keyboard.press('Enter')
  await rowOf(page, 'T1').waitFor()
  await page.keyboard.press('ArrowDown')
  await page.keyboard.press('Shift+ArrowRight')
  await page.keyboard.press('+')
  await page.keyboard.press('+')
  await page.keyboard.press('-')
  await until(page.locator('#spoken'), (text) => /^T1: .*°C, .*band/.test(text), 'rise and band are spoken')
  await page.keyboard.press('Control+s')
  await page.getByText('all marks are saved').waitFor()
  const [{ shape }] = survey.marks(kUnmarked)
  assert.deepEqual([shape.center, shape.radius], [[160, 121], 13]) // 320 × 240: a twentieth of the height, and one
  await page.keyboard.press('Control+z') // all five key presses of one run
  await page.getByText('not saved yet').waitFor()
  await page.keyboard.press('Control+Shift+z')
  await page.getByText('all marks are saved').waitFor()
  await page.locator('.canvas').focus()
  await page.keyboard.press('n')
  await page.keyboard.press('Delete')
  await page.getByText('No marks yet').waitFor()
  await done()
})

pageTest('the ranked list is walked with j, k and Enter, and found again on the way back', async ({ url }) => {
  const { page, open, done } = await person(url)
  await open('/')
  const focused = () => page.evaluate(() => document.activeElement?.getAttribute('aria-rowindex'))
  await page.locator('.list-row').nth(3).waitFor()
  for (const key of ['j', 'j', 'j', 'k']) await page.keyboard.press(key)
  assert.equal(await focused(), '3') // the header is row 1
  const motor = await page.locator('[data-index="1"] .at-motor a').textContent()
  await page.keyboard.press('Enter')
  await until(page.locator('h1'), (text) => text === motor, 'the motor of the second row')
  // The heading of the loaded screen takes the focus over from the one that stood there meanwhile.
  await page.waitForFunction(() => document.activeElement?.tagName === 'H1')
  await page.goBack()
  await page.locator('[data-index="1"].current').waitFor()
  await page.keyboard.press('/')
  await page.keyboard.type('BE-01')
  await until(page.locator('.shown'), (text) => /^\d+ of \d+ findings/.test(text), 'the filter')
  assert.match(page.url(), /find=BE-01/)
  await page.keyboard.press('Escape')
  await done()
})

pageTest('the list of keys opens with ?, and single keys can be turned off', async ({ url }) => {
  const { page, open, done } = await person(url)
  await open('/')
  await page.locator('.list-row').nth(1).waitFor()
  await page.keyboard.press('?')
  const dialog = page.getByRole('dialog', { name: 'Keys of this screen' })
  await dialog.getByText('next row').waitFor()
  await dialog.getByRole('checkbox').uncheck()
  await page.keyboard.press('Escape')
  await page.keyboard.press('m')
  await page.waitForTimeout(200)
  assert.equal(new URL(page.url()).pathname, '/')
  await done()
})
