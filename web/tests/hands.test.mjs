// The hand on the bands: where a band that is carried goes, and what a fill's border moves. What is said and what lies
// there is what the server says.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { ask, device, heard, launch } from './browser.mjs';
import { middle, piece, shown } from './changing.mjs';
import { start } from './server.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

/** A mat of one's own, with room for all of it. */
async function mat(page) {
  await page.setViewportSize({ width: 1440, height: 1300 });
  return piece(server, page);
}

const words = (page) => page.textContent('.hand-words');
const hem = (page) => page.locator('.loom-bands button', { hasText: 'hem' }).first();
const names = async (page, id) => (await shown(page, id)).places.map(({ name }) => name);

/** Top and bottom of a band on the screen, from its bracket. */
const bracket = (page, index) => page.evaluate((index) => {
  const [, bottom, top] = /M[\d.]+ ([\d.]+)h6V([\d.]+)h-6/.exec(document.querySelectorAll('.loom .bracket')[index].getAttribute('d')).map(Number);
  const loom = document.querySelector('.hands').getBoundingClientRect().top;
  return { top: loom + top, bottom: loom + bottom };
}, index);

test('a band carried to the border of a repeat goes outside it; within the repeat it says so, and how often it is woven', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await mat(page);
  const repeat = 'the repeat of pools and shoals';
  const { gaps } = await ask(page, `/api/pieces/${id}/gaps?at=4`);
  const [x, y] = await middle(hem(page));
  // Over the whole loom, as a hand goes; each gap is met, and each is told as what it is.
  const told = new Set();
  let asked = 0;
  page.on('request', (request) => (asked += request.url().includes('/preview') ? 1 : 0));
  for (const over of ['requestfinished', 'requestfailed']) page.on(over, (request) => (asked -= request.url().includes('/preview') ? 1 : 0));
  await page.mouse.move(x, y);
  await page.mouse.down();
  const { bottom } = await page.locator('.loom').boundingBox().then((box) => ({ bottom: box.y + box.height }));
  for (let at = y; at < bottom; at += 5) {
    await page.mouse.move(x, at);
    await page.waitForTimeout(30);
    // However slowly it is answered.
    for (let k = 0; asked > 0 && k < 100; k += 1) await page.waitForTimeout(20);
    told.add(await words(page));
  }
  for (const one of [`move hem above ${repeat}`, `move hem into ${repeat}, above shoals: it is woven twice`, `move hem into ${repeat}, below pools: it is woven twice`, `move hem below ${repeat}`, 'move hem to the bottom']) {
    assert.ok(told.has(one), `${one}: ${[...told].join('; ')}`);
  }
  assert.ok(![...told].some((one) => one.includes('to the top')), 'the middle is not the top');
  await page.keyboard.press('Escape');
  await page.mouse.up();

  // At the border between the upper shoals and the fill: outside, and it lies where the line was.
  const { top } = await bracket(page, 4);
  const outer = gaps.find(({ to }) => to.join() === '3');
  assert.equal(outer.below, 5);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x, top, { steps: 4 });
  await page.waitForFunction((wanted) => document.querySelector('.hand-words').textContent === wanted, `move hem above ${repeat}`);
  assert.equal(await page.locator('.hand-place').count(), 1, 'what is carried is marked, and not its twin');
  const line = await page.locator('.hand-border').boundingBox();
  assert.ok(Math.abs(line.y + line.height / 2 - top) < 3, `${line.y}, ${top}`);
  // While the hand is on it the names stand in the order in which the bands would lie, and each bracket where its band would.
  const lies = () => page.evaluate(() => [...document.querySelectorAll('.loom-bands li')].map((item) => [parseFloat(item.style.top), item.querySelector('.band-name').textContent])
    .sort(([a], [b]) => b - a).map(([, name]) => name));
  assert.deepEqual(await lies(), ['hem', 'pools', 'shoals', 'pools', 'shoals', 'hem', 'rising-tide']);
  const foreseen = await Promise.all([0, 1, 2, 3, 4, 5, 6].map((index) => bracket(page, index)));
  const mark = await page.locator('.hand-place').getAttribute('d');
  const loom = await page.evaluate(() => document.querySelector('.hands').getBoundingClientRect().top);
  const [, bottom2, top2] = /M[\d.]+ ([\d.]+)V([\d.]+)/.exec(mark).map(Number);
  assert.ok(Math.abs(loom + top2 - foreseen[5].top) < 1.5 && Math.abs(loom + bottom2 - foreseen[5].bottom) < 1.5, 'what is carried is marked where it would lie');
  await page.mouse.up();
  await heard(page, `Moved hem above ${repeat}.`);
  await page.waitForFunction((head) => document.querySelector('.loom').dataset.shown === head, (await shown(page, id)).head);
  for (const index of [0, 1, 2, 3, 4, 5, 6]) assert.ok(Math.abs((await bracket(page, index)).top - foreseen[index].top) < 2, 'it lies where it was foreseen');
  assert.deepEqual(await names(page, id), ['hem', 'pools', 'shoals', 'pools', 'shoals', 'hem', 'rising-tide']);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('by keys a band goes into a repeat and out of it, and each time it is said', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  await mat(page);
  await page.locator('.loom-bands button', { hasText: 'hem' }).last().click();
  for (const said of [
    'Moved hem into the repeat of pools and shoals, below pools: it is woven twice.',
    'Moved hem below shoals in the repeat of hem, pools and shoals, which is woven twice.',
    'Moved hem above shoals in the repeat of pools, hem and shoals, which is woven twice.',
    'Moved hem out of the repeat of pools, shoals and hem, above it: it is woven once.',
    'Moved hem below hem.',
  ]) {
    await page.locator('[data-key="band up"]').click();
    await heard(page, said);
  }
  // Past its twin nothing changes but which of them it is.
  await page.locator('[data-key="band up"]').click();
  await page.waitForFunction(() => document.querySelector('.band-said').textContent.startsWith('Hem, 2 of 2'));
  assert.equal(await page.locator('[data-key="band up"]').getAttribute('aria-disabled'), 'true');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('the border of a fill goes with the finger: what becomes of which band is said first, and each is marked', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await mat(page);
  const before = await shown(page, id);
  // No picture comes for as long as it is drawn: the words don't wait for one.
  await page.route(/preview\/picture/, async (route) => {
    await new Promise((done) => setTimeout(done, 3000));
    await route.continue().catch(() => {});
  });
  const [x, y] = await middle(page.getByLabel('Upper border of rising-tide'));
  await page.mouse.move(x, y);
  await page.mouse.down();
  let would = null;
  page.on('response', async (answer) => {
    if (/preview\?/.test(answer.url())) would = await answer.json();
  });
  await page.mouse.move(x, y + 40, { steps: 6 });
  await page.waitForFunction(() => /^hem: \d+ rows, in both places; rising-tide: \d+ rows$/.test(document.querySelector('.hand-words').textContent));
  await page.waitForTimeout(300);
  assert.equal(await page.locator('.foreshown').isHidden(), true, 'no picture is there yet');
  assert.equal(await words(page), would.lengths.words);
  assert.deepEqual(would.lengths.bands, ['hem', 'rising-tide']);
  assert.equal(await page.locator('.hand-place').count(), 3, 'both hems and the fill');
  const line = await page.locator('.hand-border').boundingBox();
  const row = (await bracket(page, 5)).bottom - (await bracket(page, 5)).top;
  assert.ok(Math.abs(line.y - (y + 40)) < 3 * row / before.places[5].rows, `the border is at the finger: ${line.y}, ${y + 40}`);
  await page.mouse.up();
  await heard(page, 'Made hem');
  const now = await shown(page, id);
  assert.deepEqual(now.places.map(({ rows }) => rows), would.places.map(({ rows }) => rows));
  assert.equal(now.places[5].rows + 2 * (now.places[0].rows - before.places[0].rows) <= before.places[5].rows + 1, true);
  await page.waitForFunction((head) => document.querySelector('.loom').dataset.shown === head, now.head);
  const lies = (await bracket(page, 5)).top;
  assert.ok(Math.abs(lies - line.y) < 3, `it lies where the line was: ${lies}, ${line.y}`);
  assert.deepEqual(wrong, []);
  await page.unrouteAll({ behavior: 'ignoreErrors' });
  await context.close();
});
