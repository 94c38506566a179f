// The piece on its loom: how large it is shown, and how its bands are come to.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { accessible, ask, device, go, launch } from './browser.mjs';
import { start } from './server.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

/** An example's page. */
async function piece(example, size) {
  const opened = await device(browser, server, { size });
  const { id } = await ask(opened.page, '/api/pieces', { example });
  await go(opened.page, server, `#/piece/${id}`);
  await opened.page.waitForFunction(() => document.querySelector('.loom')?.dataset.shown);
  return { ...opened, id };
}

/** Shows it whole, closer or in true size, and measures what is seen of it. */
async function shown(page, words) {
  await page.locator('.views').getByText(words, { exact: true }).click();
  return page.evaluate(() => {
    const [picture, room, page] = [document.querySelector('.loom-picture'), document.querySelector('.loom-room'), document.documentElement];
    const { width, height } = picture.getBoundingClientRect();
    return { width, height, room: room.clientHeight, window: page.clientHeight, across: page.scrollWidth - page.clientWidth, scrolls: room.scrollHeight - room.clientHeight };
  });
}

for (const size of ['phone', 'tablet', 'desktop']) {
  test(`closer is at least twice as large as whole, and the page is no wider for it (${size})`, async () => {
    for (const example of ['tideline-mat', 'kelp-headband', 'sandpiper-earrings']) {
      const { page, context, wrong } = await piece(example, size);
      const whole = await shown(page, 'whole');
      const closer = await shown(page, 'closer');
      const enlarged = closer.height / whole.height;
      assert.ok(enlarged > 1.99, `${example}: ${enlarged} times`);
      assert.ok(closer.room < closer.window && closer.scrolls > 0, `${example}: it is scrolled in its own room`);
      // CSS: an inch is 96 pixels.
      const real = await shown(page, 'in true size');
      const { lies } = await ask(page, `/api/pieces/${(await page.evaluate(() => location.hash)).split('/').at(-1)}`);
      const inner = (lies.front.height - 2 * lies.margin + 1) * (96 / 25.4);
      assert.ok(Math.abs(real.height - inner) < 1, `${example}: ${real.height} for ${inner}`);
      assert.deepEqual([whole.across, closer.across, real.across], [0, 0, 0], example);
      if (example === 'kelp-headband') await accessible(page, `${example} closer`);
      assert.deepEqual(wrong, []);
      await context.close();
    }
  });
}

test('what was in the middle stays there when the piece comes closer', async () => {
  const { page, context } = await piece('tideline-mat', 'phone');
  /** Where the middle of the room is on the picture, as parts of it. */
  const middle = () => page.evaluate(() => {
    const [picture, room] = ['.loom-picture', '.loom-room'].map((one) => document.querySelector(one).getBoundingClientRect());
    return (room.top + document.querySelector('.loom-room').clientHeight / 2 - picture.top) / picture.height;
  });
  await shown(page, 'closer');
  assert.ok(Math.abs(await middle() - 0.5) < 0.02, String(await middle()));
  // By key the place on the cloth stays in sight.
  await page.focus('.loom-picture');
  for (let press = 0; press < 12; press += 1) await page.keyboard.press('PageUp');
  const [ring, room] = await page.evaluate(() => ['.cursor', '.loom-room'].map((one) => document.querySelector(one).getBoundingClientRect().toJSON()));
  assert.ok(ring.top >= room.top - 1 && ring.bottom <= room.bottom + 1, `${ring.top} in ${room.top} to ${room.bottom}`);
  await context.close();
});

for (const size of ['phone', 'desktop']) {
  test(`every band is opened by a pointer, also where none of its names has room (${size})`, async () => {
    const { page, id, context, wrong } = await piece('kelp-headband', size);
    const { places } = await ask(page, `/api/pieces/${id}`);
    const names = [...new Set(places.map(({ name }) => name))];
    const title = () => page.textContent('#band-title');
    const list = page.getByRole('navigation', { name: 'Its bands' });
    for (const name of names) {
      const many = places.filter((place) => place.name === name).length;
      await list.getByRole('button', { name: new RegExp(`^${name}\\b`) }).click();
      assert.equal((await title()).toLowerCase(), many > 1 ? `${name} 1 of ${many}` : name);
    }
    // From one of its places to the next; the focus stays on the words.
    await list.getByRole('button', { name: /^line/ }).click();
    for (const nth of [2, 3]) {
      await page.getByText('The next above').click();
      assert.equal(await title(), `Line ${nth} of 35`);
      assert.equal(await page.evaluate(() => document.activeElement?.textContent), 'The next above');
    }
    await page.getByText('The next below').click();
    assert.equal(await title(), 'Line 2 of 35');
    // Closed, the focus is on the name that opened it.
    await page.locator('.band-panel').getByText('Close', { exact: true }).click();
    assert.match(await page.evaluate(() => document.activeElement?.textContent), /^line/);
    // And from the cloth: the band of the row that a finger looks at.
    await page.locator('.loom-picture').click();
    const [, number] = /^Row (\d+),/.exec(await page.textContent('.spot'));
    const index = places.findIndex(({ first_row: first, rows }) => first <= Number(number) && Number(number) < first + rows);
    await page.getByRole('button', { name: /^Open / }).click();
    assert.equal((await title()).toLowerCase(), `${places[index].name} ${places[index].nth} of ${places[index].of}`);
    await accessible(page, 'a band of many places');
    assert.deepEqual(wrong, []);
    await context.close();
  });
}

test('where every band has its name beside the cloth, they are not named twice', async () => {
  const { page, context } = await piece('tideline-mat', 'desktop');
  assert.equal(await page.locator('.loom-bands .unnamed').count(), 0);
  assert.equal(await page.getByRole('navigation', { name: 'Its bands' }).count(), 0);
  await context.close();
});

test('on a desktop row 1 and the near bar are in the first view', async () => {
  for (const example of ['tideline-mat', 'kelp-headband', 'first-try']) {
    const { page, context } = await device(browser, server, { size: 'desktop' });
    const { id } = await ask(page, '/api/pieces', { example });
    await go(page, server, `#/piece/${id}`);
    await page.waitForSelector('.loom-bands li');
    const { bottom, height } = await page.locator('.loom-picture').boundingBox().then(({ y, height }) => ({ bottom: y + height, height }));
    assert.ok(bottom <= 900, `${example}: it ends at ${bottom}`);
    assert.ok(height >= 380, `${example}: ${height} pixels tall`);
    await context.close();
  }
});

test('where not every place of a band can be named, each band is, and at its first place that has the room', async () => {
  for (const size of ['desktop', 'phone']) {
    const { page, context } = await device(browser, server, { size });
    const { id } = await ask(page, '/api/pieces', { example: 'kelp-headband' });
    await go(page, server, `#/piece/${id}`);
    await page.waitForSelector('.loom-bands li');
    const { places } = await ask(page, `/api/pieces/${id}`);
    const named = await page.locator('.loom-bands li:not(.unnamed) button').evaluateAll((all) => all.map((one) => Number(one.dataset.band)).sort((a, b) => a - b));
    assert.ok(named.length < places.length);
    assert.deepEqual([...new Set(named.map((index) => places[index].name))].sort(), ['hem', 'line', 'pools', 'shoals'], size);
    assert.equal(named[0], 0, 'the lowest place of all is named');
    await context.close();
  }
});
