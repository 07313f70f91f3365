// Where the survey lies under the server's address: "" for its only one, "/survey/NAME" for one of several.
import { options } from 'preact'

export const base = location.pathname.match(/^\/survey\/[^/]+/)?.[0] ?? ''

/** An address without that part. */
export const withoutBase = (path: string) => (path.startsWith(base) ? path.slice(base.length) : path) || '/'

// Components name addresses of the survey; a link with a target leads out of it.
const before = options.vnode
options.vnode = (vnode) => {
  const props = vnode.props as { href?: unknown; target?: unknown }
  if (base && vnode.type === 'a' && typeof props.href === 'string' && !props.target && props.href.startsWith('/') &&
      !props.href.startsWith(`${base}/`)) props.href = base + props.href
  before?.(vnode)
}
