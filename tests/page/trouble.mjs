// What goes wrong is said in the words of the trade, and a page heals when the server is back.
import assert from 'node:assert/strict'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import test from 'node:test'
import { person, until } from './browser.mjs'
import { demoSurvey, serve } from './program.mjs'
import { pageTest } from './session.mjs'

const kHot = 'route/cv02_terminal_box.tif'
// Words of protocols and of the tables' columns.
const kForeign = /\b4\d\d\b|etag|json|If-Match|body|header|csrf|value_\d|taken_at|_c\b|cell|row \d|left out/i

const alerts = (page) => page.locator('[role=alert]')

async function plain(page, wanted) {
  const text = await until(alerts(page).first(), (said) => wanted.test(said), `an alert like ${wanted}`)
  assert.doesNotMatch(text, kForeign)
  return text
}

pageTest('a value that cannot be used is named as the form names it', async ({ url }) => {
  const { page, open, done } = await person(url)
  await open('/motor/BE-01')
  await page.getByRole('button', { name: 'Enter a reading' }).first().click()
  for (const [name, value] of [['A–B', '60.1'], ['B–C', '60.4'], ['C–A', '60.2x']]) await page.getByLabel(name).fill(value)
  await plain(page, /^C–A: “60\.2x” is not a number$/)
  await page.getByLabel('C–A').fill('-3')
  await plain(page, /^C–A: “-3”: no such winding resistance can be; it takes a number above 0 \(mohm\)$/)
  await page.getByLabel('C–A').fill('60.2')
  await page.getByLabel('Taken').fill('yesterday')
  await plain(page, /^Taken: “yesterday” is not a date such as 2026-03-04/)
  await done()
})

pageTest('a parameter that cannot be used is named as the form names it', async ({ url }) => {
  const { page, open, done } = await person(url)
  await open(`/image/${kHot}`)
  await page.locator('#parameter-emissivity').fill('1.4')
  await plain(page, /^Emissivity: “1\.4” is not a number above 0 and at most 1$/)
  await done()
})

pageTest('a motor and an image that are not there are told as such, with the ways on', async ({ url }) => {
  const { page, open, done } = await person(url)
  for (const path of ['/motor/none', '/image/none.tif']) {
    await open(path)
    const text = await plain(page, /no such (motor|image): none/)
    assert.match(text, /another name by now, or belong to another survey/)
    await page.locator('main').getByRole('link', { name: 'Ranked list' }).waitFor()
  }
  await done()
})

pageTest('answers that only programs understand never reach the screen', async ({ url }) => {
  const { page, open, done } = await person(url)
  const refusals = {
    428: { message: 'the change does not say which version', expected: 'an If-Match header with the etag', mend: 'send its etag' },
    415: { message: 'the body has another media type', expected: 'application/json' },
    401: { message: 'this server asks for its token', expected: 'Authorization: Bearer …' },
    413: { message: 'the body of the request is too large', expected: 'at most 8388608 bytes' }
  }
  await open(`/image/${kHot}`)
  await page.getByRole('button', { name: /^T1\b/ }).click()
  await page.getByRole('button', { name: 'Larger' }).click()
  for (const [status, error] of Object.entries(refusals)) {
    await page.route('**/api/image/marks?*', (route) => route.fulfill({ status: Number(status), json: { error } }), { times: 1 })
    await page.getByRole('button', { name: 'Save marks' }).click()
    await plain(page, /Load the page again|open its address|more than the server takes/)
    await page.getByRole('button', { name: 'Larger' }).click()
  }
  await page.route('**/api/image/marks?*', (route) => route.fulfill({ status: 200, body: '<html>' }), { times: 1 })
  await page.getByRole('button', { name: 'Save marks' }).click()
  await plain(page, /come through damaged/)
  await done()
})

test('a screen that was opened while the server was away comes up by itself, and saves', async () => {
  const survey = demoSurvey()
  const first = await serve(survey.folder)
  const { page, open, done } = await person(first.url)
  await open('/motors')
  await page.locator('.list-body [role=row]').first().waitFor()
  await first.kill()
  await page.locator('.list-body').getByRole('link', { name: 'BE-01' }).click()
  await page.locator('main [role=alert]').waitFor()
  assert.doesNotMatch(await page.locator('main [role=alert]').textContent(), kForeign)
  const second = await serve(survey.folder, first.port)
  try {
    await page.locator('.summary .verdict').waitFor()
    await page.waitForFunction(() => [...document.images].every(({ complete, naturalWidth, loading }) => loading === 'lazy' || !complete || naturalWidth > 0))
    // The new server has another token: a save tells the page, which goes on.
    await page.getByRole('button', { name: 'Enter a reading' }).first().click()
    for (const [name, value] of [['A–B', '60.1'], ['B–C', '60.4'], ['C–A', '60.2']]) await page.getByLabel(name).fill(value)
    await page.getByRole('button', { name: 'Save the reading' }).click()
    await page.getByText('Reading saved').first().waitFor()
    assert.match(readFileSync(join(survey.folder, 'readings.csv'), 'utf8'), /^BE-01,.*60\.1,60\.4,60\.2/m)
    await done()
  } finally {
    await second.stop()
    survey.remove()
  }
})

test('pictures that failed while the server was away are there when it is back', async () => {
  const survey = demoSurvey()
  const first = await serve(survey.folder)
  const { page, open, done } = await person(first.url)
  await page.route('**/api/image/thumbnail?*', (route) => route.abort())
  await open('/motor/BE-01')
  await page.locator('.tiles img').first().waitFor()
  await page.waitForFunction(() => document.querySelector('.tiles img').complete)
  await page.unroute('**/api/image/thumbnail?*')
  await first.kill()
  await page.getByText('The connection to the server is lost').waitFor()
  const second = await serve(survey.folder, first.port)
  try {
    await page.waitForFunction(() => document.querySelector('.tiles img').naturalWidth > 0)
    await done()
  } finally {
    await second.stop()
    survey.remove()
  }
})
