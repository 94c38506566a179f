// What belongs on a screen is on it: what is said of a step, the buttons that go with it, and what closes a sheet.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { SIZES, ask, device, go, heard, launch } from './browser.mjs';
import { start } from './server.mjs';
import { first, until, woven } from './weave.mjs';

const SIDEWAYS = [{ width: 844, height: 390 }, { width: 740, height: 360 }, { width: 667, height: 375 }];
const UPRIGHT = [SIZES.phone, { width: 390, height: 664 }, { width: 360, height: 640 }];

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

const settings = (page, kept) => page.evaluate((kept) => localStorage.setItem('fellmark.settings', JSON.stringify(kept)), kept);

/** A weaving that has come to the row before which a step is asked for. */
async function reached(page, example, what) {
  const { id: piece } = await ask(page, '/api/pieces', { example });
  const { id } = await ask(page, `/api/pieces/${piece}/weavings`, {});
  const { rows } = await ask(page, `/api/weavings/${id}`);
  const asked = rows.find(({ before }) => before.some((step) => !step.routine && step.do === what));
  assert.ok(asked, `${example} has a step ${what}`);
  if (asked.number > 1) await woven(page, id, first(asked.number - 1));
  await page.evaluate((id) => ['going', 'wound'].forEach((key) => sessionStorage.setItem(`fellmark.${key}.${id}`, '1')), id);
  await go(page, server, '#/');
  await go(page, server, `#/weave/${id}`);
  for (const step of asked.before.filter(({ routine, do: other }) => !routine && other !== 'join')) {
    if (step.do === what) return asked.number;
    await page.evaluate(() => document.querySelector('.next').click());
  }
  return asked.number;
}

/** What of a step can't be come to, and which of its buttons are not on the screen. Runs in the page. */
async function missing() {
  await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  const body = document.querySelector('.step');
  const wrong = [];
  const footer = document.querySelector('.along > footer').getBoundingClientRect();
  for (const button of document.querySelectorAll('.along > footer :is(button, a)')) {
    if (!button.checkVisibility()) continue;
    const { left, top, right, bottom } = button.getBoundingClientRect();
    if (left < -1 || top < 0 || right > innerWidth + 1 || bottom > innerHeight + 1) wrong.push(`“${button.textContent}” is not on the screen`);
  }
  for (const said of body.querySelectorAll('.do, .advice, .ways, .banner p')) {
    if (!said.checkVisibility()) continue;
    for (const block of ['start', 'end']) {
      said.scrollIntoView({ block, behavior: 'instant' });
      const range = document.createRange();
      range.selectNodeContents(said);
      const lines = [...range.getClientRects()].filter(({ width }) => width > 0);
      const line = block === 'start' ? lines[0] : lines.at(-1);
      const seen = document.elementFromPoint((line.left + line.right) / 2, (line.top + line.bottom) / 2);
      if (!seen || !(said.contains(seen) || seen.contains(said)) || line.bottom > footer.top + 1) wrong.push(`the ${block} of “${said.textContent}” is not seen`);
    }
  }
  body.scrollTop = 0;
  return wrong;
}

test('all that is said of a step can be read, and its buttons are on the screen', { timeout: 240_000 }, async () => {
  const { page, wrong, context } = await device(browser, server);
  const found = [];
  for (const [example, what] of [['tideline-mat', 'measure'], ['tideline-mat', 'room'], ['marsh-light-panel', 'measure']]) {
    for (const units of ['cm', 'inch']) {
      await settings(page, { print: 'large', units });
      await page.reload();
      await reached(page, example, what);
      for (const [print, hand] of [['usual', 'right'], ['large', 'right'], ['large', 'left']]) {
        for (const size of [...SIDEWAYS, ...UPRIGHT]) {
          await page.setViewportSize(size);
          await page.evaluate(([print, hand]) => {
            Object.assign(document.documentElement.dataset, { print, hand });
            window.dispatchEvent(new Event('resize'));
          }, [print, hand]);
          for (const one of await page.evaluate(missing)) found.push(`${example}, ${what}, ${size.width} x ${size.height}, ${print} print, ${hand} hand, ${units}: ${one}`);
        }
      }
      await page.setViewportSize(SIZES.phone);
    }
  }
  assert.deepEqual([...found, ...wrong], []);
  await context.close();
});

