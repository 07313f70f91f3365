// Marks over an image's thumbnail: enough to tell two versions apart, or to see what a component shows.
import { thumbnailPath } from '../server'
import type { Mark, Shape } from '../wire'
import { centreOf } from './shapes'

function Outline({ shape }: { shape: Shape }) {
  switch (shape.kind) {
    case 'circle': return <circle cx={shape.center[0]} cy={shape.center[1]} r={shape.radius} />
    case 'rectangle': return <rect x={shape.corner[0]} y={shape.corner[1]} width={shape.size[0]} height={shape.size[1]} />
    case 'polygon': return <polygon points={shape.points.join(' ')} />
  }
}

export function Sketch({ file, size, marks, title }: { file: string; size: [number, number]; marks: Mark[]; title: string }) {
  const [width, height] = size
  return (
    <svg class="sketch" role="img" aria-label={title} viewBox={`-0.5 -0.5 ${width} ${height}`}>
      <image href={thumbnailPath(file)} x="-0.5" y="-0.5" width={width} height={height} preserveAspectRatio="none" />
      {marks.map((mark) => (
        <g key={mark.name}>
          <g class="under"><Outline shape={mark.shape} /></g>
          <g class="over"><Outline shape={mark.shape} /></g>
          <text x={centreOf(mark.shape)[0]} y={centreOf(mark.shape)[1]} font-size={Math.max(8, width / 20)} text-anchor="middle"
            dominant-baseline="central">{mark.name}</text>
        </g>
      ))}
    </svg>
  )
}
