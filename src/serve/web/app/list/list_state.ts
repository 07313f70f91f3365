// Words, choices and order of a list, kept in the address.
import { useEffect, useState } from 'preact/hooks'
import { queried, rememberQuery } from '../route'
import { orderOf, textOf, type Order } from './columns'

export interface ListState {
  words: string
  setWords: (words: string) => void
  chosen: Record<string, string>
  choose: (name: string, value: string) => void
  order: Order | null
  setOrder: (order: Order | null) => void
  clear: (() => void) | null
}

export function useListState(names: string[]): ListState {
  const [words, setWords] = useState(queried('find'))
  const [chosen, setChosen] = useState(() => Object.fromEntries(names.map((name) => [name, queried(name)])))
  const [order, setOrder] = useState(orderOf(queried('order')))
  useEffect(() => rememberQuery({ find: words, ...chosen, order: textOf(order) }), [words, chosen, order])
  const narrowed = words !== '' || Object.values(chosen).some(Boolean)
  const clear = () => {
    setWords('')
    setChosen({})
  }
  return {
    words, setWords, chosen, order, setOrder,
    choose: (name, value) => setChosen((old) => ({ ...old, [name]: value })),
    clear: narrowed ? clear : null
  }
}