test('a step of the winding has its buttons on the screen, on a small phone in large print', async () => {
  const { page, wrong, context } = await device(browser, server);
  await settings(page, { print: 'large' });
  await page.setViewportSize({ width: 360, height: 640 });
  const { id: piece } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  const { id } = await ask(page, `/api/pieces/${piece}/weavings`, {});
  await page.evaluate((id) => sessionStorage.setItem(`fellmark.going.${id}`, '1'), id);
  await page.reload();
  await go(page, server, `#/weave/${id}`);
  const found = [];
  for (let k = 0; k < 8 && await page.getByRole('button', { name: 'The warp is wound' }).isVisible(); k += 1) {
    for (const one of await page.evaluate(missing)) found.push(`step ${k + 1}: ${one}`);
    await page.waitForTimeout(120);
    await page.click('.next');
  }
  assert.deepEqual([...found, ...wrong], []);
  await context.close();
});

test('what closes the settings is on the screen, whole', async () => {
  const { page, wrong, context } = await device(browser, server);
  const { id: piece } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  const { id } = await ask(page, `/api/pieces/${piece}/weavings`, {});
  await page.evaluate((id) => ['going', 'wound'].forEach((key) => sessionStorage.setItem(`fellmark.${key}.${id}`, '1')), id);
  await go(page, server, `#/weave/${id}`);
  await page.click('text=Settings');
  for (const print of ['usual', 'large']) {
    for (const size of [...UPRIGHT, ...SIDEWAYS]) {
      await page.setViewportSize(size);
      await page.evaluate((print) => Object.assign(document.documentElement.dataset, { print }), print);
      const inside = await page.evaluate(() => {
        const sheet = document.querySelector('.sheet').getBoundingClientRect();
        const done = document.querySelector('.sheet .needle').getBoundingClientRect();
        return done.top >= sheet.top && done.bottom <= Math.min(sheet.bottom, innerHeight) && done.height > 0;
      });
      assert.ok(inside, `${size.width} x ${size.height}, ${print} print`);
    }
  }
  assert.deepEqual(wrong, []);
  await context.close();
});

test('how long a tail is stands clear of its measure and of the row', async () => {
  const { page, wrong, context } = await device(browser, server);
  for (const example of ['marsh-light-panel', 'tideline-mat', 'kelp-headband']) {
    for (const hand of ['left', 'right']) {
      await settings(page, { print: 'large', units: 'inch', hand });
      await page.reload();
      await page.setViewportSize(SIZES.phone);
      await reached(page, example, 'begin');
      for (const size of [SIZES.phone, { width: 360, height: 640 }, { width: 844, height: 390 }, SIZES.tablet, SIZES.desktop]) {
        await page.setViewportSize(size);
        const over = await page.evaluate(async () => {
          await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
          const picture = document.querySelector('.edge-picture.begin');
          if (!picture?.checkVisibility() || !picture.querySelector('svg')) return [];
          const word = picture.querySelector('.word');
          const { left, right, top, bottom } = word.getBoundingClientRect();
          const air = (bottom - top) * 0.2;
          const { left: from, right: to } = picture.querySelector('svg').getBoundingClientRect();
          const wrong = left < from || right > to ? ['it is cut off'] : [];
          for (const other of picture.querySelectorAll('.ruled, .strand, .rows-below, .tag rect, .needle-shape')) {
            const box = other.getBoundingClientRect();
            const half = parseFloat(other.getAttribute('stroke-width') ?? '0') / 2;
            // A yarn that bends down has its tail to the outside: only where it is drawn does it count.
            const points = other instanceof SVGPathElement && other.getTotalLength() > 0
              ? Array.from({ length: 200 }, (_, k) => other.getPointAtLength((other.getTotalLength() * k) / 199)).map(({ x, y }) => [x + from, y + picture.querySelector('svg').getBoundingClientRect().top])
              : [[box.left, box.top], [box.right, box.bottom], [(box.left + box.right) / 2, (box.top + box.bottom) / 2]];
            if (points.some(([x, y]) => x > left - half && x < right + half && y > top + air - half && y < bottom - air + half)) wrong.push(`it lies on ${other.getAttribute('class')}`);
          }
          return wrong.map((one) => `“${word.textContent}”: ${one}`);
        });
        assert.deepEqual(over, [], `${example}, ${hand} hand, ${size.width} x ${size.height}`);
      }
    }
  }
  assert.deepEqual(wrong, []);
  await context.close();
});

