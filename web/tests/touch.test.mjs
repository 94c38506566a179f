// The cloth is the interface: crossings are changed on it by a finger, a pointer, or the keys alone.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { accessible, ask, device, door, eventually, go, heard, launch } from './browser.mjs';
import { start } from './server.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

/** A mat on its loom, in a page, with all its picture there. */
async function mat(size) {
  const opened = await device(browser, server, { size });
  const { id } = await ask(opened.page, '/api/pieces', { example: 'tideline-mat' });
  // A piece that no other test has changed.
  const { text } = await ask(opened.page, `/api/pieces/${id}`);
  const own = await ask(opened.page, '/api/pieces', { text: `# ${size} ${Math.random()}\n${text}` });
  await go(opened.page, server, `#/piece/${own.id}`);
  await pictured(opened.page, '');
  return { ...opened, id: own.id };
}

/** Waits until the picture is that of another revision than `rev`. */
async function pictured(page, rev) {
  // On a machine that does much else a picture may take its time.
  await page.waitForFunction((rev) => (document.querySelector('.loom')?.dataset.shown ?? rev) !== rev, rev, { timeout: 150_000 });
}

/** Where the middle of a crossing lies on the page, which is scrolled so that it is seen. */
async function spot(page, id, row, end) {
  await page.locator('.loom-picture').scrollIntoViewIfNeeded();
  const [{ lies }, map] = [await ask(page, `/api/pieces/${id}`), await ask(page, `/api/pieces/${id}/map`)];
  const height = map.ends[end - 1].lies.find(([number]) => number === row)[1] / 100;
  return page.evaluate(([side, end, height]) => {
    const at = () => {
      const canvas = document.querySelector('canvas.cloth').getBoundingClientRect();
      const scale = canvas.width / side.width;
      return { x: canvas.left + (side.first_end + (end - 1) * side.end_to_end) * scale, y: canvas.top + (side.foot - height * side.up) * scale };
    };
    const room = document.querySelector('.loom-room.scrolls');
    if (room) {
      const { left, top, width, height: tall } = room.getBoundingClientRect();
      const { x, y } = at();
      room.scrollBy({ left: x - left - width / 2, top: y - top - tall / 2, behavior: 'instant' });
      window.scrollBy({ top: at().y - innerHeight / 3, behavior: 'instant' });
    }
    return at();
  }, [lies.front, end, height]);
}

const touched = async (page, id) => (await ask(page, `/api/pieces/${id}`)).text.match(/\[band\.rising-tide\][^[]*(?:touched = \[([^\]]*)\])?/)[1] ?? '';
const line = (page) => page.textContent('.spot');
const crossing = async (page, id, row, end) => (await ask(page, `/api/pieces/${id}/map`)).rows[row - 1].crossings[end - 1];

