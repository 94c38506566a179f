// What the tests of weaving along have in common: going row by row, and asking the server what it has.
import assert from 'node:assert/strict';
import { randomUUID } from 'node:crypto';
import { ask, go } from './browser.mjs';

/** What the page says of the step before the weaver. */
export const said = (page) => page.textContent('#row-said');

/** Waits until a step is before the weaver. */
export const reached = (page, words) => page.waitForFunction((words) => document.querySelector('#row-said')?.textContent.startsWith(words), words);

/** Taps as a hand does: two taps within a tenth of a second are one that bounces. */
const tapped = (button) => async (page) => {
  await page.waitForTimeout(110);
  await page.tap(button);
};
export const [next, back] = ['.next', 'text=Back'].map(tapped);

/** Goes to a weaving, whose warp is wound. */
export async function at(page, server, weaving) {
  await go(page, server, `#/weave/${weaving}`);
  const wound = page.getByRole('button', { name: 'The warp is wound' });
  if (await wound.isVisible()) await wound.click();
}

/** Weaves by tap until a row is before the weaver. */
export async function until(page, words) {
  for (let taps = 0; taps < 40 && !(await said(page)).startsWith(words); taps += 1) {
    const before = await said(page);
    await next(page);
    await page.waitForFunction((before) => document.querySelector('#row-said').textContent !== before, before);
  }
  assert.ok((await said(page)).startsWith(words), `${words}: ${await said(page)}`);
}

/** The rows that the server has as done. */
export const done = async (page, weaving) => (await ask(page, `/api/weavings/${weaving}`)).done;

/** Waits until the server has these rows as done, and no others: the page may be ahead of it, if only for a moment. */
export async function isDone(page, weaving, rows) {
  const has = await page.waitForFunction(async ([path, rows]) => {
    const { done } = await (await fetch(path)).json();
    return JSON.stringify(done) === JSON.stringify(rows);
  }, [`/api/weavings/${weaving}`, rows], { polling: 100 }).catch((error) => error);
  if (has instanceof Error) assert.deepEqual(await done(page, weaving), rows);
}

/** The ticks that the device keeps for the server, oldest first: in whichever window. */
export const kept = (page, weaving) => page.evaluate((weaving) => Object.keys(localStorage)
  .filter((key) => key.startsWith(`fellmark.ticks.${weaving}.`)).map((key) => JSON.parse(localStorage[key])).sort((a, b) => a.at - b.at), weaving);

/** Waits until nothing is kept any more. */
export const noneKept = (page, weaving) => page.waitForFunction((weaving) => !Object.keys(localStorage).some((key) => key.startsWith(`fellmark.ticks.${weaving}`)), weaving);

/** Rows are done, as if another device had woven them: the server has taken them. */
export async function woven(page, weaving, rows, when = {}) {
  const { done, message } = await ask(page, `/api/weavings/${weaving}/ticks`, { ticks: rows.map((row) => ({ id: randomUUID(), row, done: true, ...when })) });
  assert.ok(rows.every((row) => done?.includes(row)), message);
}

/** So many rows, from the first. */
export const first = (count) => Array.from({ length: count }, (_, k) => k + 1);
