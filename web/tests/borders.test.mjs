// The borders of bands and the bands themselves, drawn and carried by hand: what is told and pictured goes with it.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { SIZES, device, door, eventually, heard, launch, printed } from './browser.mjs';
import { button, finger, key, label, labels, middle, piece, reach, rows, settled, shown } from './changing.mjs';
import { start } from './server.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

test('a border is dragged: the line goes with the pointer, the sentence with it, and one change is saved', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page);
  const before = await shown(page, id);
  await label(page, 'pools').click();
  const index = Number(await label(page, 'pools').getAttribute('data-band'));
  const handle = page.locator(`[data-border="${index}"]`);
  assert.equal(await handle.getAttribute('role'), 'separator');
  assert.equal(await handle.getAttribute('aria-valuenow'), '6');
  const [x, y] = await middle(handle);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x, y - 30, { steps: 4 });
  await page.evaluate(() => new Promise(requestAnimationFrame));
  assert.equal(await page.locator('.hand-border').count(), 1, 'the line is drawn in the next frame');
  await page.waitForFunction(() => /^pools: \d+ rows, in both places; shoals: \d+ rows, in both places; rising-tide: \d+ rows$/.test(document.querySelector('.hand-words').textContent));
  assert.equal((await shown(page, id)).head, before.head, 'nothing is saved while the finger is down');
  // All that changes with it is lit: its places, those of the band that is like it, and what fills the rest.
  assert.equal(await page.locator('.hand-place').count(), 5);
  // Whatever the sentences above it come to, the loom stays under the finger.
  // The border goes where the finger is, to the nearest turn of what lies beneath it.
  assert.ok(Math.abs((await page.locator('.hand-border').boundingBox()).y - (y - 30)) < 20);
  await page.keyboard.press('Escape');
  assert.equal(await page.locator('.hand-border').count(), 0);
  await page.mouse.up();
  assert.equal((await shown(page, id)).head, before.head, 'Escape gives it up');
  assert.equal(await page.textContent('.follows'), printed(before.check.follows));

  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x, y - 30, { steps: 4 });
  await page.mouse.up();
  await heard(page, 'Made pools');
  const now = await settled(page, id);
  assert.ok(rows(now, 'pools') > 6 && rows(now, 'pools') % 2 === 0, 'whole turns of its wefts');
  await button(page, 'Undo').click();
  await heard(page, 'Taken back.');
  assert.equal((await shown(page, id)).text, before.text, 'one gesture is one change');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('while a border is drawn all that is told belongs to what would be, and the words at the finger lie beside the cloth', async () => {
  for (const size of ['desktop', 'phone']) {
    const { page, wrong, context } = await device(browser, server, { size });
    const id = await piece(server, page);
    const before = await shown(page, id);
    assert.equal(before.check.findings.length, 0);
    let would = null;
    page.on('response', async (answer) => {
      if (/preview\?/.test(answer.url())) would = await answer.json();
    });
    await label(page, 'pools').click();
    const index = Number(await label(page, 'pools').getAttribute('data-band'));
    const [x, y] = await middle(page.locator(`[data-border="${index}"]`));
    const told = () => page.evaluate(() => ({
      follows: document.querySelector('.follows').textContent, found: [...document.querySelectorAll('.finding .words')].map((one) => one.textContent),
      yarns: [...document.querySelectorAll('.basket li [data-ball]:not([data-ball=" "])')].map((one) => one.textContent), band: document.querySelector('.band-said').textContent,
      dim: ['.loom-pins', '.band-panel > *', '.band-rows'].map((one) => getComputedStyle(document.querySelector(one)).opacity),
    }));
    const was = await told();
    assert.deepEqual([was.found, new Set(was.dim)], [[], new Set(['1'])]);
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x, y - 200, { steps: 4 });
    await page.waitForSelector('.foreseen');
    await page.waitForFunction(() => document.querySelectorAll('.finding').length > 0);
    // Until nothing more is asked, and the last of it is told.
    const { dim } = await eventually(async () => {
      const { follows, found, yarns, band, dim } = await told();
      assert.equal(follows, printed(would.check.follows));
      assert.deepEqual(found, would.check.findings.map(({ words }) => printed(words)));
      assert.deepEqual(yarns, would.yarns.map(({ need, name }) => printed(need?.words ?? name)));
      assert.ok(band.includes(`rows ${would.places[index].first_row} to ${would.places[index].first_row + would.places[index].rows - 1}`), band);
      assert.equal(await page.textContent('.hand-words'), would.lengths.words);
      return { dim };
    });
    assert.deepEqual(new Set(dim), new Set(['0.3']), 'what is told of the piece as it was is dim');
    assert.match(would.lengths.words, new RegExp(`^pools: ${would.places[index].rows} rows, in both places; `));
    const [tip, cloth] = [await page.locator('.hand-words').boundingBox(), await page.locator('.loom-picture').boundingBox()];
    assert.ok(tip.x >= cloth.x + cloth.width, `${size}: ${tip.x}, ${cloth.x + cloth.width}`);
    assert.ok(tip.x + tip.width <= SIZES[size].width + 1, `${size}: ${tip.x + tip.width}`);
    await page.keyboard.press('Escape');
    await page.mouse.up();
    assert.deepEqual(await told(), was);
    assert.deepEqual(wrong, []);
    await context.close();
  }
});

