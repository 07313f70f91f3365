import { render } from 'preact'
import { App } from './app'
import '../style/page.css'

render(<App />, document.getElementById('page') as HTMLElement)
