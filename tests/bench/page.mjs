// How quick the page feels: first picture, from a mark's move to its number, scrolling 100 000 rows, a key an image
// through 100 images whose marks are to be reviewed.
//   node tests/bench/page.mjs BUILD_FOLDER      (of a build with tests)
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { pathToFileURL } from 'node:url'

const kWidth = 1024
const kHeight = 768
const kSteps = 100
const kLoads = 5
const kReviewed = 100
const kLugs = [[256, 550, 31], [300, 200, 45], [768, 550, 30]] // x, y, °C; the second lies on a slope, so that each step changes its number
const kSlope_c = 0.2 // a pixel, along x

const build = resolve(process.argv[2] ?? 'build/dev')
process.env.OHMGLOW_PROGRAM = join(build, 'ohmglow')
process.env.OHMGLOW_CHROMIUM ??= '/usr/bin/chromium'
process.env.OHMGLOW_TEST_OUTPUT ??= join(build, 'bench')
const scripts = (name) => import(pathToFileURL(join(build, 'tests/page/scripts', name)).href)
const { serve } = await scripts('program.mjs')
const { person, onScreen, closeBrowser } = await scripts('browser.mjs')

const marksOf = (lugs) => lugs.map(([x, y], i) => ({ name: `T${i + 1}`, role: 'lug', phase: i + 1, shape: { kind: 'circle', center: [x, y], radius: 24 } }))

/** A float image of three warm lugs on a scene at 24 °C, as NumPy writes it (format 1.0). */
function npy() {
  const values = new Float32Array(kWidth * kHeight)
  for (let y = 0; y < kHeight; ++y) {
    for (let x = 0; x < kWidth; ++x) {
      let celsius = 24 + 0.05 * Math.sin(x * 12.9898 + y * 78.233)
      for (const [cx, cy, hot] of kLugs) celsius = Math.max(celsius, hot - Math.hypot(x - cx, y - cy) * 0.2)
      if (y > 150 && y < 250 && x > 200) celsius = 45 + (x - 300) * kSlope_c
      values[y * kWidth + x] = celsius
    }
  }
  const header = `{'descr': '<f4', 'fortran_order': False, 'shape': (${kHeight}, ${kWidth}), }`
  const text = header.padEnd(117) + '\n' // 10 bytes before it: 128 together
  return Buffer.concat([Buffer.from('\x93NUMPY\x01\x00\x76\x00', 'latin1'), Buffer.from(text), Buffer.from(values.buffer)])
}

/** Images of one box whose marks nobody has confirmed. */
function unconfirmedSurvey() {
  const folder = mkdtempSync(join(tmpdir(), 'ohmglow-page-review-'))
  mkdirSync(join(folder, 'marks'))
  const image = npy()
  const rows = ['file,motor,component,emissivity,reflected_c,air_c']
  for (let i = 0; i < kReviewed; ++i) {
    const file = `box${i}.npy`
    writeFileSync(join(folder, file), image)
    rows.push(`${file},M-${i},terminal box,0.95,24,24`)
    const marks = marksOf(kLugs).map((mark) => ({ ...mark, origin: 'proposed', confidence: 0.5 + i / 250 }))
    writeFileSync(join(folder, `marks/${file}.json`), JSON.stringify({ version: 1, image: file, size: [kWidth, kHeight], marks }))
  }
  writeFileSync(join(folder, 'images.csv'), rows.join('\n') + '\n')
  return folder
}

function survey() {
  const folder = mkdtempSync(join(tmpdir(), 'ohmglow-page-bench-'))
  mkdirSync(join(folder, 'marks'))
  writeFileSync(join(folder, 'box.npy'), npy())
  writeFileSync(join(folder, 'images.csv'), 'file,motor,component,emissivity,reflected_c,air_c\nbox.npy,M-1,terminal box,0.95,24,24\n')
  writeFileSync(join(folder, 'marks/box.npy.json'), JSON.stringify({ version: 1, image: 'box.npy', size: [kWidth, kHeight], marks: marksOf(kLugs) }))
  return folder
}

