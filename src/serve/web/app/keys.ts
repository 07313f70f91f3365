// Single keys. They can be turned off (WCAG 2.1.4) and never fire while somebody types.
import { useEffect, useRef } from 'preact/hooks'

export interface Key {
  key: string
  does: string
  run?: () => void // absent: handled by the element that has the focus, listed for the help alone
  repeats?: boolean // while it is held down
}

const kSetting = 'ohmglow.single-keys'
const screens: { current: Key[] }[] = []

export const singleKeysOn = () => localStorage.getItem(kSetting) !== 'off'
export const setSingleKeys = (on: boolean) => localStorage.setItem(kSetting, on ? 'on' : 'off')

/** Keys of a component, as long as it is shown; the newest component's go first. */
export function useKeys(keys: Key[]) {
  const holder = useRef(keys)
  holder.current = keys
  useEffect(() => {
    screens.unshift(holder)
    return () => void screens.splice(screens.indexOf(holder), 1)
  }, [])
}

export const allKeys = () => screens.flatMap((screen) => screen.current)

export function isTyping(target: EventTarget | null) {
  const element = target as HTMLElement | null
  if (!element?.matches) return false
  return element.matches('textarea, select, [contenteditable]') ||
    element.matches('input:not([type=checkbox]):not([type=radio]):not([type=range])')
}

function pressed(event: KeyboardEvent) {
  if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return
  if (isTyping(event.target) || document.querySelector('dialog[open]') || !singleKeysOn()) return
  // Enter and space belong to what has the focus.
  const own = (event.target as Element | null)?.closest?.('a, button, summary, input')
  if (own && (event.key === 'Enter' || event.key === ' ')) return
  const found = allKeys().find((key) => key.run && key.key === event.key)
  if (!found?.run) return
  event.preventDefault()
  if (event.repeat && !found.repeats) return
  found.run()
}

export function listenToKeys() {
  document.addEventListener('keydown', pressed)
  return () => document.removeEventListener('keydown', pressed)
}
