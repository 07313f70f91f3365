import type { ComponentChildren } from 'preact'
import { useNarrow } from './list'

/** What stands above a list: on a telephone one line that opens, so that the list itself is in sight. */
export function Fold({ title, isOpen, children }: { title: string; isOpen: boolean; children: ComponentChildren }) {
  return useNarrow() ? <details class="fold" open={isOpen}><summary>{title}</summary>{children}</details> : <>{children}</>
}
