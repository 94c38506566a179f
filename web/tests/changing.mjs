// What tests that change a piece share.
import assert from 'node:assert/strict';
import { ask, go } from './browser.mjs';

let made = 0;

/** An example of one's own, so that no test changes another's. */
export async function piece(server, page, example = 'tideline-mat') {
  const { id } = await ask(page, '/api/pieces', { example });
  const { text } = await ask(page, `/api/pieces/${id}`);
  made += 1;
  const { id: own } = await ask(page, '/api/pieces', { text: text.replace(/^name( *)= "(.*)"$/m, `name$1= "$2 ${made}"`) });
  await go(page, server, `#/piece/${own}`);
  await page.waitForSelector('.border');
  return own;
}

export const shown = (page, id) => ask(page, `/api/pieces/${id}`);
export const rows = (piece, name) => piece.parts.bands.find((band) => band.name === name).rows;
export const key = (page) => page.evaluate(() => document.activeElement?.dataset.key);
export const labels = (page, name) => page.locator('.loom-bands button', { hasText: name });
export const label = (page, name) => labels(page, name).first();
export const button = (page, name) => page.getByRole('button', { name, exact: true });

/** Tabs until an element has the focus; it must be seen that it has. */
export async function reach(page, selector, presses = 120) {
  for (let k = 0; k < presses; k += 1) {
    await page.keyboard.press('Tab');
    if (await page.evaluate((selector) => document.activeElement?.matches(selector), selector)) {
      assert.equal(await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle), 'solid', 'the focus is seen');
      return;
    }
  }
  assert.fail(`${selector} is not reached`);
}

/** Waits until the words of the first sentence are the server's, and answers the piece. */
export async function settled(page, id) {
  const now = await shown(page, id);
  await page.waitForFunction((asked) => document.querySelector('.asked').textContent === asked, now.check.asked);
  return now;
}

/** Where a border or a name is taken hold of. */
export async function middle(locator) {
  await locator.scrollIntoViewIfNeeded();
  const { x, y, width, height } = await locator.boundingBox();
  return [x + width / 2, y + height / 2];
}

/** A finger, which playwright has only for taps. */
export async function finger(page) {
  const session = await page.context().newCDPSession(page);
  return (type, x, y) => session.send('Input.dispatchTouchEvent', { type, touchPoints: type === 'touchEnd' ? [] : [{ x, y }] });
}
