import assert from 'node:assert/strict'
import { drag, person, saveMarks } from './browser.mjs'
import { pageTest } from './session.mjs'

const kImage = 'route/cv02_terminal_box.tif'

async function meet({ survey, url }) {
  const ann = await person(url)
  const ben = await person(url)
  for (const { open, page } of [ann, ben]) {
    await open(`/image/${kImage}`)
    await page.getByText('all marks are saved').waitFor()
  }
  const { shape } = survey.marks(kImage).find(({ name }) => name === 'T2')
  const middle = [shape.corner[0] + shape.size[0] / 2, shape.corner[1] + shape.size[1] / 2]
  // Ben begins to move T2; Ann adds a patch at air temperature and saves; Ben saves.
  await drag(ben.page, [middle[0] + 1, middle[1] + 1], [middle[0] + 4, middle[1] + 1])
  await ann.page.getByRole('button', { name: 'Draw a rectangle' }).click()
  await drag(ann.page, [20, 20], [50, 40])
  await ann.page.locator('.mark-form').getByLabel('What it is').selectOption('ambient')
  await ann.page.locator('.mark-form').getByLabel('Name').fill('wall')
  await ann.page.locator('.mark-form').getByLabel('Name').press('Enter')
  await saveMarks(ann.page)
  await ben.page.getByText('Someone else has saved marks of this image.').first().waitFor()
  await ben.page.getByRole('button', { name: 'Save marks' }).click()
  const dialog = ben.page.getByRole('dialog')
  await dialog.getByText('Nothing is saved yet').waitFor()
  const done = async () => {
    await ann.done()
    await ben.done()
  }
  const has = () => ({
    wall: survey.marks(kImage).some(({ name }) => name === 'wall'),
    moved: survey.marks(kImage).find(({ name }) => name === 'T2').shape.corner[0] - shape.corner[0] > 1
  })
  assert.deepEqual(has(), { wall: true, moved: false })
  return { ann, ben, dialog, has, done }
}

pageTest('two people on one image: saved mark by mark, both keep their work', async (session) => {
  const { ann, ben, dialog, has, done } = await meet(session)
  await dialog.getByRole('button', { name: 'Save this choice, mark by mark' }).click()
  await ben.page.getByText('all marks are saved').waitFor()
  assert.deepEqual(has(), { wall: true, moved: true })
  await ann.page.getByRole('button', { name: /^wall/ }).waitFor()
  await done()
})

pageTest('two people on one image: one takes the other version, and can bring the own one back', async (session) => {
  const { ben, dialog, has, done } = await meet(session)
  await dialog.getByRole('button', { name: 'Take theirs' }).click()
  await ben.page.getByText('all marks are saved').waitFor()
  assert.deepEqual(has(), { wall: true, moved: false })
  await ben.page.getByRole('button', { name: 'Undo' }).click()
  await saveMarks(ben.page)
  assert.deepEqual(has(), { wall: false, moved: true })
  await done()
})

pageTest('two people on one image: one insists', async (session) => {
  const { ben, dialog, has, done } = await meet(session)
  await dialog.getByRole('button', { name: 'Keep mine' }).click()
  await ben.page.getByText('all marks are saved').waitFor()
  assert.deepEqual(has(), { wall: false, moved: true })
  await done()
})
