// What lies below the first row, put in and taken out on the page, and told before row 1.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { SIZES, accessible, ask, device, go, heard, launch } from './browser.mjs';
import { measure } from './measure.mjs';
import { start } from './server.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

const shown = (page, id) => ask(page, `/api/pieces/${id}`);

test('a header is put in where the ends are changed, made of card or yarn, and is woven before row 1', async () => {
  const { page, wrong, context } = await device(browser, server);
  const { id } = await ask(page, '/api/pieces', { example: 'first-try' });
  await go(page, server, `#/piece/${id}`);
  await page.waitForSelector('.border');
  const before = await shown(page, id);
  await page.locator('.asked [data-about=ends]').tap();
  const below = page.getByRole('group', { name: 'Below the first row' });
  const chosen = () => below.locator('[aria-pressed=true]').textContent();
  assert.equal(await chosen(), 'Nothing: it begins at the bar');
  await below.getByRole('button', { name: 'A header' }).tap();
  await heard(page, 'Put 2 cm of card in below it as its header.');
  assert.equal(await chosen(), 'A header');
  assert.match(await page.textContent('.asked'), /, above a header of 2\scm\.$/);

  const made = page.getByLabel('The header is');
  assert.equal(await made.inputValue(), '');
  await made.selectOption('reed');
  await heard(page, 'Put 2 cm of header in below it, woven with reed.');
  const long = page.getByLabel('Of the warp it takes');
  assert.equal(await long.inputValue(), '2 cm');
  await long.fill('40 cm');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => /nothing can be woven/.test(document.querySelector('.said .field .mend:not(:empty)')?.textContent ?? ''));
  await long.fill('1 1/2 cm');
  await page.keyboard.press('Enter');
  await heard(page, 'Put 1 1/2 cm of header in below it, woven with reed.');
  const now = await shown(page, id);
  assert.deepEqual([now.parts.header.length, now.parts.header.yarn], ['1 1/2 cm', 'reed']);
  assert.match(now.text, /\[header\]\nlength = "1 1\/2 cm"\nyarn = "reed"\n/);
  // By its own words it opens too.
  await page.locator('.asked [data-about=header]').tap();
  assert.equal(await page.getByLabel('Of the warp it takes').inputValue(), '1 1/2 cm');

  const { id: weaving } = await ask(page, `/api/pieces/${id}/weavings`, {});
  await go(page, server, `#/weave/${weaving}`);
  await page.getByRole('button', { name: 'The warp is wound' }).tap();
  await heard(page, 'weave a header of 1.5 cm with reed');
  assert.deepEqual(await page.locator('.edge-picture.header .tag').allTextContents(), ['reed'], 'the header’s yarn is named');
  assert.equal(await page.locator('.banner').count(), 0, 'no needle has anything to do with it');

  await go(page, server, `#/piece/${id}`);
  await page.waitForSelector('.border');
  await page.locator('.asked [data-about=header]').tap();
  await page.getByRole('button', { name: 'Nothing: it begins at the bar' }).tap();
  await heard(page, 'Left out the header.');
  assert.equal((await shown(page, id)).text, before.text, 'the plan is as it was');
  assert.deepEqual(wrong.filter(({ status }) => status !== 422), []);
  await context.close();
});

test('a header’s panel, on every device and in every light', async (t) => {
  for (const size of Object.keys(SIZES)) for (const light of ['light', 'dark']) await t.test(`${size}, ${light}`, async () => {
    const { page, context } = await device(browser, server, { size, light });
    const { id } = await ask(page, '/api/pieces', { example: 'tideline-bookmark' });
    await go(page, server, `#/piece/${id}`);
    await page.waitForSelector('.border');
    await page.locator('.asked [data-about=header]').click();
    await page.getByLabel('The header is').waitFor();
    await accessible(page, 'header');
    assert.deepEqual(await measure(page), [], 'header');
    await context.close();
  });
});
