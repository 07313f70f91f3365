// The program under test: a fresh demo survey, and `ohmglow serve` on it.
import { spawn, spawnSync } from 'node:child_process'
import { once } from 'node:events'
import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { createInterface } from 'node:readline'

const kProgram = process.env.OHMGLOW_PROGRAM
export const kOutput = process.env.OHMGLOW_TEST_OUTPUT
mkdirSync(kOutput, { recursive: true })

export function demoSurvey() {
  const folder = join(mkdtempSync(join(kOutput, 'survey-')), 'survey')
  const { status, stderr } = spawnSync(kProgram, ['demo', folder], { encoding: 'utf8' })
  if (status !== 0) throw new Error(`ohmglow demo: ${stderr}`)
  return {
    folder,
    text: (name) => readFileSync(join(folder, name), 'utf8'),
    marks: (file) => JSON.parse(readFileSync(join(folder, 'marks', `${file}.json`), 'utf8')).marks,
    remove: () => rmSync(join(folder, '..'), { recursive: true, force: true })
  }
}

/** Starts the server and waits for its address, which it prints when it is ready. */
export async function serve(folder, port = null, options = []) {
  const child = spawn(kProgram, ['serve', folder, ...(port ? ['--port', String(port)] : []), ...options], { stdio: ['ignore', 'pipe', 'pipe'] })
  let said = ''
  const address = new Promise((resolve, reject) => {
    for (const stream of [child.stdout, child.stderr]) {
      createInterface({ input: stream }).on('line', (line) => {
        said += `${line}\n`
        const found = line.match(/https?:\/\/[\d.]+:\d+/)
        if (found) resolve(found[0])
      })
    }
    child.once('exit', (code) => reject(new Error(`ohmglow serve ended with ${code}: ${said}`)))
  })
  const url = await address
  const end = async (signal) => {
    if (child.exitCode !== null || child.signalCode !== null) return
    child.kill(signal)
    await once(child, 'exit')
  }
  return { url, port: Number(new URL(url).port), stop: () => end('SIGTERM'), kill: () => end('SIGKILL') }
}
