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
  atOnce?: boolean
  input?: InputOptions
  children?: ComponentChildren
}) {
  const [draft, setDraft] = useState<string | null>(null)
  return (
    <label>{props.label}
      <input type="text" {...props.input} value={draft ?? props.value}
        onInput={(event) => {
          setDraft(event.currentTarget.value)
          if (props.atOnce) props.take(event.currentTarget.value)
        }}
        onChange={(event) => {
          props.take(event.currentTarget.value)
          setDraft(null)
        }}
        onBlur={() => setDraft(null)} />
      {props.children}
    </label>
  )
}
