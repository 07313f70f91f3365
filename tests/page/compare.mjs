// Two images side by side, in one range of colours that stays.
import assert from 'node:assert/strict'
import { cpSync } from 'node:fs'
import { join } from 'node:path'
import test from 'node:test'
import { person, until } from './browser.mjs'
import { demoSurvey, serve } from './program.mjs'
import { pageTest } from './session.mjs'

const kT1 = 'route/df02_terminal_box_t1.tif' // the demo's box whose three lugs have an image each
const kT2 = 'route/df02_terminal_box_t2.tif'
const kT3 = 'route/df02_terminal_box_t3.tif'

const ends = async (page) => [await page.getByLabel('from, °C').inputValue(), await page.getByLabel('to, °C').inputValue()]
const second = (page) => page.getByRole('combobox', { name: 'Second image' })
const scaleOf = (page) => page.locator('.scale').getAttribute('aria-label')

pageTest('two images of a component stand side by side, and their range stays while others are chosen', async ({ url }) => {
  const { page, open, done } = await person(url)
  await open('/motor/DF-02')
  await page.getByRole('link', { name: 'Two images side by side' }).first().click()
  await page.locator('.side .canvas').nth(1).waitFor()
  assert.equal(await page.getByRole('combobox', { name: 'First image' }).inputValue(), kT1)
  assert.equal(await second(page).inputValue(), kT2) // the component's other one, unasked
  const [left, right] = [await page.locator('.side .canvas').nth(0).boundingBox(), await page.locator('.side .canvas').nth(1).boundingBox()]
  assert.ok(left.y === right.y && left.x + left.width < right.x, 'side by side')
  const before = await ends(page)
  await second(page).selectOption('route/df02_starter.tif') // warmer than both
  await until(page.locator('.side').nth(1), (text) => /starter load side/.test(text), 'the other image')
  await page.locator('.side').nth(1).getByText('31.9 °C').waitFor()
  assert.deepEqual(await ends(page), before)
  await page.getByRole('button', { name: 'Range of these two' }).click()
  await page.waitForFunction((to) => document.querySelectorAll('.range input')[1].value !== to, before[1])
  await page.getByLabel('to, °C').fill('60,5')
  await page.getByLabel('to, °C').press('Enter')
  const set = await ends(page)
  assert.equal(set[1], '60.5')
  await page.reload() // and the address holds both
  await page.locator('.side .canvas').nth(1).waitFor()
  assert.equal(await second(page).inputValue(), 'route/df02_starter.tif')
  assert.deepEqual(await ends(page), set)
  // The picture's own screen has the same range, and the next image of the motor too.
  await page.locator('.side').nth(0).getByRole('link').click()
  await page.locator('.seen .canvas').waitFor()
  assert.match(await scaleOf(page), /to 60\.5 °C/)
  await page.locator('.neighbours').getByRole('link', { name: kT3 }).click()
  await until(page.locator('h1'), (text) => text === kT3, 'the next image')
  await page.locator('.seen .canvas').waitFor()
  assert.match(await scaleOf(page), /to 60\.5 °C/)
  await done()
})

pageTest('on a telephone both pictures are on one screen', async ({ url }) => {
  const { page, open, done } = await person(url, { viewport: { width: 390, height: 960 } })
  await open(`/motor/DF-02/compare?left=${kT1}&right=${kT2}`)
  await page.locator('.side .canvas').nth(1).waitFor()
  await page.waitForTimeout(100)
  const { y, height } = await page.locator('.side .canvas').nth(1).boundingBox()
  assert.ok(y + height <= 960, `ends at ${y + height}`)
  await done()
})

test('an older survey’s image of the component is held beside this one’s', async () => {
  const survey = demoSurvey()
  const older = join(survey.folder, '..', 'autumn')
  cpSync(survey.folder, older, { recursive: true })
  const server = await serve(survey.folder, null, ['--earlier', older])
  try {
    const { page, open, done } = await person(server.url)
    for (let earlier = []; !earlier.length;) { // it is measured after this one
      earlier = (await (await fetch(`${server.url}/api/image?file=route/be01_terminal_box.tif`)).json()).earlier_images
    }
    await open('/motor/BE-01')
    await page.getByRole('link', { name: 'Two images side by side' }).click()
    await page.locator('.side .canvas').nth(1).waitFor()
    assert.equal(await second(page).inputValue(), 'autumn:route/be01_terminal_box.tif')
    const rows = (i) => page.locator('.side').nth(i).locator('tbody').innerText()
    assert.equal(await rows(0), await rows(1)) // it is the same survey here
    await page.locator('.side').nth(1).getByText('autumn, terminal box').waitFor()
    await done()
  } finally {
    await server.stop()
    survey.remove()
  }
})
