// The address bar and the screens.
import { useEffect, useState } from 'preact/hooks'
import { base, withoutBase } from './base'
import { expectHeading } from './heading'

export type Route =
  | { screen: 'findings' | 'motors' | 'images' | 'review' }
  | { screen: 'motor'; motor: string }
  | { screen: 'bench'; motor: string }
  | { screen: 'compare'; motor: string }
  | { screen: 'image'; file: string }
  | { screen: 'unknown'; path: string }

const plain = (text: string) => {
  try {
    return decodeURIComponent(text)
  } catch {
    return text
  }
}

export function routeOf(path: string): Route {
  const [, first = '', ...rest] = path.split('/')
  const name = rest.map(plain).join('/')
  // A motor's name is one part of the path, its slashes written as %2F.
  if (first === 'motor' && rest.length === 2 && rest[1] === 'bench') return { screen: 'bench', motor: plain(rest[0]!) }
  if (first === 'motor' && rest.length === 2 && rest[1] === 'compare') return { screen: 'compare', motor: plain(rest[0]!) }
  if (first === 'motor' && name) return { screen: 'motor', motor: name }
  if (first === 'image' && name) return { screen: 'image', file: name }
  if ((first === 'motors' || first === 'images' || first === 'review') && !name) return { screen: first }
  return path === '/' ? { screen: 'findings' } : { screen: 'unknown', path }
}

export const motorPath = (motor: string) => `/motor/${encodeURIComponent(motor)}`
export const benchPath = (motor: string) => `${motorPath(motor)}/bench`
/** Two images side by side; the second one is chosen there where none is named. */
export const comparePath = (motor: string, left: string, right = '') =>
  `${motorPath(motor)}/compare?${new URLSearchParams({ left, ...(right ? { right } : {}) }).toString()}`
export const imagePath = (file: string) => `/image/${file.split('/').map(encodeURIComponent).join('/')}`

export function go(path: string) {
  history.pushState(null, '', base + path)
  dispatchEvent(new PopStateEvent('popstate'))
}

/** What a list shows (filters, order) stands in the address, so that it can be sent to somebody. */
export function rememberQuery(values: Record<string, string>) {
  const query = new URLSearchParams(Object.entries(values).filter(([, value]) => value))
  const text = query.toString()
  history.replaceState(history.state, '', location.pathname + (text ? `?${text}` : ''))
}

export const queried = (name: string) => new URLSearchParams(location.search).get(name) ?? ''

// Links are plain links; those that stay on the page do not load it again.
function followInside(event: MouseEvent) {
  const link = (event.target as Element | null)?.closest?.('a[href]')
  const stays = link && !link.hasAttribute('download') && !link.hasAttribute('target')
  if (!stays || event.button || event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return
  const href = withoutBase(link.getAttribute('href') as string)
  if (!href.startsWith('/') || href.startsWith('/api/') || href.endsWith('.txt')) return
  event.preventDefault()
  go(href)
}

export function useRoute(): Route {
  const [path, setPath] = useState(withoutBase(location.pathname))
  useEffect(() => {
    const moved = () => {
      expectHeading()
      scrollTo(0, 0)
      setPath(withoutBase(location.pathname))
    }
    addEventListener('popstate', moved)
    document.addEventListener('click', followInside)
    return () => {
      removeEventListener('popstate', moved)
      document.removeEventListener('click', followInside)
    }
  }, [])
  return routeOf(path)
}
