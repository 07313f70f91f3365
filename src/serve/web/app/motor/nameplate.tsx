import type { MotorView } from '../wire'

const title = (name: string) => name.replace(/_/g, ' ').replace(/ (kw|hp|v|a|c|h|cm2)$/, (_, unit: string) =>
  `, ${{ kw: 'kW', hp: 'hp', v: 'V', a: 'A', c: '°C', h: 'h', cm2: 'cm²' }[unit] ?? unit}`)

/** The motor's row of motors.csv. */
export function Nameplate({ motor }: { motor: MotorView['motor'] }) {
  const known = Object.entries(motor).filter(([name, value]) => value !== null && value !== '' && !['motor', 'description'].includes(name))
  if (!known.length) return null
  return (
    <details class="nameplate">
      <summary>Nameplate and costs</summary>
      <dl class="facts">{known.map(([name, value]) => <div key={name}><dt>{title(name)}</dt><dd>{String(value)}</dd></div>)}</dl>
    </details>
  )
}
