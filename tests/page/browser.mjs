// Debian's Chromium, with a fresh profile for every test.
import assert from 'node:assert/strict'
import { chromium } from 'playwright-core'

const kFlags = [
  '--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
  '--disable-component-update', '--disable-sync'
]
let browser = null

export async function openBrowser() {
  browser ??= await chromium.launch({ executablePath: process.env.OHMGLOW_CHROMIUM, args: kFlags })
  return browser
}

export async function closeBrowser() {
  await browser?.close()
  browser = null
}

/** A page of a person of their own; it collects what goes wrong in it. */
export async function person(url, options = {}) {
  const context = await (await openBrowser()).newContext({ viewport: { width: 1280, height: 900 }, reducedMotion: 'reduce', ...options })
  context.setDefaultTimeout(30_000)
  const page = await context.newPage()
  const wrong = []
  page.on('pageerror', (error) => wrong.push(error.message))
  page.on('console', (message) => {
    // A 412 and a lost server are part of some tests; the browser reports both as errors.
    if (message.type() === 'error' && !/Failed to load resource|ERR_CONNECTION/.test(message.text())) wrong.push(message.text())
  })
  return {
    page,
    open: (path) => page.goto(url + path),
    done: async () => {
      await context.close()
      assert.deepEqual(wrong, [], 'the browser complained')
    }
  }
}

/** Where a pixel of the image lies on the screen. */
export async function onScreen(page, x, y) {
  const box = await page.locator('.stage').boundingBox()
  const { scale, left, top } = await page.locator('.stage').evaluate((stage) => ({ ...stage.dataset }))
  return [box.x + Number(left) + x * Number(scale), box.y + Number(top) + y * Number(scale)]
}

export async function drag(page, from, to) {
  await page.locator('.canvas').scrollIntoViewIfNeeded()
  const [x0, y0] = await onScreen(page, ...from)
  const [x1, y1] = await onScreen(page, ...to)
  await page.mouse.move(x0, y0)
  await page.mouse.down()
  await page.mouse.move((x0 + x1) / 2, (y0 + y1) / 2)
  await page.mouse.move(x1, y1)
  await page.mouse.up()
}

export const rowOf = (page, name) => page.locator('table.marks tbody tr').filter({ has: page.getByRole('button', { name: new RegExp(`^${name}\\b`) }) })
export const bandOf = (page, name) => rowOf(page, name).locator('.band')

/** Waits until a locator's text satisfies a test. */
export async function until(locator, test, what) {
  const end = Date.now() + 30_000
  for (;;) {
    const text = ((await locator.textContent().catch(() => null)) ?? '').trim()
    if (test(text)) return text
    if (Date.now() > end) assert.fail(`${what}: still "${text}"`)
    await new Promise((resolve) => setTimeout(resolve, 50))
  }
}

export async function saveMarks(page) {
  await page.getByRole('button', { name: 'Save marks' }).click()
  await page.getByText('all marks are saved').waitFor()
}
