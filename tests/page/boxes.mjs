// No control lies over another one, and the first screen of a telephone shows findings.
import assert from 'node:assert/strict'
import { join } from 'node:path'
import { person, until } from './browser.mjs'
import { kOutput } from './program.mjs'
import { pageTest } from './session.mjs'

const kWidths = [320, 390, 820, 1280, 1920, 2560]
const kHot = '/image/route/cv02_terminal_box.tif'
const kScreens = {
  'ranked list': { path: '/', ready: '.list-body [role=row]' },
  motors: { path: '/motors', ready: '.list-body [role=row]' },
  images: { path: '/images', ready: '.list-body [role=row]' },
  motor: { path: '/motor/CV-02', ready: '.reading', then: (page) => page.getByRole('button', { name: /^Enter the next test/ }).click() },
  image: { path: kHot, ready: '.marks tbody tr', then: (page) => page.getByRole('button', { name: /^T2\b/ }).click() },
  'two images': { path: '/motor/DF-02/compare?left=route/df02_terminal_box_t1.tif', ready: '.side + .side .canvas' },
  bench: { path: '/motor/DF-03/bench', ready: 'main h2' },
  review: { path: '/review', ready: '.proposal' },
  'not there': { path: '/motor/none', ready: 'main [role=alert]' },
  keys: { path: kHot, ready: '.marks tbody tr', then: (page) => page.keyboard.press('?') },
  conflict: { path: kHot, ready: '.marks tbody tr', then: meetSomebody }
}

/** As if a colleague had saved marks of the image meanwhile. */
async function meetSomebody(page) {
  await page.route('**/api/image/marks?*', async (route) => {
    const { image, size, marks } = route.request().postDataJSON()
    await route.fulfill({
      status: 412, json: { error: { message: 'changed meanwhile' }, marks_etag: 'x', current: { version: 1, image, size, marks: marks.slice(1) } }
    })
  }, { times: 1 })
  await page.getByRole('button', { name: /^T2\b/ }).click()
  await page.getByRole('button', { name: 'Larger' }).click()
  await page.getByRole('button', { name: 'Save marks' }).click()
  await page.getByRole('dialog').waitFor()
}

/** Controls that something else lies over, at every scroll position of the page. */
const covered = async () => {
  const found = new Set()
  const dialog = document.querySelector('dialog[open]')
  const scope = dialog ?? document
  const within = dialog?.getBoundingClientRect() ?? { top: 0, bottom: innerHeight }
  const wanted = 'a[href], button, input, select, summary, .band, output, h1, h2'
  const name = (element) => `${element.tagName.toLowerCase()}.${element.className} "${(element.textContent || element.id).trim().slice(0, 30)}"`
  for (let top = 0; ; top += Math.floor(innerHeight / 2)) {
    scrollTo(0, top)
    await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)))
    const head = document.querySelector('.list-head')?.getBoundingClientRect()
    for (const element of scope.querySelectorAll(wanted)) {
      if (!element.checkVisibility()) continue // in a closed fold
      const box = element.getBoundingClientRect()
      if (box.width < 2 || box.height < 2 || element.closest('.unseen, .skip, .list-row.current')) continue
      // Rows pass under the list's own head, and what scrolls by itself is cut by its box.
      if (element.closest('.list-body') && head && box.top < head.bottom) continue
      if (element.closest('.list-head') && box.right > innerWidth) continue
      const x = box.left + box.width / 2
      const y = box.top + box.height / 2
      if (x < 0 || y < within.top || x >= innerWidth || y >= within.bottom) continue
      const hit = document.elementFromPoint(x, y)
      if (!hit || element.contains(hit) || hit.contains(element) || hit.closest('label')?.contains(element)) continue
      found.add(`${name(element)} under ${name(hit)}`)
    }
    if (top + innerHeight >= document.documentElement.scrollHeight) break
  }
  // And their boxes against each other, wherever they lie; of a link in a text, the box of each line.
  scrollTo(0, 0)
  await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)))
  const cut = (element) => element.closest('.list-head') && element.getBoundingClientRect().right > innerWidth
  const controls = [...scope.querySelectorAll('a[href], button, input, select, summary, .list-body [role=gridcell]')]
    .filter((element) => element.checkVisibility() && !element.closest('.unseen, .skip, .canvas') && !cut(element))
    .flatMap((element) => [...element.getClientRects()].filter(({ width }) => width > 2).map((box) => ({ element, box })))
  for (const a of controls) {
    for (const b of controls) {
      if (a.element === b.element || a.element.contains(b.element) || b.element.contains(a.element)) continue
      const wide = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left)
      const high = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top)
      if (wide > 2 && high > 2) found.add(`${name(a.element)} and ${name(b.element)} overlap`)
    }
  }
  // A row of a list is as tall as what stands in it.
  for (const cell of document.querySelectorAll('.list-body [role=gridcell]')) {
    if (!cell.checkVisibility()) continue
    const row = cell.parentElement.getBoundingClientRect()
    const { top, bottom, right } = cell.getBoundingClientRect()
    if (top < row.top - 1 || bottom > row.bottom + 1 || right > row.right + 1) found.add(`${name(cell)} is cut by its row`)
  }
  return [...found]
}

