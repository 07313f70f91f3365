import assert from 'node:assert/strict'
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { join } from 'node:path'
import { person, until } from './browser.mjs'
import { kOutput } from './program.mjs'
import { pageTest } from './session.mjs'

// WCAG 2.2 AA as far as a program can check it; axe-core is the reference outside the project.
const kRules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']
const kAxe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const kWidths = [1280, 768, 390]
const kTallest = 4000

const kHot = '/image/route/cv02_terminal_box.tif'
const kScreens = {
  'ranked list': { path: '/', ready: '.list-body [role=row]' },
  motors: { path: '/motors', ready: '.list-body [role=row]' },
  images: { path: '/images', ready: '.list-body [role=row]' },
  motor: { path: '/motor/CV-02', ready: '.reading', then: openDetails },
  'motor with a new reading': { path: '/motor/BE-01', ready: '.reading', then: enterReading },
  image: { path: kHot, ready: '.marks tbody tr', then: selectMark },
  'image with other parameters': { path: kHot, ready: '.marks tbody tr', then: changeParameter },
  'image not measurable': { path: '/image/route/cv06_terminal_box_again.tif', ready: '.parameters' },
  review: { path: '/review', ready: '.proposal' },
  'two images': { path: '/motor/DF-02/compare?left=route/df02_terminal_box_t1.tif', ready: '.side + .side .canvas' },
  'motor over its conductor’s limit': { path: '/motor/CV-03', ready: '.ladder .limit' },
  'not there': { path: '/motor/none', ready: 'main [role=alert]' },
  keys: { path: kHot, ready: '.marks tbody tr', then: (page) => page.keyboard.press('?') }
}

async function openDetails(page) {
  await page.locator('main details').evaluateAll((all) => all.forEach((details) => (details.open = true)))
}

async function enterReading(page) {
  await page.getByRole('button', { name: 'Enter a reading' }).first().click()
  for (const [name, value] of [['A–B', '60.1'], ['B–C', '66.2'], ['C–A', '60.3']]) await page.getByLabel(name).fill(value)
  await until(page.locator('.reading-form output'), (text) => /Unbalance \d/.test(text), 'what it says')
}

async function selectMark(page) {
  await page.getByRole('button', { name: /^T2\b/ }).click()
  await page.locator('.readout').waitFor()
}

async function changeParameter(page) {
  await page.getByLabel('Emissivity').first().fill('0.7')
  await page.locator('table.effect').waitFor()
}

async function photograph(page, name, width, scheme) {
  const tall = await page.evaluate(() => document.documentElement.scrollHeight)
  await page.setViewportSize({ width, height: Math.min(kTallest, Math.max(tall, 700)) })
  await page.waitForTimeout(150)
  await page.screenshot({ path: join(kOutput, `${name.replace(/ /g, '-')}-${width}-${scheme}.png`) })
}

/** What reaches over the right edge of the screen, boxes that scroll by themselves aside. */
const overflowing = () => {
  if (document.documentElement.scrollWidth <= innerWidth) return []
  return [...document.querySelectorAll('body *')]
    .filter((element) => element.getBoundingClientRect().right > innerWidth + 1 && !element.closest('.scroll, .list-head, svg, .unseen, .skip'))
    .map((element) => `${element.tagName}.${element.className}`)
}

for (const scheme of ['light', 'dark']) {
  for (const width of kWidths) {
    pageTest(`every screen fits, is photographed and passes axe at ${width} px, ${scheme}`, async ({ url }) => {
      const { page, open, done } = await person(url, { viewport: { width, height: 900 }, colorScheme: scheme })
      for (const [name, { path, ready, then }] of Object.entries(kScreens)) {
        await page.setViewportSize({ width, height: 900 })
        await open(path)
        await page.locator(ready).first().waitFor({ state: 'attached' })
        if (then) await then(page)
        assert.deepEqual(await page.evaluate(overflowing), [], `${name} is wider than ${width} px`)
        assert.ok(await page.getByText('Before anyone opens an enclosure').isVisible(), `${name} shows the cautions`)
        await photograph(page, name, width, scheme)
        await page.evaluate(kAxe)
        const { violations } = await page.evaluate((values) => window.axe.run(document, { runOnly: { type: 'tag', values } }), kRules)
        const told = violations.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map(({ html }) => html.slice(0, 160)).join(' | ')}`)
        assert.deepEqual(told, [], `axe on ${name}`)
      }
      await done()
    })
  }
}
