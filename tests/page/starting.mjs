// A folder without a survey: images are brought, named and become one. A folder of surveys: all of them in front.
import assert from 'node:assert/strict'
import { spawnSync } from 'node:child_process'
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs'
import { createRequire } from 'node:module'
import { join } from 'node:path'
import test from 'node:test'
import { closeBrowser, person, until } from './browser.mjs'
import { demoSurvey, kOutput, serve } from './program.mjs'

const kRules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']
const kAxe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')

test.after(closeBrowser)

/** An empty folder that is served, and ten images beside it. */
function startTest(sentence, body) {
  test(sentence, async () => {
    const root = mkdtempSync(join(kOutput, 'start-'))
    const folder = join(root, 'pump-house')
    const camera = join(root, 'camera')
    mkdirSync(folder)
    mkdirSync(camera)
    const demo = demoSurvey()
    const images = readdirSync(join(demo.folder, 'route')).filter((name) => /\.tif$/.test(name)).slice(0, 5)
    for (const name of images) {
      cpSync(join(demo.folder, 'route', name), join(camera, name))
      cpSync(join(demo.folder, 'route', name), join(camera, `again_${name}`))
    }
    demo.remove()
    const server = await serve(folder)
    try {
      await body({ server, url: server.url, folder, files: readdirSync(camera).sort().map((name) => join(camera, name)) })
    } finally {
      await server.stop()
      rmSync(root, { recursive: true, force: true })
    }
  })
}