for (const scheme of ['light', 'dark']) {
  pageTest(`no control lies over another at ${kWidths.join(', ')} px, ${scheme}`, async ({ url }) => {
    const { page, open, done } = await person(url, { colorScheme: scheme })
    for (const [name, { path, ready, then }] of Object.entries(kScreens)) {
      await page.setViewportSize({ width: 1280, height: 844 })
      await open(path)
      await page.locator(ready).first().waitFor()
      if (then) await then(page)
      for (const width of kWidths) {
        await page.setViewportSize({ width, height: 844 })
        await page.waitForTimeout(100)
        await page.screenshot({ path: join(kOutput, `${name.replace(/ /g, '-')}-${width}-${scheme}.png`) })
        assert.deepEqual(await page.evaluate(covered), [], `${name} at ${width} px`)
      }
      await page.evaluate(() => localStorage.clear())
    }
    await done()
  })
}

pageTest('the check finds a control that something lies over, and two whose boxes overlap', async ({ url }) => {
  const { page, open, done } = await person(url)
  await open('/motors')
  await page.locator('.list-row').nth(1).waitFor()
  await page.waitForTimeout(100)
  assert.deepEqual(await page.evaluate(covered), [])
  await page.evaluate(() => { // a bar that stays in place, as wide as the search field under it
    const { left, top, width, height } = document.querySelector('.filters input').getBoundingClientRect()
    const bar = document.createElement('div')
    bar.className = 'made-up'
    bar.style.cssText = `position: fixed; left: ${left}px; top: ${top}px; width: ${width}px; height: ${height}px; background: red`
    document.body.append(bar)
  })
  const under = await page.evaluate(covered)
  assert.ok(under.some((text) => /^input\..* under div\.made-up/.test(text)), under.join('; '))
  await page.evaluate(() => {
    document.querySelector('.made-up').remove()
    const [first, second] = ['One', 'Two'].map((text) => Object.assign(document.createElement('button'), { textContent: text }))
    second.style.marginLeft = '-12px' // their middles stay free: only the boxes tell
    for (const button of [first, second]) button.style.width = '80px'
    document.querySelector('main').append(first, second)
  })
  assert.deepEqual(await page.evaluate(covered), ['button. "One" and button. "Two" overlap', 'button. "Two" and button. "One" overlap'])
  await done()
})

pageTest('the first screen of a telephone shows three findings', async ({ url }) => {
  const { page, open, done } = await person(url, { viewport: { width: 390, height: 844 } })
  await open('/')
  await page.locator('.list-body [role=row]').nth(2).waitFor()
  const { y, height } = await page.locator('.list-body [data-index="2"]').boundingBox()
  assert.ok(y + height <= 844, `the third ends at ${y + height}`)
  await done()
})

pageTest('three values typed on a telephone show their result and the saved note on the same screen', async ({ url }) => {
  const { page, open, done } = await person(url, { viewport: { width: 390, height: 664 }, hasTouch: true, isMobile: true })
  await open('/motor/BE-01')
  const began = Date.now()
  await page.getByRole('button', { name: 'Enter a reading' }).first().tap()
  for (const [name, value] of [['A–B', '60.1'], ['B–C', '66.2'], ['C–A', '60.3']]) await page.getByLabel(name).fill(value)
  await until(page.locator('.reading-form output'), (text) => /Verdict with it/.test(text), 'the verdict')
  console.log(`three resistances entered on a telephone, verdict read: 4 actions, ${Date.now() - began} ms`)
  const says = await page.locator('.reading-form output').boundingBox()
  assert.ok(says.y >= 0 && says.y + says.height <= 664, `the result lies at ${says.y} to ${says.y + says.height}`)
  await page.getByRole('button', { name: 'Save the reading' }).tap()
  await page.locator('.saved').waitFor()
  await page.waitForTimeout(100)
  const note = await page.locator('.saved').boundingBox()
  assert.ok(note.y >= 0 && note.y + note.height <= 664, `saved lies at ${note.y}`)
  await done()
})
