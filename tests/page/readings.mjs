import assert from 'node:assert/strict'
import { person, until } from './browser.mjs'
import { pageTest } from './session.mjs'

const kMotor = 'CV-02' // of the demo: a hot lug on phase B at the terminal box, old readings in balance

// 46 mΩ at 13.6 A would make 8.5 W where the heat takes about 1: one phase, not one size.
pageTest('readings entered at the panel change the verdict of a hot lug, at once and on disk', async ({ survey, url }) => {
  const { page, open, done } = await person(url, { viewport: { width: 390, height: 844 }, hasTouch: true })
  await open(`/motor/${kMotor}`)
  const verdict = page.locator('.summary .verdict')
  await until(verdict, (text) => /^heat only/i.test(text), 'before')
  await page.getByRole('button', { name: 'Enter a reading' }).first().click()
  const form = page.locator('.reading-form')
  await form.getByLabel('Unit').selectOption('mohm')
  await form.getByLabel('Where the leads were').fill('terminal box')
  await form.getByLabel('A–B').fill('920')
  await form.getByLabel('B–C').fill('921')
  await form.getByLabel('C–A').fill('828,5') // a decimal comma
  await form.getByLabel('Taken').fill('2026-03-04')
  // NEMA MG 1: mean (920 + 921 + 828.5) / 3 = 889.83, largest deviation 61.33: 6.89 %
  await until(form.locator('output'), (text) => /6\.89 %/.test(text) && /phase B/.test(text), 'unbalance and phase')
  await until(verdict, (text) => /^phase agrees/i.test(text), 'the verdict before saving')
  assert.ok(!survey.text('readings.csv').includes('828.5'))
  await form.getByRole('button', { name: 'Save the reading' }).click()
  await form.waitFor({ state: 'detached' })
  await until(verdict, (text) => /^phase agrees/i.test(text), 'the verdict after saving')
  assert.match(survey.text('readings.csv'), /^CV-02,winding_resistance,2026-03-04,terminal box,920,921,828\.5,mohm/m)
  await page.reload()
  await until(verdict, (text) => /^phase agrees/i.test(text), 'the verdict after a reload')

  // Correct it, then take it out again.
  const row = page.locator('.reading').filter({ hasText: '828.5' })
  await row.getByRole('button', { name: 'Correct' }).click()
  await page.locator('.reading-form').getByLabel('C–A').fill('829')
  await page.getByRole('button', { name: 'Save the reading' }).click()
  await page.locator('.reading').filter({ hasText: '829' }).waitFor()
  page.once('dialog', (dialog) => dialog.accept())
  await page.locator('.reading').filter({ hasText: '829' }).getByRole('button', { name: 'Delete' }).click()
  await until(verdict, (text) => /^heat only/i.test(text), 'after the deletion')
  await done()
})

pageTest('the form begins in the unit that the motor was measured in before', async ({ url }) => {
  const { page, open, done } = await person(url)
  await open('/motor/BE-01') // its earlier readings are in mohm
  await page.getByRole('button', { name: 'Enter a reading' }).first().click()
  const unit = page.locator('.reading-form').getByLabel('Unit')
  assert.equal(await unit.inputValue(), 'mohm')
  await page.locator('.reading-form').getByLabel('Test').selectOption('line_voltage')
  assert.equal(await unit.inputValue(), 'v')
  await done()
})
