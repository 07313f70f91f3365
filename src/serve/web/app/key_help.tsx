import { useState } from 'preact/hooks'
import { Dialog } from './dialog'
import { allKeys, setSingleKeys, singleKeysOn } from './keys'

const kNames: Record<string, string> = { ' ': 'Space', ArrowUp: '↑', ArrowDown: '↓', ArrowLeft: '←', ArrowRight: '→' }

export function KeyHelp({ close }: { close: () => void }) {
  const [on, setOn] = useState(singleKeysOn())
  const change = (yes: boolean) => {
    setSingleKeys(yes)
    setOn(yes)
  }
  return (
    <Dialog title="Keys of this screen" close={close}>
      <dl class="keys">
        {allKeys().map(({ key, does }) => (
          <div key={key + does}><dt><kbd>{kNames[key] ?? key}</kbd></dt><dd>{does}</dd></div>
        ))}
      </dl>
      <p><label><input type="checkbox" checked={on} onChange={(event) => change(event.currentTarget.checked)} />
        {' '}Single keys work (turn them off where speech or a switch types for you)</label></p>
      <form method="dialog"><button type="submit">Close</button></form>
    </Dialog>
  )
}
