// The page of all pieces: what a beginner is told, what a start looks like, what comes first.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { accessible, ask, come, device, go, launch } from './browser.mjs';
import { start } from './server.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

test('a beginner is told what this is, and sees the cloth that each start makes; later what is on the loom comes first', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'phone' });
  assert.match(await page.textContent('.what-it-is'), /^Fellmark plans what you weave on a small notched frame loom, .*\.$/);
  const starts = page.locator('[data-start]');
  const { starts: offered } = await ask(page, '/api/pieces');
  assert.equal(await starts.count(), offered.length);
  await page.locator('[data-start=plain]').scrollIntoViewIfNeeded();
  await page.waitForFunction(() => [...document.querySelectorAll('[data-start] .swatch')].every((one) => one.classList.contains('drawn')));
  await accessible(page, 'the first page');
  const woven = (await ask(page, '/api/pieces', { example: 'tideline-mat' })).id;
  const weaving = (await ask(page, `/api/pieces/${woven}/weavings`, {})).id;
  await ask(page, `/api/weavings/${weaving}/ticks`, { ticks: [{ id: '1'.padStart(32, '0'), row: 1, done: true, at: Date.now() }] });
  await page.locator('[data-start=plain]').tap();
  await come(page, '#/piece/');
  await go(page, server, '#/');
  assert.equal(await page.locator('.what-it-is').count(), 0, 'who has pieces knows');
  assert.deepEqual(await page.locator('[aria-labelledby=yours] .name').allTextContents(), ['Tideline mat', 'New piece']);
  assert.deepEqual(wrong, []);
  await context.close();
});