async function looksRight(page, name) {
  for (const width of [1280, 820, 390]) {
    for (const scheme of ['light', 'dark']) {
      await page.emulateMedia({ colorScheme: scheme, reducedMotion: 'reduce' })
      await page.setViewportSize({ width, height: 900 })
      const wide = await page.evaluate(() => document.documentElement.scrollWidth > innerWidth)
      assert.ok(!wide, `${name} is wider than ${width} px`)
      await page.screenshot({ path: join(kOutput, `${name}-${width}-${scheme}.png`), fullPage: true })
      await page.evaluate(kAxe)
      const { violations } = await page.evaluate((values) => window.axe.run(document, { runOnly: { type: 'tag', values } }), kRules)
      assert.deepEqual(violations.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map(({ html }) => html.slice(0, 160)).join(' | ')}`), [], `axe on ${name}`)
    }
  }
  await page.setViewportSize({ width: 1280, height: 900 })
}

startTest('ten images become a survey', async ({ url, folder, files }) => {
  const { page, open, done } = await person(url)
  await open('/')
  await page.getByRole('heading', { name: 'Start a survey in pump-house' }).waitFor()
  await page.getByText('No image is here yet.').waitFor()
  const began = Date.now()
  let actions = 1
  await page.getByLabel('Files to bring').setInputFiles(files)
  await page.getByText('10 files brought').waitFor()
  await page.getByRole('heading', { name: '10 images' }).waitFor()
  // The names told most of it; what holds for all images is typed once.
  for (const [column, text] of [['Motor', 'CV-02'], ['Component', 'terminal box'], ['Emissivity', '0.95'], ['Reflected °C', '20'], ['Air °C', '20'], ['Load 1 A', '40']]) {
    await page.getByLabel(`${column}, all blank cells`, { exact: true }).fill(text)
    await page.keyboard.press('Tab')
    actions += 2
  }
  await page.getByText('Every image has a motor and a component.').waitFor()
  await looksRight(page, 'start')
  const motor = await page.getByRole('region', { name: 'Motors' }).locator('tbody th').first().textContent()
  await page.getByLabel(`Rated A, ${motor}`, { exact: true }).fill('52')
  actions += 1
  // A value that cannot be: the cell says so, and nothing is written.
  const first = page.getByRole('region', { name: 'Images' }).locator('tbody input[aria-label^="Emissivity"]').first()
  await first.fill('1.4')
  await page.getByRole('button', { name: 'Start the survey' }).click()
  await page.getByText('some cells cannot be used').waitFor()
  assert.equal(await first.getAttribute('aria-invalid'), 'true')
  assert.ok(!existsSync(join(folder, 'images.csv')))
  // What was typed survives a reload.
  await page.reload()
  await page.getByRole('heading', { name: '10 images' }).waitFor()
  assert.equal(await first.inputValue(), '1.4')
  await first.fill('0.95')
  await page.getByRole('button', { name: 'Start the survey' }).click()
  actions += 1
  await page.getByRole('heading', { name: 'Ranked list' }).waitFor()
  console.log(`ten images brought into a new survey: ${actions} actions, ${Date.now() - began} ms (with two reloads and six photographs of the screen)`)
  const rows = readFileSync(join(folder, 'images.csv'), 'utf8').trim().split('\n').slice(1)
  assert.equal(rows.length, 12) // one of them has two pages, and came twice
  assert.ok(rows.every((row) => row.includes('0.95')))
  assert.match(readFileSync(join(folder, 'motors.csv'), 'utf8'), /52/)
  await open('/images')
  await page.getByText('12 images').first().waitFor()
  await done()
})

startTest('what cannot be an image is refused by name, the others arrive', async ({ url, folder, files }) => {
  const { page, open, done } = await person(url)
  await open('/')
  await page.getByLabel('Files to bring').setInputFiles([
    { name: 'notes.tif', mimeType: 'image/tiff', buffer: Buffer.from('no image') },
    { name: 'images.csv', mimeType: 'text/csv', buffer: Buffer.from('file,motor\n') },
    { name: 'seen.jpg', mimeType: 'image/jpeg', buffer: Buffer.from([0xff, 0xd8, 0xff, 0xe0]) }
  ])
  await page.getByText('1 file brought').waitFor()
  await until(page.locator('.coming'), (text) => /notes\.tif/.test(text) && /images\.csv: this is neither/.test(text), 'both refusals')
  assert.deepEqual(readdirSync(folder), ['seen.jpg'])
  await page.getByRole('button', { name: 'Leave it notes.tif' }).click()
  await page.getByRole('button', { name: 'Leave it images.csv' }).click()
  assert.equal(await page.locator('.coming li').count(), 0)
  // Dropped, as from a file manager.
  const dropped = await page.evaluateHandle((bytes) => {
    const data = new DataTransfer()
    data.items.add(new File([new Uint8Array(bytes)], 'BE-01 starter.tif', { type: 'image/tiff' }))
    return data
  }, [...readFileSync(files[0])])
  await page.locator('.drop').dispatchEvent('drop', { dataTransfer: dropped })
  await page.getByRole('heading', { name: '1 image' }).waitFor()
  assert.equal(await page.getByLabel('Motor, BE-01 starter.tif').inputValue(), 'BE-01')
  assert.equal(await page.getByLabel('Component, BE-01 starter.tif').inputValue(), 'starter')
  await done()
})

startTest('an upload goes on after the connection broke', async ({ url, folder }) => {
  const { page, open, done } = await person(url)
  await open('/')
  // Three pieces' worth of an image; the connection breaks at the second.
  const rows = Array.from({ length: 400 }, (_, y) => Array.from({ length: 1500 }, (_, x) => (20 + ((x + y) % 50)).toFixed(2)).join(','))
  let broken = 0
  const froms = []
  await page.route('**/api/incoming?*from=*', (route, request) => {
    const from = Number(new URL(request.url()).searchParams.get('from'))
    froms.push(from)
    if (from > 0 && broken++ < 2) return route.abort('connectionreset')
    return route.continue()
  })
  await page.getByLabel('Files to bring').setInputFiles([{ name: 'CV-02_starter.csv', mimeType: 'text/csv', buffer: Buffer.from(rows.join('\n') + '\n') }])
  await page.getByText('this goes on where it stopped').waitFor()
  await page.getByText('1 file brought').waitFor()
  assert.equal(readFileSync(join(folder, 'CV-02_starter.csv'), 'utf8'), rows.join('\n') + '\n')
  assert.deepEqual(froms.slice(0, 4), [0, 1 << 20, 1 << 20, 1 << 20], 'the first piece was sent once')
  await done()
})

test('a folder of surveys lists them, the worst first, and leads into each', async () => {
  const root = mkdtempSync(join(kOutput, 'surveys-'))
  const made = spawnSync(process.env.OHMGLOW_PROGRAM, ['demo', join(root, 'all', 'a-quiet-one')], { encoding: 'utf8' })
  assert.equal(made.status, 0, made.stderr)
  cpSync(join(root, 'all', 'a-quiet-one'), join(root, 'all', 'worst'), { recursive: true })
  rmSync(join(root, 'all', 'a-quiet-one', 'marks'), { recursive: true })
  const server = await serve(join(root, 'all'))
  try {
    const { page, open, done } = await person(server.url)
    await open('/')
    await page.getByRole('heading', { name: '2 surveys in all' }).waitFor()
    await until(page.locator('ul.surveys'), (text) => /Urgent/.test(text) && !/waits to be read|images measured/.test(text), 'everything is measured')
    assert.match(await page.locator('ul.surveys > li').first().textContent(), /worst/)
    await looksRight(page, 'surveys')
    await page.locator('ul.surveys a').first().click()
    await page.getByRole('heading', { name: 'Ranked list' }).waitFor()
    assert.equal(new URL(page.url()).pathname, '/survey/worst/')
    // Links are whole: they can be opened in another tab.
    const href = await page.getByRole('link', { name: 'Motors', exact: true }).getAttribute('href')
    assert.equal(href, '/survey/worst/motors')
    await page.getByRole('link', { name: 'Motors', exact: true }).click()
    await page.getByRole('heading', { name: 'Motors' }).waitFor()
    await page.getByRole('link', { name: 'CV-02' }).first().click()
    await page.getByRole('heading', { name: /CV-02/ }).first().waitFor()
    assert.equal(new URL(page.url()).pathname, '/survey/worst/motor/CV-02')
    const pictures = await page.locator('img').evaluateAll((images) => images.map((image) => image.getAttribute('src')))
    assert.ok(pictures.length > 0 && pictures.every((path) => path.startsWith('/survey/worst/api/')), pictures.join(' '))
    await page.reload()
    await page.getByRole('heading', { name: /CV-02/ }).first().waitFor()
    await page.getByRole('link', { name: 'All surveys' }).click()
    await page.getByRole('heading', { name: '2 surveys in all' }).waitFor()
    await open('/survey/none/')
    await page.getByText('there is no such survey in the folder').waitFor()
    await done()
  } finally {
    await server.stop()
    rmSync(root, { recursive: true, force: true })
  }
})
