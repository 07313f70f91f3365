// An image that gives no temperatures: its parameters may be what is missing (unit, scale, page).
import type { ImageView } from '../wire'
import { useParameterEdits } from './parameter_edits'
import { Parameters } from './parameters'

const kDeclared = ['scale', 'offset', 'unit', 'page']

export function Unreadable({ view, reload }: { view: ImageView; reload: () => void }) {
  const parameters = useParameterEdits(view, reload)
  return (
    <>
      <p>This file gives no temperatures. Where a declaration is missing, it can be made below (scale, offset, unit, page);
        otherwise the file itself must be mended.</p>
      <Parameters view={view} parameters={parameters} wrong={null} before={[]} after={null} first={kDeclared} />
    </>
  )
}
