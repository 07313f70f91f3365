import assert from 'node:assert/strict'
import { spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { join } from 'node:path'
import test from 'node:test'
import { closeBrowser, person, until } from './browser.mjs'
import { kOutput, serve } from './program.mjs'

// WCAG 2.2 AA as far as a program can check it; axe-core is the reference outside the project.
const kRules = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']
const kAxe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const kMotor = 'DF-20' // of the demo's second story: a large two-pole fan motor before its repair
const kScreen = `/motor/${kMotor}/bench`

/** The fan motor before the shop had it, with a server of its own. */
function benchTest(sentence, body) {
  test(sentence, async () => {
    const root = mkdtempSync(join(kOutput, 'fan-'))
    const { status, stderr } = spawnSync(process.env.OHMGLOW_PROGRAM, ['demo', join(root, 'fan'), '--story', 'rotor'], { encoding: 'utf8' })
    assert.equal(status, 0, stderr)
    const folder = join(root, 'fan', 'before')
    const server = await serve(folder)
    try {
      await body({ url: server.url, path: (name) => join(folder, name), text: (name) => readFileSync(join(folder, name), 'utf8') })
    } finally {
      await server.stop()
      rmSync(root, { recursive: true, force: true })
    }
  })
}

test.after(closeBrowser)

/** 46 mH, one cycle a turn of half a per cent in all pairs together, and an uneven last digit as scatter. */
function onceATurn(angles) {
  return Array.from({ length: angles }, (_, i) => {
    const turned = 46 * (1 + 0.005 * Math.cos((2 * Math.PI * i) / 36 - 1))
    return [10 * i, ...[0, 1, 2].map((pair) => (turned + 0.002 * ((7 * i + 3 * pair) % 5 - 2)).toFixed(3))]
  })
}
const asText = (rows, between, comma) => rows.map((row) => row.map((cell) => (comma ? String(cell).replace('.', ',') : cell)).join(between)).join('\n')

async function photograph(page, name) {
  await page.screenshot({ path: join(kOutput, `${name}.png`), fullPage: true })
}

async function passesAxe(page, what) {
  const wide = await page.evaluate(() => document.documentElement.scrollWidth > innerWidth)
  assert.ok(!wide, `${what} is wider than the screen`)
  // As tall as the page: nothing of it lies under the bar at the bottom.
  const { width, height } = page.viewportSize()
  await page.setViewportSize({ width, height: await page.evaluate(() => document.documentElement.scrollHeight + 100) })
  await page.evaluate(kAxe)
  const { violations } = await page.evaluate((values) => window.axe.run(document, { runOnly: { type: 'tag', values } }), kRules)
  assert.deepEqual(violations.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map(({ html }) => html.slice(0, 160)).join(' | ')}`), [], `axe on ${what}`)
  await page.setViewportSize({ width, height })
}

benchTest('a sweep of 36 angles is pasted, drawn, judged and saved below the rows that were there', async ({ url, text }) => {
  const { page, open, done } = await person(url)
  await open('/motors')
  await page.getByRole('link', { name: 'Rotor and acceptance' }).first().click()
  await page.getByRole('heading', { name: `${kMotor}: rotor and acceptance` }).waitFor()
  assert.ok(await page.locator('.rotor-shown svg.rotor').count() >= 3, 'the sweep and both ends')
  await page.getByRole('button', { name: 'Enter a sweep' }).click()
  const form = page.getByRole('form', { name: 'A new sweep' })
  await form.getByLabel('Name of the sweep').fill('again')
  await form.getByLabel('Frequency').fill('60')

  // By hand: the curve grows with each row.
  const points = () => form.locator('path.sweep-pair').first().getAttribute('d').then((path) => path.split(/[ML]/).length - 1)
  for (const [row, cells] of onceATurn(2).entries()) {
    for (const [i, name] of ['1-2', '2-3', '3-1'].entries()) await form.getByLabel(`${name}, row ${row + 1}`, { exact: true }).fill(cells[i + 1])
    await form.getByLabel(`Angle, row ${row + 2}`, { exact: true }).waitFor()
    assert.equal(await points(), row + 1)
  }
  assert.equal(await form.getByLabel('Angle, row 3', { exact: true }).inputValue(), '20')
  await until(form.locator('output'), (said) => /too few angles/.test(said), 'what is missing')

  // The rest from a spreadsheet, with decimal commas.
  await form.getByLabel('Paste from a spreadsheet').fill(asText(onceATurn(36).slice(2), '\t', true))
  await form.getByText('34 rows taken over').waitFor()
  assert.equal(await points(), 36)
  await until(form.locator('output'), (said) => /one cycle a turn/.test(said), 'the pattern before saving')
  await until(page.locator('.rotor-shown').filter({ hasText: 'what may lie behind it' }),
    (said) => /likeliest: .*\d %/.test(said) && /Next test/.test(said), 'what may lie behind it and one next test')
  await photograph(page, 'sweep-1280')
  await passesAxe(page, 'the form of a sweep')
  const before = text('sweeps.csv')
  await form.getByRole('button', { name: 'Save the sweep' }).click()
  await form.waitFor({ state: 'detached' })
  const after = text('sweeps.csv')
  assert.ok(after.startsWith(before), 'every byte that was there stays')
  const added = after.slice(before.length).trim().split('\n')
  assert.equal(added.length, 36)
  assert.match(added[35], /^DF-20,\d{4}-\d\d-\d\d,again,350,4\d\.\d{3},4\d\.\d{3},4\d\.\d{3},mh,60/)
  await until(page.locator('.rotor-shown').filter({ hasText: 'sweep again' }).locator('.result'), (said) => /one cycle a turn/.test(said), 'the pattern after saving')
  await photograph(page, 'bench-1280')
  await passesAxe(page, 'the bench')
  await done()
})

benchTest('a row that cannot be used says field, reason and mend beside it, and nothing is saved', async ({ url, text, path }) => {
  const { page, open, done } = await person(url)
  await open(kScreen)
  await page.getByRole('button', { name: 'Enter a sweep' }).click()
  const form = page.getByRole('form', { name: 'A new sweep' })
  const rows = onceATurn(36)
  rows[4][2] = '4x6.1'
  await form.getByLabel('Paste from a spreadsheet').fill(`angle;1-2;2-3;3-1\n${asText(rows, ';', true)}`)
  await form.getByText('36 rows taken over, the line of names left out').waitFor()
  const cell = form.getByLabel('2-3, row 5', { exact: true })
  const said = await until(form.locator('#sweep-row-4'), (told) => /2-3: /.test(told), 'what is wrong')
  assert.match(said, /cannot be used/)
  assert.match(said, /4x6/)
  assert.match(said, /correct the cell/)
  assert.equal(await cell.getAttribute('aria-invalid'), 'true')
  await photograph(page, 'bad-row-1280')
  const before = text('sweeps.csv')
  await form.getByRole('button', { name: 'Save the sweep' }).click()
  await form.getByRole('alert').waitFor()
  assert.equal(text('sweeps.csv'), before)
  await cell.fill('46.1')
  await form.locator('#sweep-row-4').waitFor({ state: 'detached' })

  // Commas between the numbers and in them cannot be told apart.
  await form.getByLabel('Paste from a spreadsheet').fill('0,46,31,46,17,46,18')
  await form.getByText('paste with tabs or semicolons').waitFor()

  // Somebody else saves first: the rows stay, and a second press saves them.
  const theirs = before.replace('46.314', '46.315')
  writeFileSync(path('sweeps.csv'), theirs)
  await form.getByRole('button', { name: 'Save the sweep' }).click()
  await form.getByRole('alert').filter({ hasText: 'Someone else has changed this table' }).waitFor()
  assert.equal(text('sweeps.csv'), theirs, 'nothing is saved over it')
  await page.waitForTimeout(1000) // the version that is there now is fetched
  await form.getByRole('button', { name: 'Save the sweep' }).click()
  await form.waitFor({ state: 'detached' })
  assert.match(text('sweeps.csv'), /46\.315/)
  assert.equal(text('sweeps.csv').trim().split('\n').length, before.trim().split('\n').length + 36)
  await done()
})

benchTest('on a telephone the acceptance list fills itself while tests of the shop are typed', async ({ url, text }) => {
  const { page, open, done } = await person(url, { viewport: { width: 390, height: 844 }, hasTouch: true })
  await open(kScreen)
  const acceptance = page.locator('.acceptance')
  await until(acceptance.locator('.conclusion'), (said) => /^Do not accept\./.test(said), 'the conclusion')
  await page.getByLabel('Repaired').check()
  await until(acceptance.locator('.conclusion'), (said) => /after a repair/.test(said), 'another stage')
  assert.match(page.url(), /stage=repaired/)
  await page.getByLabel('Bought').check()
  await until(acceptance.locator('.conclusion'), (said) => /bought motor/.test(said), 'the first stage')
  await photograph(page, 'acceptance-390')
  await passesAxe(page, 'the acceptance at 390 px')

  // A larger runout than any limit allows, told before it is saved.
  await page.getByText('Enter tests of the shop').click()
  const form = page.getByRole('form', { name: 'Shaft runout' })
  await form.getByLabel('Full indicator reading').fill('0,9')
  await until(form.locator('output'), (said) => /fail/.test(said) && /0\.900 mm/.test(said), 'the result beside the field')
  await until(acceptance.locator('[data-check=runout]'), (said) => /fail/.test(said) && /0\.900 mm/.test(said), 'the list')
  assert.ok(!text('readings.csv').includes('0.9,'), 'nothing is saved yet')
  await form.getByLabel('Full indicator reading').fill('0,9x')
  await until(form.locator('output'), (said) => /Full indicator reading: /.test(said), 'a bad cell')
  await form.getByLabel('Full indicator reading').fill('0,9')
  await photograph(page, 'shop-390')
  await passesAxe(page, 'the tests of the shop at 390 px')
  const before = text('readings.csv')
  await form.getByRole('button', { name: 'Save shaft runout' }).click()
  await form.getByRole('button', { name: 'Save shaft runout' }).waitFor({ state: 'detached' })
  assert.ok(text('readings.csv').startsWith(before))
  assert.match(text('readings.csv').slice(before.length), /^DF-20,runout,\d{4}-\d\d-\d\d,,0\.9,,,mm/)
  await until(acceptance.locator('[data-check=runout]'), (said) => /0\.900 mm/.test(said), 'the list after saving')
  await done()
})

benchTest('air gaps of an end are typed at eight places and judged before they are saved', async ({ url, text }) => {
  const { page, open, done } = await person(url, { viewport: { width: 390, height: 844 }, hasTouch: true })
  await open(kScreen)
  await page.getByRole('button', { name: 'Enter air gaps' }).click()
  const form = page.getByRole('form', { name: 'New air gaps' })
  const gaps = [2.8, 2.82, 2.84, 2.82, 2.8, 2.78, 2.76, 2.78]
  for (const [i, gap] of gaps.entries()) await form.getByLabel(i ? `${45 * i}°` : '0°, top', { exact: true }).fill(String(gap).replace('.', ','))
  // mean 2.8 mm, largest deviation 0.04: 1.43 % against 5 % for two poles
  await until(form.locator('output'), (said) => /pass: largest deviation 1\.43 % of the mean, limit 5 %/.test(said), 'the result')
  assert.equal(await form.locator('svg.rotor').count(), 1)
  await photograph(page, 'gaps-390')
  await passesAxe(page, 'the form of air gaps at 390 px')
  const before = text('air_gap.csv')
  await form.getByRole('button', { name: 'Save these gaps' }).click()
  await until(form.getByLabel('0°, top', { exact: true }).locator('xpath=..'), () => true, 'the form')
  await page.waitForFunction(() => document.querySelector('.gap-form .eight input').value === '')
  const added = text('air_gap.csv').slice(before.length).trim().split('\n')
  assert.ok(text('air_gap.csv').startsWith(before))
  assert.equal(added.length, 8)
  assert.equal(await form.getByLabel('Shaft turned to, °').inputValue(), '90')
  await done()
})
