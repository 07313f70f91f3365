// Saving reports: the filtered list alone, and a report that is given up.
import assert from 'node:assert/strict'
import { readFileSync } from 'node:fs'
import { person } from './browser.mjs'
import { pageTest } from './session.mjs'

const rowsOf = (text) => text.trim().split('\r\n').join('\n').split('\n').length - 1

pageTest('the list is saved as it is filtered', async ({ url }) => {
  const { page, open, done } = await person(url)
  await open('/?find=CV-02')
  await page.getByText(/\d+ of \d+ findings/).waitFor()
  const shown = Number((await page.getByText(/\d+ of \d+ findings/).textContent()).match(/(\d+) of (\d+)/)[1])
  assert.ok(shown > 0)
  await page.locator('.menu summary').click()
  const [download] = await Promise.all([
    page.waitForEvent('download'), page.getByRole('button', { name: 'The list as it is filtered (CSV)' }).click()])
  const text = readFileSync(await download.path(), 'utf8')
  assert.equal(rowsOf(text), shown)
  assert.ok(text.trim().split('\n').slice(1).every((row) => row.includes('CV-02')), text)
  // The whole list has nothing to offer apart.
  await open('/')
  await page.locator('.menu summary').click()
  await page.getByRole('button', { name: 'Ranked list (CSV)' }).waitFor()
  assert.equal(await page.getByRole('button', { name: 'The list as it is filtered (CSV)' }).count(), 0)
  await done()
})

pageTest('an export tells how far it is, and Escape gives it up at the server too', async ({ url }) => {
  const { page, open, done } = await person(url)
  await open('/')
  // Held as if it took long.
  await page.route('**/api/exports?id=*', (route, request) => request.method() === 'GET'
    ? route.fulfill({ json: { id: new URL(request.url()).searchParams.get('id'), state: 'writing', progress: { done: 3, total: 9 }, file: null, bytes: null, error: null } })
    : route.continue())
  await page.route('**/api/exports', async (route) => {
    const answer = await route.fetch()
    await route.fulfill({ response: answer, json: { ...(await answer.json()), state: 'writing' } })
  })
  await page.locator('.menu summary').click()
  await page.getByRole('button', { name: 'Report to print (PDF)' }).click()
  await page.getByText('3 of 9 findings drawn').waitFor()
  const [dropped] = await Promise.all([page.waitForRequest((request) => request.method() === 'DELETE'), page.keyboard.press('Escape')])
  await page.locator('dialog').waitFor({ state: 'detached' })
  const end = Date.now() + 30_000
  while ((await fetch(dropped.url())).status !== 404) assert.ok(Date.now() < end, 'the server goes on with it')
  assert.equal(await page.locator('.menu summary').evaluate((summary) => summary === document.activeElement), true)
  await done()
})
