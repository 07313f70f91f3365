import type { ComponentChildren } from 'preact'
import { useEffect, useRef } from 'preact/hooks'

export function Dialog({ title, close, children }: { title: string; close: () => void; children: ComponentChildren }) {
  const dialog = useRef<HTMLDialogElement>(null)
  useEffect(() => {
    dialog.current?.showModal()
  }, [])
  return (
    <dialog ref={dialog} aria-labelledby="dialog-title" onClose={close}>
      <h2 id="dialog-title">{title}</h2>
      {children}
    </dialog>
  )
}
