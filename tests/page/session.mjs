// A test with a survey and a server of its own; both are gone afterwards.
import test from 'node:test'
import { closeBrowser } from './browser.mjs'
import { demoSurvey, serve } from './program.mjs'

export function pageTest(sentence, body) {
  test(sentence, async () => {
    const survey = demoSurvey()
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