test('a stroke of the pointer changes crossings in one revision, and is seen while it is made', async () => {
  const { page, id, wrong, context } = await mat('desktop');
  await page.getByText('closer', { exact: true }).click();
  const before = await page.getAttribute('.loom', 'data-shown');
  await page.getByText('changes this row', { exact: true }).click();
  const { rows } = await ask(page, `/api/pieces/${id}/map`);
  // Three neighbours of one row that pass over.
  const row = rows.findIndex(({ band, crossings }) => band === 'rising-tide' && crossings.includes('ooo')) + 1;
  const first = rows[row - 1].crossings.indexOf('ooo') + 1;
  const [a, c] = [await spot(page, id, row, first), await spot(page, id, row, first + 2)];
  await page.mouse.move(a.x, a.y);
  await page.mouse.down();
  await page.mouse.move(c.x, c.y, { steps: 6 });
  // The next frame has it, before anything is asked of the server.
  await page.evaluate(() => new Promise(requestAnimationFrame));
  assert.equal(await page.locator('.painted').count(), 3);
  assert.equal(await page.getAttribute('.loom', 'data-shown'), before);
  await page.mouse.up();
  await pictured(page, before);
  assert.equal(await page.locator('.painted').count(), 0, 'the picture shows it now');
  await heard(page, `Went under ends ${first} to ${first + 2} in row ${rows[row - 1].band_row} of rising-tide.`);
  const now = (await ask(page, `/api/pieces/${id}/map`)).rows[row - 1].crossings;
  assert.equal(now.slice(first - 1, first + 2), 'uuu');
  // One gesture, one revision.
  await page.click('text=Undo');
  await page.waitForFunction((before) => document.querySelector('.loom').dataset.shown === before, before);
  assert.equal((await ask(page, `/api/pieces/${id}/map`)).rows[row - 1].crossings, rows[row - 1].crossings);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a stroke keeps to the row it began in, however it goes; up and down a finger scrolls', async () => {
  const { page, id, wrong, context } = await mat('desktop');
  await page.getByText('changes this row', { exact: true }).click();
  const { rows } = await ask(page, `/api/pieces/${id}/map`);
  const row = rows.findIndex(({ band, crossings }) => band === 'rising-tide' && crossings[4] === 'o') + 1;
  const before = await page.getAttribute('.loom', 'data-shown');
  const [a, c] = [await spot(page, id, row, 5), await spot(page, id, row, 12)];
  await page.mouse.move(a.x, a.y);
  await page.mouse.down();
  // A hand isn't level: ten rows up, and back below.
  await page.mouse.move((a.x + c.x) / 2, a.y - 40, { steps: 5 });
  await page.mouse.move(c.x, c.y + 20, { steps: 5 });
  await page.mouse.up();
  await pictured(page, before);
  await heard(page, `Went under ends 5 to 12 in row ${rows[row - 1].band_row} of rising-tide.`);
  const now = (await ask(page, `/api/pieces/${id}/map`)).rows.map(({ crossings }) => crossings);
  const other = now.flatMap((crossings, k) => (crossings === rows[k].crossings ? [] : [k + 1]));
  assert.deepEqual(other, [row]);
  assert.equal(await page.evaluate(() => getComputedStyle(document.querySelector('.to-touch')).touchAction), 'pan-y');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('where rows are finer than a finger the first touch comes nearer, and the next one changes the row that is meant', async () => {
  const { page, id, wrong, context } = await mat('phone');
  const { rows } = await ask(page, `/api/pieces/${id}/map`);
  const row = rows.findIndex(({ band, crossings }) => band === 'rising-tide' && crossings[9] === 'o') + 31;
  const end = rows[row - 1].crossings.indexOf('o', 6) + 1;
  await page.getByText('changes this row', { exact: true }).tap();
  const { head } = await ask(page, `/api/pieces/${id}`);
  const a = await spot(page, id, row, end);
  await page.touchscreen.tap(a.x, a.y);
  await heard(page, 'Touch the crossing again.');
  assert.equal((await ask(page, `/api/pieces/${id}`)).head, head, 'nothing is changed by a touch that can’t be aimed');
  assert.ok(await page.getByLabel('row by row').isChecked());
  // Rows are as tall as a finger needs, and what it was on is still there.
  const [{ lies }, map] = [await ask(page, `/api/pieces/${id}`), await ask(page, `/api/pieces/${id}/map`)];
  const column = map.ends[end - 1].lies;
  const k = column.findIndex(([number]) => number === row);
  const [b, above, below] = await page.evaluate(([side, end, heights]) => {
    const canvas = document.querySelector('canvas.cloth').getBoundingClientRect();
    const scale = canvas.width / side.width;
    return heights.map((height) => ({ x: canvas.left + (side.first_end + (end - 1) * side.end_to_end) * scale, y: canvas.top + (side.foot - (height / 100) * side.up) * scale }));
  }, [lies.front, end, [k, k + 1, k - 1].map((at) => column[at][1])]);
  assert.ok((below.y - above.y) / 2 > 18, `${(below.y - above.y) / 2} pixels from row to row`);
  assert.ok(Math.abs(b.x - a.x) < 44 && Math.abs(b.y - a.y) < 44, `it was at ${a.x}, ${a.y} and is at ${b.x}, ${b.y}`);
  await page.touchscreen.tap(b.x, b.y);
  await heard(page, `Went under end ${end} in row ${rows[row - 1].band_row} of rising-tide.`);
  const other = (await ask(page, `/api/pieces/${id}/map`)).rows.flatMap(({ crossings }, k) => (crossings === rows[k].crossings ? [] : [k + 1]));
  assert.deepEqual(other, [row]);
  await page.getByRole('button', { name: 'Undo' }).tap();
  await page.waitForFunction(([id, head]) => fetch(`/api/pieces/${id}`).then((answer) => answer.json()).then((now) => now.head === head), [id, head]);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a finger that only looks changes nothing; one that changes every repeat does', async () => {
  const { page, id, context } = await mat('phone');
  const { rows } = await ask(page, `/api/pieces/${id}/map`);
  const row = rows.findIndex(({ band, every }) => band === 'rising-tide' && every) + 11;
  const { every, from } = rows[row - 1];
  const end = rows[row - 1].crossings.indexOf('o') + 1;
  let at = await spot(page, id, row, end);
  await page.touchscreen.tap(at.x, at.y);
  await heard(page, `Row ${row}, end ${end}: ${rows[row - 1].weft} goes over.`);
  assert.equal(await crossing(page, id, row, end), 'o');
  await page.getByText('changes it in every repeat').tap();
  await page.getByText('row by row', { exact: true }).tap();
  at = await spot(page, id, row, end);
  await page.touchscreen.tap(at.x, at.y);
  await heard(page, `Went under end ${end} `);
  assert.match((await ask(page, `/api/pieces/${id}`)).text, new RegExp(`"every ${every} rows from ${from}: under ${end}"`));
  assert.equal(await crossing(page, id, row, end), 'u');
  // Touched back to what the weave says, the line is gone.
  at = await spot(page, id, row, end);
  await page.touchscreen.tap(at.x, at.y);
  await eventually(async () => assert.equal(await touched(page, id), ''));
  await context.close();
});

test('by the keys alone: one stop on the cloth, a cursor of row and end, and a line that says what is there', async () => {
  const { page, id, wrong, context } = await mat('desktop');
  const { rows } = await ask(page, `/api/pieces/${id}/map`);
  for (let presses = 0; presses < 60 && !(await page.evaluate(() => document.activeElement.classList.contains('loom-picture'))); presses += 1) {
    await page.keyboard.press('Tab');
  }
  await heard(page, 'Row 1, end 1: ');
  await page.keyboard.press('PageUp');
  await page.keyboard.press('ArrowUp');
  await page.keyboard.press('Shift+ArrowRight');
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('ArrowLeft');
  const { band_row: bandRow, band, weft, crossings } = rows[11];
  const over = crossings[5] === 'o';
  assert.equal(await line(page), `Row 12, end 6: ${weft} goes ${over ? 'over' : 'under'}. Row ${bandRow} of ${band}.`);
  assert.equal(await page.locator('.cursor').count(), 1);
  const before = await page.getAttribute('.loom', 'data-shown');
  // Who only looks changes nothing, with no key.
  await page.keyboard.press('Space');
  await page.keyboard.press('Enter');
  await page.waitForTimeout(300);
  assert.equal(await crossing(page, id, 12, 6), over ? 'o' : 'u');
  await page.getByText('changes this row', { exact: true }).click();
  await page.locator('.loom-picture').focus();
  await page.keyboard.press('Space');
  await pictured(page, before);
  await heard(page, `Row 12, end 6: ${weft} goes ${over ? 'under' : 'over'}.`);
  assert.ok(await page.evaluate(() => document.activeElement.classList.contains('loom-picture')), 'the focus stays');
  // The next Tab leaves the cloth.
  await page.keyboard.press('Tab');
  assert.ok(await page.evaluate(() => !document.activeElement.classList.contains('loom-picture')));
  await accessible(page, 'the cloth with a cursor');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('what was touched is undone after the program was stopped and started again', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'fellmark-page-'));
  try {
    let own = await start({ data: folder, keep: true });
    let { page, context } = await device(browser, own, { size: 'desktop' });
    const { id } = await ask(page, '/api/pieces', { example: 'lichen-coaster' });
    const was = await ask(page, `/api/pieces/${id}`);
    await go(page, own, `#/piece/${id}`);
    await pictured(page, '');
    await page.getByText('changes this row', { exact: true }).click();
    await page.locator('.loom-picture').focus();
    await page.keyboard.press('ArrowUp');
    await page.keyboard.press('Space');
    await pictured(page, was.head);
    await context.close();
    await own.stop();

    own = await start({ data: folder, keep: true });
    ({ page, context } = await device(browser, own, { size: 'desktop' }));
    await go(page, own, `#/piece/${id}`);
    await page.click('text=Undo');
    await page.waitForFunction((head) => document.querySelector('.loom').dataset.shown === head, was.head);
    assert.equal((await ask(page, `/api/pieces/${id}`)).text, was.text);
    await context.close();
    await own.stop();
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});

test('who comes to the cloth by key is told of its keys; what was said goes when one leaves, and is said once', async () => {
  const { page, id, wrong, context } = await mat('desktop');
  const told = () => page.evaluate(() => document.getElementById(document.querySelector('.loom-picture').getAttribute('aria-describedby')).textContent);
  assert.match(await told(), /^The arrow keys go from crossing to crossing/);
  assert.doesNotMatch(await told(), /changes/);
  assert.equal(await page.locator('.cloth-keys').isVisible(), false);
  await page.getByText('changes this row', { exact: true }).click();
  assert.match(await told(), /Space changes it/);
  // From what stands before it, to it.
  await page.keyboard.press('Shift+Tab');
  for (let k = 0; k < 40 && !await page.evaluate(() => document.activeElement.matches('.loom-picture')); k += 1) await page.keyboard.press('Shift+Tab');
  assert.ok(await page.locator('.cloth-keys').isVisible());
  await page.keyboard.press('ArrowUp');
  const words = await line(page);
  assert.match(words, /^Row \d+, end \d+/);
  await page.evaluate(() => {
    globalThis.said = 0;
    new MutationObserver(() => {
      globalThis.said += 1;
    }).observe(document.querySelector('.spot'), { childList: true, characterData: true, subtree: true });
  });
  const before = await page.getAttribute('.loom', 'data-shown');
  const { head } = await ask(page, `/api/pieces/${id}`);
  await ask(page, `/api/pieces/${id}/edit`, { base: head, edit: { edit: 'name', name: 'Told once' } });
  await pictured(page, before);
  assert.deepEqual([await page.evaluate(() => globalThis.said), await line(page)], [0, words]);
  await page.keyboard.press('Tab');
  assert.equal(await line(page), '');
  await accessible(page, 'the keys of the cloth');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a picture that is on its way is asked for once, however often the piece is laid out meanwhile', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  const { open, opened } = door();
  const asked = [];
  await page.route('**/picture?*', async (route) => {
    asked.push(route.request().url());
    await opened;
    await route.continue();
  });
  await go(page, server, `#/piece/${id}`);
  await eventually(() => assert.equal(asked.length, 1));
  for (const words of ['changes this row', 'looks']) {
    await page.getByText(words, { exact: true }).click();
    await page.waitForTimeout(150);
  }
  assert.equal(new Set(asked).size, asked.length, 'each picture once');
  open();
  await pictured(page, '');
  await context.close();
});

test('a picture whose answer is lost on its way is asked for again', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  let lost = 0;
  await page.route('**/picture?*', async (route) => {
    lost += 1;
    await (lost === 1 ? route.abort() : route.continue());
  });
  await go(page, server, `#/piece/${id}`);
  await pictured(page, '');
  assert.ok(lost > 1);
  await context.close();
});
