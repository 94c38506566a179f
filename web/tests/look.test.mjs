// Every view in every size and light: axe-core finds nothing, nothing is smaller than it may be, nothing sticks out.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { SIZES, accessible, ask, device, go, launch } from './browser.mjs';
import { measure } from './measure.mjs';
import { start } from './server.mjs';
import { first, woven } from './weave.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

test('first start', async (t) => {
  for (const size of Object.keys(SIZES)) {
    for (const light of ['light', 'dark']) await t.test(`${size}, ${light}`, async () => {
      const { page, context, wrong } = await device(browser, server, { size, light });
      await page.waitForSelector('.swatch.drawn');
      await accessible(page, 'first start');
      assert.deepEqual(await measure(page), []);
      assert.deepEqual(wrong, []);
      await context.close();
    });
  }
});

test('every view', async (t) => {
  const { page, context } = await device(browser, server);
  const make = async (example) => (await ask(page, '/api/pieces', { example })).id;
  const [mat, tried, band] = [await make('tideline-mat'), await make('first-try'), await make('kelp-headband')];
  for (const one of ['lichen-coaster', 'sandpiper-earrings']) await ask(page, `/api/pieces/${await make(one)}/put-away`, {});
  const weave = async (piece, rows) => {
    const { id } = await ask(page, `/api/pieces/${piece}/weavings`, {});
    await woven(page, id, first(rows));
    return id;
  };
  const [begun, all, fresh] = [await weave(mat, 6), await weave(mat, 130), await weave(mat, 0)];
  await context.close();
  const going = (id, ...taps) => ({ hash: `#/weave/${id}`, going: id, taps });
  const shown = {
    'all pieces': { hash: '#/' },
    'pieces put away': { hash: '#/', taps: ['.away summary'] },
    'a piece in order': { hash: `#/piece/${mat}` },
    'a piece to mend': { hash: `#/piece/${tried}` },
    'a long piece': { hash: `#/piece/${band}` },
    'a piece’s text': { hash: `#/piece/${mat}`, taps: ['.text summary'] },
    'a new weaving': { hash: `#/weave/${fresh}` },
    'tomorrow’s start': { hash: `#/weave/${begun}` },
    'a crossing': going(begun),
    'a row': going(begun, '.next'),
    'settings': going(begun, 'text=Settings'),
    'all woven': { hash: `#/weave/${all}` },
  };
  for (const size of Object.keys(SIZES)) {
    for (const light of ['light', 'dark']) {
      const { page, context, wrong } = await device(browser, server, { size, light });
      for (const [name, { hash, going, taps = [] }] of Object.entries(shown)) await t.test(`${name}, ${size}, ${light}`, async () => {
        if (going) await page.evaluate((id) => sessionStorage.setItem(`fellmark.going.${id}`, '1'), going);
        else await page.evaluate(() => sessionStorage.clear());
        await page.goto('about:blank');
        await go(page, server, hash);
        for (const tap of taps) await page.click(tap);
        if (hash.includes('piece/')) await page.waitForSelector('.loom-bands li');
        await accessible(page, name);
        assert.deepEqual(await measure(page), []);
        assert.deepEqual(wrong, []);
      });
      await context.close();
    }
  }
});

test('large print and high contrast keep everything within reach', async () => {
  for (const size of ['phone', 'desktop']) {
    const { page, context } = await device(browser, server, { size });
    await page.evaluate(() => localStorage.setItem('fellmark.settings', JSON.stringify({ print: 'large', contrast: 'high', light: 'evening' })));
    const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
    const weaving = (await ask(page, `/api/pieces/${id}/weavings`, {})).id;
    for (const hash of ['#/', `#/piece/${id}`, `#/weave/${weaving}`]) {
      await page.goto('about:blank');
      await go(page, server, hash);
      if (hash.includes('weave')) await page.click('.next');
      await accessible(page, `large print: ${hash}`);
      assert.deepEqual(await measure(page), [], `${size} ${hash}`);
    }
    await context.close();
  }
});

test('contrast that the device asks for is given in every light', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const ink = () => page.evaluate(() => {
    const style = getComputedStyle(document.documentElement);
    return ['--quiet', '--line', '--wood-edge'].map((name) => style.getPropertyValue(name) === style.getPropertyValue('--ink'));
  });
  for (const colorScheme of ['light', 'dark']) {
    for (const [contrast, more] of [['no-preference', false], ['more', true]]) {
      await page.emulateMedia({ colorScheme, contrast });
      assert.deepEqual(await ink(), [more, more, more], `${colorScheme}, ${contrast}`);
    }
  }
  await context.close();
});

test('where the device has colours of its own, yarn keeps its own and what is pressed is seen', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  await go(page, server, `#/piece/${id}`);
  await page.waitForSelector('.border');
  await page.emulateMedia({ forcedColors: 'active' });
  const { yarns } = await ask(page, `/api/pieces/${id}`);
  const rgb = (hex) => `rgb(${[1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16)).join(', ')})`;
  const balls = await page.locator('.basket .ball').evaluateAll((all) => all.map((one) => getComputedStyle(one).backgroundColor));
  assert.deepEqual(balls, yarns.map(({ colour }) => rgb(colour)));
  const edge = await page.locator('.needle').first().evaluate((one) => getComputedStyle(one).borderTopWidth);
  assert.equal(edge, '2px');
  await context.close();
});
