// What a person does to the marks of one picture, by hand or by key.
import { useMemo, useRef, useState } from 'preact/hooks'
import { announce } from '../announce'
import { decimals, degrees } from '../numbers'
import type { Temperatures } from '../server'
import type { LugResult, Mark, Point, Shape } from '../wire'
import { shapeAround, stepOf, type CanvasHandle } from './canvas'
import { temperatureAt } from './colouring'
import type { Tool, Wishes } from './gestures'
import { hottestNear } from './hottest'
import { byHand, newMark, type Marks } from './marks_state'
import { centreOf, grown, kept, moved, sentenceOf } from './shapes'
import type { Scene } from './stage'

const kGrow_px = 1
const kPhases = 3

export function useEditing(image: Temperatures, marks: Marks, lugs: LugResult[]) {
  const [tool, setTool] = useState<Tool>('select')
  const [selected, setSelected] = useState<string | null>(null)
  const [pending, setPending] = useState<Shape | null>(null)
  const [cross, setCross] = useState<Point | null>(null)
  const [pointer, setPointer] = useState<Point | null>(null)
  const handle = useRef<CanvasHandle | null>(null)
  const nudges = useRef(-1)
  const mark = marks.marks.find(({ name }) => name === selected) ?? null
  const middle: Point = [Math.round(image.width / 2), Math.round(image.height / 2)]

  const select = (name: string | null) => {
    setSelected(name)
    nudges.current -= 1 // a new run of key presses is a new step of undo
  }
  const replace = (name: string, change: Partial<Mark>, stroke: number | null = null) =>
    marks.change(marks.marks.map((old) => (old.name === name ? byHand(old, change) : old)), stroke)
  const reshape = (name: string, shape: Shape, stroke: number | null) =>
    replace(name, { shape: kept(shape, image.width, image.height) }, stroke)
  const add = (shape: Shape) => {
    const added = newMark(marks.marks, kept(shape, image.width, image.height))
    marks.change([...marks.marks, added])
    select(added.name)
    announce(`${added.name}: ${sentenceOf(shape)}`)
  }
  // The other lugs of a component are of the same size: one is drawn, the others are placed by a press.
  const place = (at: Point) => {
    const lugs = marks.marks.filter(({ role }) => role === 'lug')
    const like = mark?.role === 'lug' ? mark : lugs[lugs.length - 1]
    if (!like || like.shape.kind !== tool || lugs.length >= kPhases) return
    const [x, y] = centreOf(like.shape)
    add(moved(like.shape, at[0] - x, at[1] - y))
  }
  const remove = () => {
    if (!mark) return
    marks.change(marks.marks.filter(({ name }) => name !== mark.name))
    select(null)
    announce(`${mark.name} deleted`)
  }
  const grow = (px: number) => mark && reshape(mark.name, grown(mark.shape, px), nudges.current)
  const snap = () => {
    const hottest = mark && hottestNear(image, mark.shape)
    if (!mark || !hottest) return
    const [x, y] = centreOf(mark.shape)
    reshape(mark.name, moved(mark.shape, hottest[0] - x, hottest[1] - y), null)
  }
  const selectNext = (step: number) => {
    const names = marks.marks.map(({ name }) => name)
    if (!names.length) return
    const next = names[(names.indexOf(selected ?? '') + step + names.length) % names.length] as string
    select(next)
    const shape = marks.marks.find(({ name }) => name === next)?.shape
    if (shape) handle.current?.stage.follow(centreOf(shape))
    announce(`${next} selected${shape ? `, ${sentenceOf(shape)}` : ''}`, 50)
  }
  const moveCross = ([dx, dy]: Point) => {
    const [x, y] = cross ?? middle
    const next: Point = [Math.max(0, Math.min(image.width - 1, x + dx)), Math.max(0, Math.min(image.height - 1, y + dy))]
    setCross(next)
    handle.current?.stage.follow(next)
    const value = temperatureAt(image, ...next)
    announce(`${next[0]}, ${next[1]}: ${value === null ? 'no data' : `${decimals(value, 1)} °C`}`)
    if (tool === 'polygon') setPending((old) => (old?.kind === 'polygon' ? { ...old, points: [...old.points.slice(0, -1), next] } : old))
  }

  const draw = () => {
    const at = cross ?? middle
    if (tool === 'polygon') handle.current?.gestures.addCorner(at)
    else if (tool !== 'select') {
      add(shapeAround(tool, at, image))
      setTool('select') // so that the arrow keys move what was drawn
    }
  }
  const escape = () => {
    handle.current?.gestures.stop()
    if (tool !== 'select') setTool('select')
    else if (selected) select(null)
    else setCross(null)
  }
  const actions: Record<string, () => void> = {
    Enter: draw, Escape: escape, Delete: remove, Backspace: remove,
    '+': () => grow(kGrow_px), '=': () => grow(kGrow_px), '-': () => grow(-kGrow_px),
    n: () => selectNext(1), N: () => selectNext(-1), h: snap, f: () => handle.current?.gestures.finishPolygon(),
    PageUp: () => handle.current?.stage.zoom(1.5), PageDown: () => handle.current?.stage.zoom(1 / 1.5)
  }
  const onKeyDown = (event: KeyboardEvent) => {
    const step = stepOf(event)
    const action = event.ctrlKey || event.metaKey || event.altKey ? undefined : actions[event.key]
    if (!step && !action) return
    event.preventDefault()
    event.stopPropagation()
    if (!step) action?.()
    else if (mark && tool === 'select') {
      const shape = moved(mark.shape, ...step)
      reshape(mark.name, shape, nudges.current)
      handle.current?.stage.follow(centreOf(shape))
    } else moveCross(step)
  }

  const wishes: Wishes = { select, change: reshape, add, place, pend: setPending, hover: setPointer }
  const scene = useMemo<Scene>(() => ({
    marks: marks.marks, selected, pending, cross,
    labels: Object.fromEntries(lugs.map(({ name, temperature_c }) => [name, temperature_c === null ? '' : degrees(temperature_c)])),
    hottest: Object.fromEntries(lugs.filter(({ hottest }) => hottest).map(({ name, hottest }) => [name, hottest as Point]))
  }), [marks.marks, selected, pending, cross, lugs])
  return {
    tool, setTool, selected, mark,
    select: (name: string | null) => {
      select(name)
      if (name) setTool('select')
    }, replace, remove, snap, grow, cross, pointer, scene, wishes, onKeyDown, handle,
    zoom: (factor: number) => handle.current?.stage.zoom(factor), fit: () => handle.current?.stage.fit()
  }
}

export type Editing = ReturnType<typeof useEditing>

export const kPictureKeys = [
  { key: 'arrows', does: 'on the picture: move the selected mark, or the cross where none is selected; with Shift ten pixels' },
  { key: '+ −', does: 'on the picture: enlarge or shrink the selected mark' },
  { key: 'n', does: 'on the picture: select the next mark' },
  { key: 'h', does: 'on the picture: move the mark to the hottest spot near it' },
  { key: 'Enter', does: 'on the picture: draw at the cross with the chosen tool; a corner of a polygon' },
  { key: 'f', does: 'on the picture: finish the polygon' },
  { key: 'Delete', does: 'on the picture: delete the selected mark' },
  { key: 'Esc', does: 'on the picture: leave what was begun' },
  { key: 'PgUp PgDn', does: 'on the picture: zoom; the wheel does too, once the picture has the focus' }
]
