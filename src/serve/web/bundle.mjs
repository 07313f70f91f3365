// Bundles the page beside this file into out/: minified, compressed, with the licences of what it holds.
import { build } from 'esbuild'
import { mkdir, readFile, readdir, rm, writeFile } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'

const kLargestCompressed = 250_000 // bytes of everything a browser fetches first

const here = dirname(fileURLToPath(import.meta.url))
const out = join(here, 'out')

async function bundle() {
  const { metafile } = await build({
    absWorkingDir: here,
    entryPoints: { page: 'app/main.tsx' },
    outdir: out,
    bundle: true,
    minify: true,
    metafile: true,
    format: 'esm',
    target: ['es2021', 'chrome100', 'firefox100', 'safari15.4'],
    jsx: 'automatic',
    jsxImportSource: 'preact',
    legalComments: 'none', // licences.txt carries them
    define: { 'process.env.NODE_ENV': '"production"' },
    logLevel: 'warning'
  })
  return Object.keys(metafile.inputs)
}

async function licences(inputs) {
  const packages = new Set()
  for (const input of inputs) {
    const name = input.match(/node_modules\/((?:@[^/]+\/)?[^/]+)/)
    if (name) packages.add(name[1])
  }
  let text = 'The page is built with these packages.\n'
  for (const name of [...packages].sort()) {
    const folder = join(here, 'node_modules', name)
    const { version, license } = JSON.parse(await readFile(join(folder, 'package.json'), 'utf8'))
    const file = (await readdir(folder)).find((entry) => /^licen[cs]e/i.test(entry))
    text += `\n== ${name} ${version}, ${license} ==\n\n`
    text += file ? await readFile(join(folder, file), 'utf8') : 'Its package holds no licence text.\n'
  }
  return text
}

await rm(out, { recursive: true, force: true })
await mkdir(out)
const inputs = await bundle()
await writeFile(join(out, 'licences.txt'), await licences(inputs))
for (const name of ['index.html', 'icon.svg']) await writeFile(join(out, name), await readFile(join(here, name)))

let total = 0
for (const name of (await readdir(out)).sort()) {
  const compressed = gzipSync(await readFile(join(out, name)), { level: 9 })
  await writeFile(join(out, `${name}.gz`), compressed)
  if (name !== 'licences.txt') total += compressed.length
}
if (total > kLargestCompressed) {
  console.error(`The page's assets are ${total} bytes compressed, more than ${kLargestCompressed}.`)
  process.exit(1)
}
console.log(`The page's assets: ${total} bytes compressed`)
