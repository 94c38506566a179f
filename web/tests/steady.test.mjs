// Panels are steady under a hand: what a press changes may move other controls under the pointer, and a second press there is not
// meant for them; what comes in is opened.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { ask, device, go, launch } from './browser.mjs';
import { start } from './server.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

test('a double click on what goes presses nothing that comes to lie there, until the pointer has moved', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  await go(page, server, `#/piece/${id}`);
  await page.locator('[data-band]').filter({ hasText: 'pools' }).first().click();
  const only = page.getByRole('button', { name: 'Only here' });
  await only.scrollIntoViewIfNeeded();
  const box = await only.boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const written = async () => (await ask(page, `/api/pieces/${id}`)).text;
  const was = await written();
  await page.mouse.click(x, y);
  await page.waitForFunction(() => document.querySelector('.band-panel [data-key="band mirrored"]') && !document.querySelector('.band-panel [data-key="band part"]'));
  // As if one of those that moved lay there now, whichever the letters' size brings there.
  const pressed = await page.evaluate(([x, y]) => {
    const press = (key) => document.querySelector(`.band-panel [data-key="band ${key}"]`).dispatchEvent(new MouseEvent('click', { bubbles: true, cancelable: true, detail: 2, clientX: x, clientY: y }));
    return ['mirrored', 'more', 'remove'].map(press);
  }, [x, y]);
  assert.deepEqual(pressed, [false, false, false], 'each is swallowed');
  await page.mouse.click(x, y);
  await page.waitForTimeout(300);
  const now = await written();
  assert.notEqual(now, was, 'the first press is done');
  assert.doesNotMatch(now, /mirrored/);
  assert.equal((await ask(page, `/api/pieces/${id}`)).check.plan.rows, 130, 'no row more');
  // A pointer that has moved means what it lies on.
  await page.mouse.move(x + 60, y + 60);
  await page.getByRole('button', { name: 'Mirror', exact: true }).click();
  await page.waitForFunction((id) => fetch(`/api/pieces/${id}`).then((answer) => answer.json()).then(({ text }) => /mirrored = true/.test(text)), id);
  assert.deepEqual(wrong, []);
  await context.close();
});

for (const size of ['desktop', 'phone']) {
  test(`another band comes in above the one that is open, and its panel opens (${size})`, async () => {
    const { page, wrong, context } = await device(browser, server, { size });
    const { id } = await ask(page, '/api/pieces', { start: 'plain' });
    await go(page, server, `#/piece/${id}`);
    const before = await ask(page, `/api/pieces/${id}`);
    await page.locator('[data-band="0"]').click();
    const own = before.places[0];
    await page.getByRole('button', { name: 'Another band above' }).click();
    await page.waitForFunction((many) => document.querySelectorAll('[data-band]').length === many, before.places.length + 1);
    const { places, parts } = await ask(page, `/api/pieces/${id}`);
    const come = places[1];
    assert.ok(!before.places.some(({ name }) => name === come.name), 'it is a new band');
    assert.deepEqual([places[0].name, come.rows, come.wefts], [own.name, 4, own.wefts]);
    assert.match(parts.bands.find(({ name }) => name === come.name).words, /^over 1, under 1, then the opposite/);
    const title = page.locator('#band-title');
    assert.equal((await title.textContent()).toLowerCase(), come.name.toLowerCase());
    assert.ok(await title.evaluate((one) => one === document.activeElement), 'the focus is in its panel');
    await page.getByRole('button', { name: 'Undo' }).click();
    await page.waitForFunction((many) => document.querySelectorAll('[data-band]').length === many, before.places.length);
    assert.deepEqual(wrong, []);
    await context.close();
  });
}
