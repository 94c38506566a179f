// What tests of weaving along stand on, for whichever file takes it in: a server, a browser, a helper's device, and before
// each test a weaving of the mat.
import { after, before, beforeEach } from 'node:test';
import { ask, device, launch } from './browser.mjs';
import { start } from './server.mjs';
import * as weave from './weave.mjs';

export let server, browser, helper, weaving;
before(async () => {
  [server, browser] = [await start(), await launch()];
  helper = await device(browser, server);
});
after(async () => {
  await browser.close();
  await server.stop();
});
beforeEach(async () => {
  const { id } = await ask(helper.page, '/api/pieces', { example: 'tideline-mat' });
  weaving = (await ask(helper.page, `/api/pieces/${id}/weavings`, {})).id;
});

/** Goes to that weaving, whose warp is wound. */
export const at = (page) => weave.at(page, server, weaving);
/** The rows of it that the server has as done. */
export const done = () => weave.done(helper.page, weaving);
/** Waits until the server has these as done. */
export const isDone = (...rows) => weave.isDone(helper.page, weaving, rows);
