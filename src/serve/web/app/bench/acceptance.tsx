// The acceptance of the motor: conclusion first, then each check with what was measured, its limit and why.
import type { AcceptanceCheck, AcceptanceList, Stage } from './bench_wire'

const kStages: Record<Stage, string> = { bought: 'Bought', repaired: 'Repaired', installed: 'Installed' }

export function CheckResult({ check }: { check: AcceptanceCheck }) {
  return <span class={`band level-${check.level} conformity-${check.conformity}`}>{check.result}</span>
}

function Check({ check }: { check: AcceptanceCheck }) {
  const facts: [string, string | null][] = [['Measured', check.measured], ['Limit', check.limit], ['Taken', check.taken_on]]
  return (
    <li class={check.is_place ? 'check place' : 'check'} data-check={check.id}>
      <h4>{check.name}</h4>
      <p class="its-result"><CheckResult check={check} /></p>
      <dl class="number">{facts.map(([name, text]) => text && <div key={name}><dt>{name}</dt><dd>{text}</dd></div>)}</dl>
      <div class="why">{check.why && <p>{check.why}</p>}{check.source && !check.is_place && <p><cite>{check.source}</cite></p>}</div>
    </li>
  )
}

export function Acceptance(props: {
  list: AcceptanceList | null
  none: string | null
  tried: boolean
  stage: Stage
  stages: Stage[]
  choose: (stage: Stage) => void
}) {
  const { list } = props
  return (
    <section class="acceptance" aria-labelledby="acceptance-title">
      <h2 id="acceptance-title">Acceptance</h2>
      <fieldset class="stages">
        <legend>What happened to the motor</legend>
        {props.stages.map((stage) => (
          <label key={stage}><input type="radio" name="stage" value={stage} checked={stage === props.stage} onChange={() => props.choose(stage)} /> {kStages[stage]}</label>
        ))}
      </fieldset>
      {!list && <p class="notice">{props.none}</p>}
      {list && (
        <>
          <div class={`summary level-${list.level}`}>
            <p class="conclusion"><strong>{list.says}</strong> <span class="aside">{list.title}</span></p>
            <p>{list.counted}{props.tried && <span class="aside"> With what is not saved yet.</span>}</p>
            {list.failed.length > 0 && <><h3>What is out</h3><ul>{list.failed.map((text) => <li key={text}>{text}</li>)}</ul></>}
          </div>
          <h3 class="unseen">Checks</h3>
          <ul class="checks">{list.checks.map((check) => <Check key={check.id} check={check} />)}</ul>
          <details>
            <summary>The rules, and what the limits are</summary>
            <ul>{list.rules.map((text) => <li key={text}>{text}</li>)}</ul>
            <p class="aside">{list.limits}. A check decides nothing; the licensed person does.</p>
          </details>
        </>
      )}
    </section>
  )
}
