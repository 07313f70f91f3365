// What a person does, as counts of actions (presses, keys, fields filled) and seconds of the program and the browser, without
// the person's own. The counts decide; the seconds are written down for docs/serve.md.
import assert from 'node:assert/strict'
import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { onScreen, person, rowOf, until } from './browser.mjs'
import { kOutput } from './program.mjs'
import { pageTest } from './session.mjs'

const kUnmarked = 'route/cv04_starter_closeup.npy'

/** Counts what is done from now on. */
function begin() {
  const started = performance.now()
  let actions = 0
  return {
    act: async (deed) => {
      ++actions
      await deed
    },
    end: (task, most) => {
      console.log(`${task}: ${actions} actions, ${((performance.now() - started) / 1000).toFixed(1)} s`)
      assert.ok(actions <= most, `${task} takes ${actions} actions`)
    }
  }
}

pageTest('find the worst motor and name its lug', async ({ url }) => {
  const { page, open, done } = await person(url)
  const task = begin()
  await task.act(open('/'))
  const row = page.locator('.list-body [data-index="1"]') // the first with a lug: the one above runs on two phases
  await until(row, (text) => /BE-01.*phase B, lug T2/.test(text), 'motor, phase and lug')
  task.end('find the worst motor and name its lug', 1)
  await done()
})

pageTest('mark three lugs', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await open(`/image/${kUnmarked}`)
  await page.getByText('No marks yet').waitFor()
  const at = async (x) => onScreen(page, x, 120)
  const task = begin()
  await task.act(page.getByRole('button', { name: 'Draw a circle' }).click())
  await page.locator('.canvas').scrollIntoViewIfNeeded()
  await task.act((async () => {
    await page.mouse.move(...(await at(80)))
    await page.mouse.down()
    await page.mouse.move(...(await at(89)), { steps: 3 })
    await page.mouse.up()
  })())
  for (const x of [160, 240]) await task.act(page.mouse.click(...(await at(x))))
  await rowOf(page, 'T3').waitFor()
  await task.act(page.keyboard.press('Control+s'))
  await page.getByText('all marks are saved').waitFor()
  task.end('mark three lugs and save them', 5)
  assert.equal(survey.marks(kUnmarked).length, 3)
  await done()
})

/** Every marked image's marks as carrying would have left them. */
function carryOntoAll(survey) {
  const files = survey.text('images.csv').split('\n').slice(1).map((line) => line.split(',')[0]).filter((file) => file.startsWith('route/'))
  let carried = 0
  for (const file of new Set(files)) {
    const path = join(survey.folder, 'marks', `${file}.json`)
    let marks
    try {
      marks = JSON.parse(readFileSync(path, 'utf8'))
    } catch {
      continue // without marks
    }
    if (++carried > 10) return
    for (const mark of marks.marks) Object.assign(mark, { origin: 'carried', from: 'before.tif', confidence: 0.9 })
    writeFileSync(path, JSON.stringify(marks))
  }
}

pageTest('review ten proposals', async ({ url }) => {
  const { page, open, done } = await person(url)
  await open('/review')
  const left = async () => Number((await page.getByText(/images? to look at/).textContent()).match(/^\d+/)[0])
  await page.locator('.proposed li').first().waitFor()
  const before = await left()
  const task = begin()
  for (let i = 1; i <= 10; ++i) {
    await page.locator('.proposed li').first().waitFor()
    await task.act(page.keyboard.press('a'))
    await page.getByText(new RegExp(`^${before - i} images? to look at`)).waitFor()
  }
  task.end('review ten proposals', 10)
  await done()
}, carryOntoAll)

pageTest('enter three resistances on a telephone and read the verdict', async ({ url }) => {
  const { page, open, done } = await person(url, { viewport: { width: 390, height: 664 }, hasTouch: true, isMobile: true })
  await open('/motor/BE-01')
  await page.locator('.summary .verdict').waitFor()
  const task = begin()
  await task.act(page.getByRole('button', { name: 'Enter a reading' }).first().tap())
  for (const [name, value] of [['A–B', '60.1'], ['B–C', '66.2'], ['C–A', '60.3']]) await task.act(page.getByLabel(name).fill(value))
  const says = page.locator('.reading-form output')
  await until(says, (text) => /Verdict with it/.test(text), 'the verdict')
  const { y, height } = await says.boundingBox()
  assert.ok(y >= 0 && y + height <= 664, 'the verdict is on the screen')
  task.end('enter three resistances at 390 px and read the verdict', 4)
  await done()
})

pageTest('compare two images', async ({ url }) => {
  const { page, open, done } = await person(url)
  await open('/motor/DF-02')
  await page.locator('.summary .verdict').waitFor()
  const task = begin()
  await task.act(page.getByRole('link', { name: 'Two images side by side' }).first().click())
  await page.locator('.side .canvas').nth(1).waitFor()
  task.end('compare two images of a component', 1)
  await page.screenshot({ path: join(kOutput, 'compare.png') })
  await done()
})
