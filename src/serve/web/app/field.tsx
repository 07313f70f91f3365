// Text fields that keep what is being typed, whatever is measured and drawn anew meanwhile.
import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'

interface InputOptions {
  size?: number
  placeholder?: string
  maxLength?: number
  type?: 'text' | 'number'
  step?: string
  min?: number
  inputMode?: 'text' | 'decimal'
  'aria-invalid'?: boolean
}

export function Field(props: {
  label: string
  value: string
  /** What was typed, when the field is left or Enter is pressed; with `atOnce` after every letter too. */
  take: (text: string) => void
  /** Why a text cannot be taken, and how to mend it; such a text stays in the field. */
  refuse?: (text: string) => string | null
  atOnce?: boolean
  input?: InputOptions
  children?: ComponentChildren
}) {
  const [draft, setDraft] = useState<string | null>(null)
  const wrong = draft === null ? null : props.refuse?.(draft) ?? null
  const take = (text: string) => (props.refuse?.(text) ?? null) === null && props.take(text)
  const leave = () => wrong === null && setDraft(null)
  return (
    <label>{props.label}
      <input type="text" {...props.input} value={draft ?? props.value} {...(wrong ? { 'aria-invalid': true } : {})}
        onInput={(event) => {
          setDraft(event.currentTarget.value)
          if (props.atOnce) take(event.currentTarget.value)
        }}
        onChange={(event) => {
          take(event.currentTarget.value)
          leave()
        }}
        onBlur={leave} />
      {wrong && <span class="problem" role="alert">{wrong}</span>}
      {props.children}
    </label>
  )
}
