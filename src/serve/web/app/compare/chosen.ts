// Which two images stand side by side. The address names them, so that it can be sent to somebody.
import type { ImageName } from '../server'
import type { ImageResult, ImageView } from '../wire'

/** An image that can be chosen, and what it shows. */
export interface Choosable extends ImageName {
  component: string | null
}

/** "route/a.tif", "route/a.tif#2" for its second page, "survey-2025:route/a.tif" for an older survey's. */
export const textOf = ({ file, page, survey }: ImageName) => (survey === null ? '' : `${survey}:`) + file + (page === null ? '' : `#${page}`)

export const titleOf = ({ file, page }: ImageName) => file + (page === null ? '' : `, page ${page}`)

/** The motor's images that give temperatures, and those of the older surveys. */
export function choosable(images: ImageResult[], earlier: ImageView['earlier_images']): Choosable[] {
  return [
    ...images.filter(({ status }) => status !== 'rejected').map(({ file, page, component }) => ({ file, page, survey: null, component })),
    ...earlier.map((image) => ({ ...image, component: null }))
  ]
}

/** The one that `text` names; a file without its page is its first one. */
export const found = (all: Choosable[], text: string) =>
  all.find((image) => textOf(image) === text) ?? all.find(({ file, survey }) => survey === null && file === text) ?? null

/** What is best held beside an image: another one of its component, then what an older survey has of it, then any. */
export function beside(all: Choosable[], left: Choosable): Choosable | null {
  const others = all.filter((image) => textOf(image) !== textOf(left))
  return others.find(({ component }) => component === left.component) ?? others.find(({ survey }) => survey !== null) ?? others[0] ?? null
}