const at = (sorted, part) => sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * part))].toFixed(1)
function report(what, values) {
  const sorted = [...values].sort((a, b) => a - b)
  console.log(`${what}: median ${at(sorted, 0.5)} ms, 95 % ${at(sorted, 0.95)} ms, largest ${at(sorted, 1)} ms (${sorted.length} times)`)
}

async function firstPicture(page, open) {
  await page.addInitScript(() => {
    addEventListener('DOMContentLoaded', () => {
      new MutationObserver((_, observer) => {
        if (!document.querySelector('.stage[data-scale] canvas')) return
        observer.disconnect()
        requestAnimationFrame(() => requestAnimationFrame(() => (window.pictureAt = performance.now())))
      }).observe(document.body, { subtree: true, childList: true, attributes: true })
    })
  })
  const times = []
  for (let i = 0; i < kLoads; ++i) {
    await open('/image/box.npy')
    times.push(await page.waitForFunction(() => window.pictureAt).then((handle) => handle.jsonValue()))
  }
  report('from opening an image to its picture', times)
}

async function dragToNumber(page) {
  await page.getByText('all marks are saved').waitFor()
  const [x, y] = await onScreen(page, kLugs[1][0], kLugs[1][1] - 24)
  await page.mouse.move(x, y)
  await page.mouse.down()
  await page.locator('.readout').waitFor()
  await page.evaluate(() => {
    window.waits = []
    performance.setResourceTimingBufferSize(10_000)
    document.querySelector('.canvas').addEventListener('pointermove', (event) => (window.movedAt = event.timeStamp), true)
    new MutationObserver(() => {
      if (window.movedAt) window.waits.push(performance.now() - window.movedAt)
      window.movedAt = 0
    }).observe(document.querySelector('.readout'), { subtree: true, childList: true, characterData: true })
  })
  for (let i = 1; i <= kSteps; ++i) {
    await page.mouse.move(x + 1.5 * i, y + (i % 2))
    await page.waitForFunction((count) => window.waits.length >= count, i, { timeout: 10_000 })
  }
  await page.mouse.up()
  const asked = () => performance.getEntriesByType('resource').filter(({ name }) => name.endsWith('/api/try')).map(({ duration }) => duration)
  report('of it, from question to answer', await page.evaluate(asked))
  report(`from a mark's move to its number, ${kWidth} × ${kHeight}`, await page.evaluate(() => window.waits))
}

async function scroll(page, open) {
  const { stubFindings } = await scripts('many_findings.mjs')
  await stubFindings(page, 100_000)
  await open('/')
  await page.locator('[data-index="0"]').waitFor()
  const frames = await page.evaluate(() => new Promise((done) => {
    const times = []
    let last = performance.now()
    const step = (now) => {
      times.push(now - last)
      last = now
      scrollBy(0, 400)
      if (times.length < 200) requestAnimationFrame(step)
      else done(times.slice(1))
    }
    requestAnimationFrame(step)
  }))
  report('a frame while 100 000 rows scroll', frames)
}

/** One key an image: from the key to the next image with its marks on the screen. */
async function review() {
  const folder = unconfirmedSurvey()
  const server = await serve(folder)
  const { page, open } = await person(server.url)
  try {
    await open('/review')
    const shown = (left) => page.waitForFunction((count) => {
      const said = document.querySelector('[role=status]')?.textContent ?? ''
      const done = count === 0 ? said.startsWith('Every image') : said.startsWith(`${count} image`)
      return done && (count === 0 || document.querySelector('.proposal .stage[data-scale] canvas'))
    }, left, { timeout: 60_000 })
    await shown(kReviewed)
    const times = []
    for (let left = kReviewed - 1; left >= 0; --left) {
      const begun = performance.now()
      await page.keyboard.press('a')
      await shown(left)
      times.push(performance.now() - begun)
    }
    report(`reviewing an image of ${kWidth} × ${kHeight} with one key, to the next one with its marks`, times)
  } finally {
    await server.stop()
    rmSync(folder, { recursive: true })
  }
}

const folder = survey()
const server = await serve(folder)
const { page, open } = await person(server.url)
try {
  await firstPicture(page, open)
  await dragToNumber(page)
  await scroll(page, open)
  await review()
} finally {
  await closeBrowser()
  await server.stop()
  rmSync(folder, { recursive: true })
}