test('while a border is drawn brackets, names, borders and what is lit stand where the server says that they would', async () => {
  for (const size of ['desktop', 'phone']) {
    const { page, wrong, context } = await device(browser, server, { size });
    const id = await piece(server, page);
    const { lies, places } = await shown(page, id);
    let would = null;
    page.on('response', async (answer) => {
      // (One that comes when the page is closed has nothing to say.)
      if (/preview\?/.test(answer.url())) would = await answer.json().catch(() => would);
    });
    await label(page, 'pools').click();
    const index = Number(await label(page, 'pools').getAttribute('data-band'));
    const [x, y] = await middle(page.locator(`[data-border="${index}"]`));
    /** Heights in pixels from the loom's top: each bracket's bottom and top, what is lit, the borders that can be drawn. */
    const stands = () => page.evaluate(() => {
      const numbers = (path) => path.getAttribute('d').match(/-?[\d.]+/g).map(Number);
      const lit = document.querySelector('.lit');
      return {
        brackets: [...document.querySelectorAll('.loom-lines .bracket')].map((path) => /^M[\d.]+ ([\d.]+)h6V([\d.]+)/.exec(path.getAttribute('d'))).filter(Boolean).map(([, bottom, top]) => [Number(bottom) + 0.75, Number(top) - 0.75]),
        lit: lit && [numbers(lit)[1], numbers(lit)[4]].toSorted((a, b) => b - a),
        borders: Object.fromEntries([...document.querySelectorAll('.border')].map((one) => [one.dataset.border, Number.parseFloat(one.style.top) + 22])),
        marked: [...document.querySelectorAll('.hand-place')].map((path) => /^M[\d.]+ ([\d.]+)V([\d.]+)/.exec(path.getAttribute('d')).slice(1).map(Number)),
        names: [...document.querySelectorAll('.loom-bands li:not(.unnamed)')].map((one) => one.style.top),
      };
    });
    const near = (found, wanted, what) => assert.ok(found.length === wanted.length && found.flat().every((at, k) => Math.abs(at - wanted.flat()[k]) < 1), `${size}, ${what}: ${JSON.stringify(found)}; ${JSON.stringify(wanted)}`);
    const was = await stands();
    assert.equal(was.brackets.length, places.length);
    // A height on the loom in pixels, by the foot of the first band and the fell, which stay at one scale.
    const [foot, fell] = [was.brackets[0][0], was.brackets.at(-1)[1]];
    const height = (mm) => foot + ((fell - foot) * mm) / lies.fell;
    near([was.lit], [was.brackets[index]], 'the band that is open is lit');
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x, y - 60, { steps: 4 });
    await page.waitForSelector('.foreseen');
    await eventually(async () => {
      const now = await stands();
      const all = would.tops.map((top, k) => [height(would.tops[k - 1] ?? 0), height(top)]);
      near(now.brackets, all, 'brackets');
      near([now.lit], [all[index]], 'lit');
      for (const [band, at] of Object.entries(now.borders)) near([at], [all[band][1]], `border ${band}`);
      near(now.marked, would.places.flatMap(({ name }, k) => (would.lengths.bands.includes(name) ? [all[k]] : [])), 'marked');
    });
    const moved = await stands();
    assert.ok(Math.abs(moved.brackets[index][1] - was.brackets[index][1]) > 8, 'the border has gone some way');
    assert.notDeepEqual(moved.names, was.names);
    await page.keyboard.press('Escape');
    await page.mouse.up();
    assert.deepEqual(await stands(), { ...was, marked: [] }, 'given up, all of it stands as it was');
    assert.deepEqual(wrong, []);
    await context.close();
  }
});

/** The pixels of a canvas, in short. */
const pixels = (page, selector) => page.evaluate(async (selector) => {
  const canvas = document.querySelector(selector);
  const data = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height).data;
  const hash = await crypto.subtle.digest('SHA-256', data);
  return [...new Uint8Array(hash)].join(' ');
}, selector);

