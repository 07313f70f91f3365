// What surrounds every screen: where one is, how far the measuring is, the cautions.
import type { ComponentChildren } from 'preact'
import { useEffect, useState } from 'preact/hooks'
import { base } from './base'
import { Export } from './export'
import { KeyHelp } from './key_help'
import { listenToKeys, useKeys } from './keys'
import { go, type Route } from './route'
import { useSurvey } from './survey_context'
import type { Progress } from './wire'

const kPlaces: { path: string; screens: Route['screen'][]; title: string }[] = [
  { path: '/', screens: ['findings'], title: 'Ranked list' },
  { path: '/motors', screens: ['motors', 'motor', 'bench', 'compare'], title: 'Motors' },
  { path: '/images', screens: ['images', 'image'], title: 'Images' },
  { path: '/review', screens: ['review'], title: 'Review' }
]

function Places({ route }: { route: Route }) {
  const { unmarked, unconfirmed } = useSurvey().survey.counts.images
  const open = unmarked + unconfirmed
  return (
    <nav aria-label="Screens">
      {kPlaces.map(({ path, screens, title }) => (
        <a key={path} href={path} aria-current={screens.includes(route.screen) ? 'page' : undefined}>
          {title}
          {path === '/review' && open > 0 &&
            <span class="count">{open}<span class="unseen"> images</span></span>}
        </a>
      ))}
    </nav>
  )
}

function Measuring({ progress }: { progress: Progress | null }) {
  if (!progress || progress.done >= progress.total) return null
  return (
    <p class="measuring">
      <label for="measuring">Measuring: {progress.done} of {progress.total} images</label>
      <progress id="measuring" max={progress.total} value={progress.done} />
    </p>
  )
}

/** What everyone reads before opening anything. */
export function Cautions({ texts }: { texts: string[] }) {
  return (
    <details class="cautions">
      <summary>Before anyone opens an enclosure</summary>
      <ul>{texts.map((text) => <li key={text}>{text}</li>)}</ul>
    </details>
  )
}

export function Frame(props: {
  route: Route
  progress: Progress | null
  connected: boolean
  children: ComponentChildren
}) {
  const { survey } = useSurvey()
  const [helping, setHelping] = useState(false)
  useEffect(listenToKeys, [])
  useKeys([
    { key: '?', does: 'this list of keys', run: () => setHelping(true) },
    { key: 'l', does: 'ranked list', run: () => go('/') },
    { key: 'm', does: 'motors', run: () => go('/motors') },
    { key: 'u', does: 'marks to review', run: () => go('/review') }
  ])
  return (
    <>
      <a class="skip" href="#screen">To the content</a>
      <header class="top">
        <p class="site"><a href="/">{survey.site ?? survey.name}</a>
          {survey.surveyed_on && <span class="aside"> surveyed {survey.surveyed_on}</span>}</p>
        <Places route={props.route} />
        <div class="tools">
          {base && <a href="/" target="_self">All surveys</a>}
          <Export />
          <button type="button" class="quiet" onClick={() => setHelping(true)}>Keys</button>
        </div>
        <Cautions texts={survey.cautions} />
        <Measuring progress={props.progress} />
        {!props.connected &&
          <p class="notice" role="alert">The connection to the server is lost. What you type is kept here; saving waits
            until it is back.</p>}
      </header>
      <main id="screen" tabIndex={-1}>{props.children}</main>
      <footer class="bottom">
        <p class="aside tool">{survey.tool.name} {survey.tool.version} · <a href="/licences.txt">licences</a></p>
      </footer>
      <p id="spoken" class="unseen" aria-live="polite" />
      {helping && <KeyHelp close={() => setHelping(false)} />}
    </>
  )
}
