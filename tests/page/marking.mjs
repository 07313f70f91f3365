import assert from 'node:assert/strict'
import { bandOf, drag, onScreen, person, rowOf, saveMarks, until } from './browser.mjs'
import { pageTest } from './session.mjs'

const kUnmarked = 'route/cv04_starter_closeup.npy'
const kHot = 'route/cv02_terminal_box.tif'

// The demo's truth.json says where the lugs are; any three places inside the image serve the drawing.
const kLugs = [[80, 120], [160, 120], [240, 120]]

pageTest('three lugs marked with the mouse are measured, saved, and there after a reload', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await open(`/image/${kUnmarked}`)
  await page.getByText('No marks yet').waitFor()
  for (const [x, y] of kLugs) {
    await page.getByRole('button', { name: 'Draw a circle' }).click()
    await drag(page, [x, y], [x + 9, y])
  }
  for (const name of ['T1', 'T2', 'T3']) {
    await until(rowOf(page, name).locator('td').first(), (text) => /\d °C/.test(text), `temperature of ${name}`)
  }
  await page.getByText('not saved yet').waitFor()
  await saveMarks(page)
  const saved = survey.marks(kUnmarked)
  assert.deepEqual(saved.map(({ name, role, phase, origin }) => [name, role, phase, origin]),
    [['T1', 'lug', 1, 'hand'], ['T2', 'lug', 2, 'hand'], ['T3', 'lug', 3, 'hand']])
  for (const [i, { shape }] of saved.entries()) {
    assert.equal(shape.kind, 'circle')
    assert.ok(Math.hypot(shape.center[0] - kLugs[i][0], shape.center[1] - kLugs[i][1]) < 1, `${shape.center}`)
    assert.ok(Math.abs(shape.radius - 9) < 1, `${shape.radius}`)
  }
  await page.reload()
  await until(rowOf(page, 'T3').locator('td').first(), (text) => /\d °C/.test(text), 'after the reload')
  await page.getByText('all marks are saved').waitFor()
  await done()
})

pageTest('a band changes while its mark is moved, and comes back with undo', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await open(`/image/${kHot}`)
  await until(bandOf(page, 'T2'), (text) => text === 'Urgent', 'the hot lug')
  const { shape } = survey.marks(kHot).find(({ name }) => name === 'T2')
  const [left, top] = shape.corner
  const [width, height] = shape.size
  const before = await page.locator('.ladder').innerHTML()
  await drag(page, [left + width / 2 + 2, top + height / 2 + 2], [left + width / 2 + 60, top + height / 2 + 70])
  await until(bandOf(page, 'T2'), (text) => text !== 'Urgent', 'the band off the lug')
  assert.notEqual(await page.locator('.ladder').innerHTML(), before)
  assert.deepEqual(survey.marks(kHot).find(({ name }) => name === 'T2').shape, shape) // nothing saved unasked
  await page.getByRole('button', { name: 'Undo' }).click()
  await until(bandOf(page, 'T2'), (text) => text === 'Urgent', 'the band after undo')
  await page.getByText('all marks are saved').waitFor()
  await done()
})

pageTest('rectangles and polygons are drawn, resized and deleted with the mouse', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await open(`/image/${kUnmarked}`)
  await page.getByRole('button', { name: 'Draw a rectangle' }).click()
  await drag(page, [60, 60], [80, 75])
  await page.getByRole('button', { name: 'Draw a polygon' }).click()
  for (const corner of [[150, 100], [170, 100], [160, 125]]) await clickAt(page, corner)
  await clickAt(page, [150, 100])
  await rowOf(page, 'T2').waitFor()
  await page.getByRole('button', { name: /^T1/ }).click()
  await drag(page, [80, 75], [90, 85]) // by its corner
  await saveMarks(page)
  const [rectangle, polygon] = survey.marks(kUnmarked).map(({ shape }) => shape)
  assert.ok(Math.abs(rectangle.size[0] - 30) < 1 && Math.abs(rectangle.size[1] - 25) < 1, `${rectangle.size}`)
  assert.equal(polygon.points.length, 3)
  await page.getByRole('button', { name: 'Delete T1' }).click()
  await saveMarks(page)
  assert.deepEqual(survey.marks(kUnmarked).map(({ name }) => name), ['T2'])
  await done()
})

async function clickAt(page, [x, y]) {
  await page.mouse.click(...(await onScreen(page, x, y)))
}

pageTest('names, phases, roles and surfaces are edited in fields, and snapping finds the hottest spot', async ({ survey, url }) => {
  const { page, open, done } = await person(url)
  await open(`/image/${kHot}`)
  await page.getByRole('button', { name: /^T1\b/ }).click()
  const form = page.locator('.mark-form')
  await form.getByLabel('Name').fill('U')
  await form.getByLabel('Name').press('Enter')
  await form.getByLabel('Emissivity').fill('0,8')
  await form.getByLabel('Emissivity').press('Enter')
  await form.getByLabel('Middle x').fill('95')
  await form.getByRole('button', { name: 'Snap to the hottest spot' }).click()
  await saveMarks(page)
  const mark = survey.marks(kHot).find(({ name }) => name === 'U')
  assert.equal(mark.emissivity, 0.8)
  assert.ok(Number.isInteger(mark.shape.center[0]), 'a snapped mark sits on a pixel')
  await done()
})
