// Everything about the selected mark, in fields: for those who type rather than drag, too.
import { useState } from 'preact/hooks'
import { Field } from '../field'
import { typed } from '../numbers'
import { useSurvey } from '../survey_context'
import type { Mark, Phase, Point, Role, Shape } from '../wire'
import type { Editing } from './editing'
import type { Marks } from './marks_state'

function NumberField(props: { label: string; value: number; least?: number; set: (value: number) => void }) {
  const refuse = (text: string) => {
    const value = typed(text)
    if (value === null) return 'not a number of pixels'
    return props.least !== undefined && value < props.least ? `at least ${props.least}` : null
  }
  return (
    <Field label={props.label} value={String(props.value)} take={(text) => props.set(typed(text) ?? props.value)} refuse={refuse} atOnce
      input={{ inputMode: 'decimal', size: 6 }} />
  )
}

function Place({ shape, set }: { shape: Shape; set: (shape: Shape) => void }) {
  const pair = (point: Point, labels: [string, string], least: number | undefined, put: (point: Point) => Shape) => (
    <>
      <NumberField label={labels[0]} value={point[0]} {...(least === undefined ? {} : { least })} set={(x) => set(put([x, point[1]]))} />
      <NumberField label={labels[1]} value={point[1]} {...(least === undefined ? {} : { least })} set={(y) => set(put([point[0], y]))} />
    </>
  )
  switch (shape.kind) {
    case 'circle':
      return <>{pair(shape.center, ['Middle x', 'y'], undefined, (center) => ({ ...shape, center }))}
        <NumberField label="Radius" value={shape.radius} least={1} set={(radius) => set({ ...shape, radius })} /></>
    case 'rectangle':
      return <>{pair(shape.corner, ['Left', 'Top'], undefined, (corner) => ({ ...shape, corner }))}
        {pair(shape.size, ['Width', 'Height'], 1, (size) => ({ ...shape, size }))}</>
    case 'polygon':
      return <>{shape.points.map((point, i) => (
        <span key={i} class="corner">{pair(point, [`Corner ${i + 1}: x`, 'y'], undefined, (moved) =>
          ({ ...shape, points: shape.points.map((old, j) => (j === i ? moved : old)) }))}</span>
      ))}</>
  }
}

function Surface({ mark, change }: { mark: Mark; change: (part: Partial<Mark>) => void }) {
  const { materials } = useSurvey().survey
  const known = materials.some(({ name }) => name === mark.material)
  return (
    <>
      <label>Surface
        <select value={mark.material ?? ''} onChange={(event) => change({ material: event.currentTarget.value || undefined } as Partial<Mark>)}>
          <option value="">as the image</option>
          {mark.material && !known && <option value={mark.material}>{mark.material}</option>}
          {materials.map(({ name, title, emissivity }) => <option key={name} value={name}>{`${title ?? name} (${emissivity})`}</option>)}
        </select>
      </label>
      <Field label="Emissivity" value={String(mark.emissivity ?? '')} input={{ inputMode: 'decimal', size: 6, placeholder: mark.material ? 'as the surface' : 'as the image' }}
        refuse={(text) => {
          const value = typed(text)
          return !text.trim() || (value !== null && value > 0 && value <= 1) ? null : 'above 0, up to 1; empty: as the surface or image'
        }}
        take={(text) => change({ emissivity: typed(text) ?? undefined } as Partial<Mark>)} />
    </>
  )
}

function Name({ mark, marks, rename }: { mark: Mark; marks: Marks; rename: (name: string) => void }) {
  const [problem, setProblem] = useState('')
  const take = (name: string) => {
    if (name === mark.name) return setProblem('')
    if (!name) return setProblem('A mark needs a name.')
    if (marks.marks.some((other) => other.name === name)) return setProblem(`There is a mark ${name} already.`)
    setProblem('')
    rename(name)
  }
  return (
    <Field label="Name" value={mark.name} take={(text) => take(text.trim())} input={{ size: 10, maxLength: 200, 'aria-invalid': problem !== '' }}>
      {problem && <span class="problem" role="alert">{problem}</span>}
    </Field>
  )
}

export function MarkForm({ editing, marks }: { editing: Editing; marks: Marks }) {
  const { mark, replace, select } = editing
  const { phase_names } = useSurvey().survey
  if (!mark) return null
  const change = (part: Partial<Mark>) => replace(mark.name, part)
  const rename = (name: string) => {
    replace(mark.name, { name })
    select(name)
  }
  const setRole = (role: Role) => change({ role, phase: (role === 'lug' ? mark.phase ?? 1 : undefined) as Phase })
  return (
    <fieldset class="mark-form" key={mark.name}>
      <legend>Mark {mark.name}</legend>
      <Name mark={mark} marks={marks} rename={rename} />
      <label>What it is
        <select value={mark.role} onChange={(event) => setRole(event.currentTarget.value as Role)}>
          <option value="lug">a lug</option>
          <option value="ambient">a patch at air temperature</option>
          <option value="reflector">a diffuse reflector patch</option>
        </select>
      </label>
      {mark.role === 'lug' &&
        <label>Phase
          <select value={String(mark.phase ?? '')} onChange={(event) => change({ phase: Number(event.currentTarget.value) as Phase })}>
            {mark.phase === undefined && <option value="">by its name</option>}
            {typeof mark.phase === 'string' && <option value={mark.phase}>{mark.phase}</option>}
            {phase_names.map((name, i) => <option key={name} value={i + 1}>{name}</option>)}
          </select>
        </label>}
      <Surface mark={mark} change={change} />
      <Place shape={mark.shape} set={(shape) => change({ shape })} />
      <div class="actions">
        <button type="button" onClick={editing.snap}>Snap to the hottest spot</button>
        <button type="button" onClick={() => editing.grow(1)}>Larger</button>
        <button type="button" onClick={() => editing.grow(-1)}>Smaller</button>
        <button type="button" onClick={editing.remove}>Delete {mark.name}</button>
      </div>
    </fieldset>
  )
}
