import type { Editing } from './editing'
import type { Tool } from './gestures'
import type { Marks } from './marks_state'

const kTools: { tool: Tool; title: string; key: string }[] = [
  { tool: 'select', title: 'Select and move', key: 's' }, { tool: 'circle', title: 'Draw a circle', key: 'c' },
  { tool: 'rectangle', title: 'Draw a rectangle', key: 'r' }, { tool: 'polygon', title: 'Draw a polygon', key: 'p' }
]
export const kToolKeys = kTools

const kHints: Record<Tool, string> = {
  select: 'Choose a mark to move it or to change its size; drag beside the marks to pan.',
  circle: 'Press at the middle of the lug and drag outwards; a press on each of the other lugs then places the same circle there.',
  rectangle: 'Drag from corner to corner; a press on each of the other lugs then places the same rectangle there.',
  polygon: 'Click corner after corner; a double click or the first corner closes it.'
}

function ToolSign({ tool }: { tool: Tool }) {
  const shape = {
    select: <path d="M4 2l9 6-4 1 3 5-2 1-3-5-3 3z" />, circle: <circle cx="8" cy="8" r="5.5" />,
    rectangle: <rect x="2.5" y="4" width="11" height="8" />, polygon: <path d="M8 2l6 4-2 8H4L2 6z" />
  }[tool]
  return <svg class={`tool-sign ${tool}`} viewBox="0 0 16 16" aria-hidden="true">{shape}</svg>
}

export function Toolbar({ editing, marks }: { editing: Editing; marks: Marks }) {
  return (
    <div class="toolbar">
      <div role="group" aria-label="What the pointer does">
        {kTools.map(({ tool, title }) => (
          <button key={tool} type="button" aria-pressed={editing.tool === tool} onClick={() => editing.setTool(tool)}>
            <ToolSign tool={tool} />{title}
          </button>
        ))}
      </div>
      <div role="group" aria-label="Zoom">
        <button type="button" onClick={() => editing.zoom(1.5)}>Closer</button>
        <button type="button" onClick={() => editing.zoom(1 / 1.5)}>Farther</button>
        <button type="button" onClick={editing.fit}>Whole image</button>
      </div>
      <div role="group" aria-label="Changes">
        <button type="button" disabled={!marks.canUndo} onClick={marks.undo}>Undo</button>
        <button type="button" disabled={!marks.canRedo} onClick={marks.redo}>Redo</button>
      </div>
      <p class="aside hint">{kHints[editing.tool]}</p>
    </div>
  )
}
