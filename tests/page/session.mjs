// A test with a survey and a server of its own; both are gone afterwards.
import test from 'node:test'
import { closeBrowser } from './browser.mjs'
import { demoSurvey, serve } from './program.mjs'

/** `prepare` changes the survey before the server reads it. */
export function pageTest(sentence, body, prepare = () => {}) {
  test(sentence, async () => {
    const survey = demoSurvey()
    prepare(survey)
    const server = await serve(survey.folder)
    try {
      await body({ survey, server, url: server.url })
    } finally {
      await server.stop()
      survey.remove()
    }
  })
}

test.after(closeBrowser)
