import { render } from 'preact'
import './base'
import { App } from './app'
import '../style/page.css'

render(<App />, document.getElementById('page') as HTMLElement)