test('the pictured cloth goes with the finger: one picture at a time, the newest, and only that of the change is kept', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  await page.emulateMedia({ reducedMotion: 'no-preference' });
  const id = await piece(server, page);
  const before = await shown(page, id);
  await page.waitForSelector('.loom[data-shown]');
  const [asked, told, first] = [[], [], door()];
  let [most, going] = [0, 0];
  const length = (request) => JSON.parse(request.postData()).edit.rows;
  page.on('request', (request) => /\/preview\?/.test(request.url()) && told.push(length(request)));
  await page.route('**/preview/picture?*', async (route) => {
    asked.push(length(route.request()));
    most = Math.max(most, ++going);
    const answer = await route.fetch();
    // The first is there only after the finger has gone on.
    await first.opened;
    going -= 1;
    await route.fulfill({ response: answer });
  });
  await label(page, 'pools').click();
  const index = Number(await label(page, 'pools').getAttribute('data-band'));
  const [x, y] = await middle(page.locator(`[data-border="${index}"]`));
  const still = await pixels(page, '.cloth:not(.foreshown)');
  const words = /pools: (\d+) rows/;
  const said = async () => Number(words.exec(await page.textContent('.hand-words'))?.[1]);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x, y - 30);
  await eventually(() => assert.equal(asked.length, 1));
  // Far enough for a whole turn of its wefts in both its places.
  for (let k = 1; k <= 4; k += 1) {
    const before = await said();
    await page.mouse.move(x, y - 30 - 25 * k);
    // What would come of it is said before the finger goes on.
    await eventually(async () => assert.notEqual(await said(), before));
  }
  assert.equal(asked.length, 1, 'while one is drawn no other is asked for');
  first.open();
  await page.waitForSelector('.foreshown:not([hidden])');
  await eventually(async () => assert.deepEqual([asked.length, asked.at(-1), going], [2, told.at(-1), 0], 'the newest is pictured, and those that were overtaken are left out'));
  assert.equal(most, 1, 'one at a time');
  // The foot of the cloth and its sides are where they were.
  await eventually(async () => {
    const [lies, over] = await page.evaluate(() => ['.cloth:not(.foreshown)', '.foreshown'].map((one) => document.querySelector(one).getBoundingClientRect().toJSON()));
    for (const side of ['left', 'right', 'bottom']) assert.ok(Math.abs(lies[side] - over[side]) < 1.5, `${side}: ${lies[side]}, ${over[side]}`);
  });
  assert.equal(await pixels(page, '.cloth:not(.foreshown)'), still, 'the cloth that is there is beneath it');
  assert.equal((await shown(page, id)).head, before.head, 'nothing is saved');
  await page.keyboard.press('Escape');
  await page.mouse.up();
  assert.equal(await page.locator('.foreshown').isHidden(), true, 'given up, the cloth is as it was');

  // Let go: what was foreshown stays until the piece is pictured.
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x, y - 40, { steps: 3 });
  await page.waitForSelector('.foreshown:not([hidden])');
  await page.mouse.up();
  await heard(page, 'Made pools');
  await page.waitForFunction((head) => document.querySelector('.loom').dataset.shown !== head && document.querySelector('.foreshown').hidden, before.head);
  assert.notEqual(await pixels(page, '.cloth:not(.foreshown)'), still);
  assert.deepEqual(wrong, []);
  await page.unrouteAll({ behavior: 'ignoreErrors' });
  await context.close();
});

test('where little shall move, the cloth follows when the finger rests', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  await page.clock.install();
  await piece(server, page);
  await page.waitForSelector('.loom[data-shown]');
  const asked = [];
  page.on('request', (request) => request.url().includes('/preview/picture') && asked.push(request.url()));
  // What is asked of words and not answered yet: each answer that comes after the hand rests is another cloth.
  const unanswered = new Set();
  page.on('request', (request) => /\/preview(\?|$)/.test(request.url()) && unanswered.add(request));
  for (const done of ['requestfinished', 'requestfailed']) page.on(done, (request) => unanswered.delete(request));
  const [x, y] = await middle(page.locator('.border').last());
  await page.mouse.move(x, y);
  await page.mouse.down();
  // All of its way takes the hand less than a rest, however late the server answers on it.
  await page.clock.pauseAt(Date.now() + 60_000);
  for (let k = 1; k <= 6; k += 1) {
    await page.mouse.move(x, y - 8 * k);
    await page.clock.runFor(40);
  }
  // What would come of it is said; it takes the server's time, and none of the page's.
  await page.waitForSelector('.hand-words:not([hidden])');
  let still = 0;
  await eventually(async () => {
    await new Promise((later) => { setTimeout(later, 100); });
    still = unanswered.size === 0 ? still + 1 : 0;
    assert.ok(still > 3, 'all is answered');
  });
  assert.equal(asked.length, 0);
  await eventually(async () => {
    await page.clock.runFor(400);
    assert.equal(asked.length, 1);
  });
  await page.clock.resume();
  await page.waitForSelector('.foreshown:not([hidden])');
  assert.equal(asked.length, 1);
  await page.keyboard.press('Escape');
  await page.mouse.up();
  await context.close();
});