test('Undo stays where it is whatever is said beside it, and the names of the bands are seen whole in true size', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  await go(page, server, `#/piece/${id}`);
  const place = () => page.evaluate(() => {
    const [undo, all] = ['[data-key=undo]', '.done'].map((one) => document.querySelector(one).getBoundingClientRect());
    return [undo.left, undo.top - all.top].map(Math.round);
  });
  const stood = await place();
  await page.getByText('in true size').click();
  await page.waitForTimeout(300);
  const cut = await page.evaluate(() => {
    const room = document.querySelector('.loom-room');
    return [...document.querySelectorAll('.loom-bands li:not(.unnamed)')].filter((one) => one.getBoundingClientRect().right > room.getBoundingClientRect().right).map(({ textContent }) => textContent);
  });
  assert.deepEqual(cut, []);
  await page.getByText('changes this row').click();
  await page.focus('.loom-picture');
  await page.keyboard.press('Space');
  await heard(page, 'in row');
  await page.waitForSelector('[data-key=undo]:enabled');
  assert.deepEqual(await place(), stood);
  await page.click('[data-key=undo]');
  await page.waitForSelector('[data-key=undo]:disabled');
  assert.deepEqual(await place(), stood);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('where crossings can’t be touched it is said where they can', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  await go(page, server, `#/piece/${id}`);
  const [choice, said] = [page.getByRole('group', { name: 'A finger on the cloth' }), page.getByText('A finger changes crossings on the front, drawn as cloth.')];
  assert.deepEqual([await choice.isVisible(), await said.count()], [true, 0]);
  for (const [away, again] of [['lines', 'cloth'], ['the back', 'the front']]) {
    await page.locator('.views').getByText(away, { exact: true }).click();
    await said.waitFor();
    assert.equal(await choice.count(), 0, away);
    await page.locator('.views').getByText(again, { exact: true }).click();
    await choice.waitFor();
    assert.equal(await said.count(), 0, again);
  }
  assert.deepEqual(wrong, []);
  await context.close();
});

test('on a phone on its side a row in which yarn is joined has its strip too', async () => {
  const { page, wrong, context } = await device(browser, server);
  await page.setViewportSize(SIDEWAYS[0]);
  const { id: piece } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  const { id } = await ask(page, `/api/pieces/${piece}/weavings`, {});
  const { number } = (await ask(page, `/api/weavings/${id}`)).rows.find(({ before }) => before.some((step) => step.do === 'join'));
  await woven(page, id, first(number - 1));
  await page.evaluate((id) => ['going', 'wound'].forEach((key) => sessionStorage.setItem(`fellmark.${key}.${id}`, '1')), id);
  await go(page, server, `#/weave/${id}`);
  await until(page, `Row ${number} of`);
  assert.ok(await page.locator('.within').isVisible());
  assert.ok(await page.locator('.strip svg').isVisible());
  assert.deepEqual(await page.evaluate(missing), []);
  assert.deepEqual(wrong, []);
  await context.close();
});
