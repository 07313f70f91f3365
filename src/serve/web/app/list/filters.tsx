// The filters above a list. "/" leads to the words.
import { useRef } from 'preact/hooks'
import { useKeys } from '../keys'

export interface Choice {
  name: string
  title: string
  value: string
  options: { value: string; title: string }[]
}

export function Filters(props: {
  words: string
  hint: string
  setWords: (words: string) => void
  choices: Choice[]
  choose: (name: string, value: string) => void
  shown: string
  clear: (() => void) | null
}) {
  const input = useRef<HTMLInputElement>(null)
  useKeys([{ key: '/', does: 'find in the list', run: () => input.current?.focus() }])
  return (
    <form class="filters" role="search" onSubmit={(event) => event.preventDefault()}>
      <label class="find">Find
        <input ref={input} type="search" value={props.words} placeholder={props.hint}
          onInput={(event) => props.setWords(event.currentTarget.value)} />
      </label>
      {props.choices.filter(({ value, options }) => value || options.length > 1).map(({ name, title, value, options }) => (
        <label key={name}>{title}
          <select value={value} class={value ? 'chosen' : ''} onChange={(event) => props.choose(name, event.currentTarget.value)}>
            <option value="">all</option>
            {value && !options.some((option) => option.value === value) && <option value={value}>{value}</option>}
            {options.map((option) => <option key={option.value} value={option.value}>{option.title}</option>)}
          </select>
        </label>
      ))}
      <p class="shown" role="status">{props.shown}
        {props.clear && <button type="button" class="quiet" onClick={props.clear}>Show all</button>}</p>
    </form>
  )
}
