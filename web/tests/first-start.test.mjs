// From the first start to weaving the first row of an example: at most six taps and nothing to type, on a phone.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { accessible, ask, come, device, go, heard, launch, ready } from './browser.mjs';
import { start } from './server.mjs';
import { woven } from './weave.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

test('first start to row 1 woven takes at most six taps and no typing', async () => {
  const { page, wrong, context } = await device(browser, server, { enter: false });
  let taps = 0;
  const tap = async (selector) => {
    // As a hand does: two taps within a tenth of a second are one that bounces.
    await page.waitForTimeout(110);
    await page.tap(selector);
    taps += 1;
  };
  await page.goto(server.enter);
  await ready(page, '#/');
  assert.equal(new URL(page.url()).hash, '#/', 'the token is gone from the address');
  await tap('[data-example=tideline-mat]');
  await come(page, '#/piece/');
  await tap('.weave-it .needle');
  await come(page, '#/weave/');
  // It begins at the empty frame. On this one the warp is wound, and the mat's first yarn is begun before its first row.
  assert.match(await page.textContent('#row-said'), /^Before row 1: 24 ends on 24 of 40 notches/);
  await tap('text=The warp is wound');
  assert.match(await page.textContent('#row-said'), /^Before row 1: begin slate at the right/);
  await tap('.next');
  assert.match(await page.textContent('#row-said'), /^Row 1 of 130\. slate from the right: under 1, over 1 twelve times\.$/);
  assert.ok(taps <= 6, `${taps} taps`);
  await tap('.next');
  await page.waitForFunction(() => document.querySelector('#row-said').textContent.startsWith('Row 2 of 130'));
  assert.ok(taps <= 6, `${taps} taps`);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('the first load comes from one host and is at most 150 KB', async () => {
  const { page, hosts, context } = await device(browser, server, { enter: false });
  const sizes = [];
  page.on('response', (response) => {
    if (!new URL(response.url()).pathname.startsWith('/api/')) sizes.push(response.body().then((body) => body.length));
  });
  await page.goto(server.enter);
  await ready(page, '#/');
  await page.evaluate(() => document.fonts.ready);
  const total = (await Promise.all(sizes)).reduce((sum, size) => sum + size, 0);
  assert.ok(sizes.length > 10 && total > 50_000, 'what is loaded is seen');
  assert.ok(total <= 150 * 1024, `${total} bytes`);
  assert.deepEqual([...hosts], [server.url]);
  assert.ok(await page.evaluate(() => document.fonts.check('16px "Atkinson Hyperlegible Next"')), 'its letters are there');
  await context.close();
});

test('without the token nobody is let in, and the page says what to do', async () => {
  const { page, context } = await device(browser, server, { enter: false });
  await page.goto(`${server.url}/`);
  await page.waitForSelector('.trouble');
  assert.match(await page.textContent('.trouble'), /has not been let in/);
  await context.close();
});

test('an address that names nothing leads to the list', async () => {
  const { page, wrong, context } = await device(browser, server);
  for (const hash of ['#/piece/%', '#/weave/%E0%A4%A', '#/nowhere', '#/piece/a/b']) {
    // By a link on the page, and typed anew.
    for (const from of [() => go(page, server, '#/'), () => page.goto('about:blank')]) {
      await from();
      await page.goto(`${server.url}/${hash}`);
      await ready(page, hash);
      assert.ok(await page.locator('#examples').isVisible(), hash);
    }
  }
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a new piece from each start opens', async () => {
  const { page, wrong, context } = await device(browser, server);
  const starts = await page.locator('[data-start]').evaluateAll((all) => all.map((one) => one.dataset.start));
  assert.deepEqual(starts, ['plain', 'columns', 'blocks', 'diagonal', 'satin'], 'the starts of `fellmark new`');
  for (const name of starts) {
    await page.tap(`[data-start=${name}]`);
    await come(page, '#/piece/');
    assert.match(await page.textContent('.asked'), /^A .*: 2[45] ends of reed/);
    await page.tap('.top .plain');
    await ready(page, '#/');
  }
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a plan that is no plan says line and reason, and one that is opens', async () => {
  const { page, context } = await device(browser, server);
  const file = (text) => ({ name: 'mine.toml', mimeType: 'application/toml', buffer: Buffer.from(text) });
  await page.setInputFiles('input[accept*=toml]', file('schema = 1\nname = "Mine"\nends = \n'));
  await page.waitForSelector('[role=alert] .mend');
  assert.match(await page.textContent('[role=alert]'), /^Line 3: /);
  const { examples } = await page.evaluate(() => fetch('/api/pieces').then((answer) => answer.json()));
  assert.ok(examples.length >= 6);
  await context.close();
});

test('the list names a piece, its weaving and where it is', async () => {
  const { page, context } = await device(browser, server);
  const { text } = await ask(page, `/api/pieces/${(await ask(page, '/api/pieces', { example: 'tideline-mat' })).id}`);
  const { id } = await ask(page, '/api/pieces', { text: text.replace(/^name( *)= ".*"$/m, 'name$1= "Mat on the loom"') });
  await woven(page, (await ask(page, `/api/pieces/${id}/weavings`, {})).id, [1]);
  const mine = page.locator('.book li', { hasText: 'Mat on the loom' }).locator('.about a');
  await mine.filter({ hasText: /^row 2 of 130$/ }).tap();
  await come(page, '#/weave/');
  // Weaving goes on another day: first it says where everything waits.
  assert.equal(await page.textContent('.count'), 'Row 1 is woven');
  await heard(page, 'slate waits at the left.');
  await context.close();
});

test('a piece is put away and brought back, by keys, by tap and from its own page; nothing of it goes', async () => {
  const { page, context, wrong } = await device(browser, server, { size: 'desktop' });
  const { pieces } = await ask(page, '/api/pieces');
  const mat = pieces.find(({ weavings }) => weavings.length > 0);
  const names = () => page.locator('section:has(#yours) .name').allTextContents();
  const before = await names();
  await page.focus(`[data-key="put-away ${mat.id}"]`);
  await page.keyboard.press('Enter');
  await heard(page, `${mat.name} is put away, with its history and weavings.`);
  assert.equal((await names()).length, before.length - 1);
  assert.ok(await page.evaluate(() => document.activeElement.matches('[data-way="put-away"], .away summary')), 'the focus goes on');
  assert.equal(await page.locator('.away li').first().isVisible(), false, 'it is out of sight');
  await page.click('.away summary');
  assert.match(await page.textContent('.away li'), new RegExp(`^${mat.name}.*row \\d+ of 130`));
  await accessible(page, 'put away');
  // What comes from elsewhere leaves it open, and the focus where it is.
  await page.focus(`[data-key="bring-back ${mat.id}"]`);
  await ask(page, '/api/pieces', { start: 'plain', name: 'Samphire strip' });
  await page.waitForFunction((count) => document.querySelectorAll('section:has(#yours) .name').length === count, before.length);
  assert.ok(await page.evaluate((id) => document.querySelector('.away').open && document.activeElement.dataset.key === `bring-back ${id}`, mat.id));
  // At its address all is there, and from there it comes back.
  await page.click('.away a');
  await ready(page, `#/piece/${mat.id}`);
  assert.match(await page.textContent('.weave-it'), /Go on with row .*row 2 of 130/);
  await page.click('text=Bring back to your pieces');
  await heard(page, 'It is back among your pieces.');
  await page.click('text=All pieces');
  await ready(page, '#/');
  assert.equal(await page.locator('.away').count(), 0);
  assert.equal((await names()).length, before.length + 1);

  await page.click(`[data-key="put-away ${mat.id}"]`);
  await page.click('.away summary');
  await page.click(`[data-key="bring-back ${mat.id}"]`);
  await heard(page, `${mat.name} is back among your pieces.`);
  assert.deepEqual((await ask(page, '/api/pieces')).pieces.find(({ id }) => id === mat.id), mat);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('all pieces go into one file, and come back from it once', async (t) => {
  const { page, context } = await device(browser, server);
  await ask(page, '/api/pieces', { example: 'lichen-coaster' });
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByText('All pieces in one file').click()]);
  const path = await download.path();
  const other = await start();
  t.after(() => other.stop());
  const away = await device(browser, other);
  const { pieces } = await page.evaluate(() => fetch('/api/pieces').then((answer) => answer.json()));
  await away.page.setInputFiles('input[accept=".zip"]', path);
  const told = away.page.locator('.pieces-told');
  await told.filter({ hasText: / came\b/ }).waitFor();
  assert.ok(await told.evaluate((one) => one.getBoundingClientRect().top >= 0 && one.getBoundingClientRect().bottom <= innerHeight), 'it is seen');
  await away.page.waitForSelector('#yours');
  assert.deepEqual((await away.page.locator('section:has(#yours) .name').allTextContents()).sort(), pieces.map(({ name }) => name).sort());
  await away.page.setInputFiles('input[accept=".zip"]', path);
  await told.filter({ hasText: 'Nothing in this file is new here.' }).waitFor();
  await accessible(away.page, 'all pieces, with what came');
  await away.context.close();
  await context.close();
});

test('a piece that is put away on one device leaves the list, and its page says so, on the others', async () => {
  const [one, list, open] = [await device(browser, server, { size: 'desktop' }), await device(browser, server), await device(browser, server)];
  const { id } = await ask(one.page, '/api/pieces', { example: 'tideline-bookmark' });
  await go(list.page, server, '#/');
  await go(open.page, server, `#/piece/${id}`);
  const mine = list.page.locator(`.book [data-key="put-away ${id}"]`);
  await mine.waitFor();
  await ask(one.page, `/api/pieces/${id}/put-away`, {});
  await mine.waitFor({ state: 'detached' });
  await list.page.waitForSelector('.away');
  await open.page.waitForFunction(() => document.querySelector('[data-key=move]').textContent === 'Bring back to your pieces');
  await heard(open.page, 'The piece was put away.');
  await ask(one.page, `/api/pieces/${id}/bring-back`, {});
  await mine.waitFor();
  await open.page.waitForFunction(() => document.querySelector('[data-key=move]').textContent === 'Put away');
  for (const { wrong, context } of [one, list, open]) {
    assert.deepEqual(wrong, []);
    await context.close();
  }
});

test('the list shows each piece as cloth, when its place comes near, on the ground of the page', async () => {
  const { page, wrong, context } = await device(browser, server);
  const asked = [];
  page.on('request', (request) => /swatch/.test(request.url()) && asked.push(request.url()));
  await go(page, server, '#/');
  await page.waitForSelector('.swatch.drawn canvas');
  const places = await page.locator('.swatch').count();
  await page.waitForTimeout(300);
  assert.ok(asked.length < places, `${asked.length} of ${places} are asked for before the page is scrolled`);
  await page.locator('.swatch').last().scrollIntoViewIfNeeded();
  await page.waitForFunction(() => [...document.querySelectorAll('.swatch')].at(-1).classList.contains('drawn'));
  const corner = () => page.evaluate(() => {
    const canvas = [...document.querySelectorAll('.swatch canvas')].at(-1);
    return [...canvas.getContext('2d').getImageData(1, 1, 1, 1).data.slice(0, 3)];
  });
  const near = (a, b) => a.every((part, k) => Math.abs(part - b[k]) <= 6);
  const day = await corner();
  assert.ok(near(day, [0xf6, 0xf3, 0xec]), `${day}`);
  await page.emulateMedia({ colorScheme: 'dark' });
  await page.waitForFunction(() => {
    [...document.querySelectorAll('.swatch')].at(-1)?.scrollIntoView();
    const canvas = [...document.querySelectorAll('.swatch canvas')].at(-1);
    return canvas && canvas.getContext('2d').getImageData(1, 1, 1, 1).data[0] < 0x40;
  });
  assert.deepEqual(wrong, []);
  await context.close();
});

test('an example with flaws says so and stands last, so that nobody begins with one that comes apart', async () => {
  const { page, context } = await device(browser, server);
  await go(page, server, '#/');
  const { examples } = await ask(page, '/api/pieces');
  const cards = await page.locator('[data-example]').evaluateAll((all) => all.map((one) => [one.dataset.example, /there to be mended/.test(one.closest('li').textContent)]));
  assert.deepEqual(cards, examples.map(({ name, to_mend: many }) => [name, many > 0]));
  assert.deepEqual(cards.at(-1), ['first-try', true]);
  assert.equal(cards.filter(([, flawed]) => flawed).length, 1);
  await context.close();
});