test('arrows on a border make the band taller by a turn of its wefts, and the focus stays', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page);
  await label(page, 'pools').click();
  const index = Number(await label(page, 'pools').getAttribute('data-band'));
  await page.locator('.loom-bands button').last().focus();
  await reach(page, `[data-border="${index}"]`);
  for (const [arrow, count] of [['ArrowUp', 8], ['ArrowUp', 10], ['ArrowDown', 8]]) {
    await page.keyboard.press(arrow);
    await heard(page, `Made pools ${count} rows in both places.`);
    await page.waitForFunction(([index, count]) => document.querySelector(`[data-border="${index}"]`)?.ariaValueNow === String(count), [index, count]);
    await page.waitForFunction((index) => document.activeElement?.dataset.border === String(index), index);
  }
  assert.equal(rows(await shown(page, id), 'pools'), 8);
  await context.close();
});

test('a key that is held on a border loses no press: those that come meanwhile are one change', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page);
  await label(page, 'pools').click();
  const index = Number(await label(page, 'pools').getAttribute('data-band'));
  const { turn } = (await shown(page, id)).parts.bands.find(({ name }) => name === 'pools');
  // The first edit is answered when all is pressed.
  let edits = 0;
  const first = door();
  await page.route('**/edit?*', async (route) => {
    edits += 1;
    await first.opened;
    await route.continue();
  });
  const came = (count) => page.waitForFunction(([index, count]) => document.querySelector(`[data-border="${index}"]`)?.ariaValueNow === String(count), [index, count]);
  await page.locator(`[data-border="${index}"]`).focus();
  for (let k = 0; k < 20; k += 1) await page.keyboard.press('ArrowUp');
  await eventually(() => assert.equal(edits, 1));
  first.open();
  await came(6 + 20 * turn);
  await eventually(async () => assert.equal(rows(await shown(page, id), 'pools'), 6 + 20 * turn));
  assert.equal(edits, 2, 'what was pressed meanwhile is one edit');
  assert.equal(await page.evaluate(() => document.activeElement.dataset.border), String(index));
  // Down as well, to the last turn of its wefts and no further.
  for (let k = 0; k < 30; k += 1) await page.keyboard.press('ArrowDown');
  await came(turn);
  await eventually(async () => assert.equal(rows(await shown(page, id), 'pools'), turn));
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a border is dragged by a finger', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(server, page, 'lichen-coaster');
  const handle = page.locator('.border').last();
  const name = (await handle.getAttribute('aria-label')).replace(/^Upper border of /, '').replace(/, \d+ of \d+$/, '');
  const before = await shown(page, id);
  const [x, y] = await middle(handle);
  const touch = await finger(page);
  await touch('touchStart', x, y);
  for (let k = 1; k <= 5; k += 1) await touch('touchMove', x, y - 8 * k);
  await page.waitForFunction(() => document.querySelector('.hand-words').textContent !== '');
  await touch('touchEnd');
  await heard(page, 'Made ');
  const now = await settled(page, id);
  assert.notEqual(now.head, before.head, name);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a band is carried to another place, by mouse and by a finger that rests on it first', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page);
  const names = async (page, id) => (await shown(page, id)).places.map(({ name }) => name);
  await page.setViewportSize({ width: 1440, height: 1300 });
  const [x, y] = await middle(labels(page, 'hem').last());
  const top = await page.evaluate(() => document.querySelector('.loom').getBoundingClientRect().top);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x, top + 40, { steps: 6 });
  await page.waitForFunction(() => document.querySelector('.hand-words').textContent.startsWith('move hem'));
  await page.mouse.up();
  await heard(page, 'Moved hem');
  assert.deepEqual((await names(page, id)).slice(-2), ['hem', 'hem']);
  assert.equal(await page.locator('.band-panel').isHidden(), true, 'what was carried is not pressed as well');
  assert.deepEqual(wrong, []);
  await context.close();

  const phone = await device(browser, server);
  const other = await piece(server, phone.page);
  const [fx, fy] = await middle(labels(phone.page, 'hem').last());
  const touch = await finger(phone.page);
  await touch('touchStart', fx, fy);
  await phone.page.waitForSelector('.loom-bands .held');
  for (let k = 1; k <= 8; k += 1) await touch('touchMove', fx, fy - 45 * k);
  await phone.page.waitForFunction(() => document.querySelector('.hand-words').textContent.startsWith('move hem'));
  await touch('touchEnd');
  await heard(phone.page, 'Moved hem');
  assert.notEqual((await names(phone.page, other))[0], 'hem');
  await phone.context.close();
});
