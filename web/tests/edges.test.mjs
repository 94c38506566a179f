// What a hand does, before the weaver's eyes: the pictures of what is done at an edge, the size of a row's words, and taps.
import { test } from 'node:test';
import assert from 'node:assert/strict';
import { accessible, ask, device, go, printed } from './browser.mjs';
import { at, browser, isDone, server, weaving } from './on-the-mat.mjs';
import * as weave from './weave.mjs';

const { first, next, reached, said, until, woven } = weave;

/** What there is in the picture of a step and where: its yarns by their colours, as they are laid on one another. */
const edge = (page) => page.evaluate(() => {
  const picture = document.querySelector('.edge-picture');
  const box = (one) => (({ left, right, top, bottom }) => ({ left, right, top, bottom }))(one.getBoundingClientRect());
  const all = [...picture.querySelectorAll('svg > *')];
  return {
    side: picture.className.match(/at-(left|right)/)[1], wide: box(picture), words: [...picture.querySelectorAll('.word')].map((one) => one.textContent),
    tags: [...picture.querySelectorAll('.tag')].map((one) => ({ words: [...one.querySelectorAll('text')].map((line) => line.textContent).join(' ').replaceAll('- ', '-').replaceAll('  ', ' '), colour: one.style.getPropertyValue('--yarn'), letters: one.dataset.letters, size: Number(one.querySelector('text').getAttribute('font-size')), ...box(one) })),
    strands: all.filter((one) => one.classList.contains('strand')).map((one) => one.style.getPropertyValue('--yarn')),
    over: all.findIndex((one) => one.classList.contains('strand-gap')) < 0 ? null : all.slice(all.findIndex((one) => one.classList.contains('strand-gap'))).find((one) => one.classList.contains('strand')).style.getPropertyValue('--yarn'),
    post: picture.querySelector('.post') && box(picture.querySelector('.post')), warp: box(picture.querySelector('.warp:not(.beyond)')), needle: picture.querySelector('.needle-shape') && box(picture.querySelector('.needle-shape')),
  };
});

test('every crossing of every example is pictured as the server says it lies, and what it says agrees with the rows', { timeout: 300_000 }, async () => {
  const { page, wrong, context } = await device(browser, server);
  const { examples } = await ask(page, '/api/pieces');
  const seen = new Set();
  for (const { name } of examples) {
    const { id } = await ask(page, '/api/pieces', { example: name });
    const begin = async () => (await ask(page, `/api/pieces/${id}/weavings`, {})).id;
    const { rows, wefts } = await ask(page, `/api/weavings/${await begin()}`);
    for (const row of rows.toReversed()) for (const step of row.before.filter((one) => one.do === 'cross')) {
      const pass = (number) => ({ o: 'over', u: 'under' }[rows[number - 1].crossings[step.end - 1]]);
      // A loose turn lies on one face of the edge end both times, and the other yarn on the other; whichever lies under it
      // comes over the other. (Common practice, no source; needle by needle it is the linking of two loops.)
      assert.deepEqual([pass(step.since_row), pass(row.number), pass(step.other_row)], [step.lies, step.lies, step.other_lies], `${name}, row ${row.number}`);
      assert.notEqual(step.lies, step.other_lies);
      assert.equal(step.pass, step.lies === 'under' ? 'over' : 'under', `${name}, row ${row.number}`);
      assert.ok(step.since_row < row.number && rows[step.since_row - 1].weft === step.weft && rows[step.other_row - 1].weft === step.other);
      assert.ok(rows.slice(step.since_row, row.number - 1).every(({ weft }) => weft !== step.weft), 'it was its last row');
      const goes = step.grip === 'yarn' ? (rows[step.other_row - 1].from !== step.side && rows.slice(step.other_row, row.number - 1).every(({ weft }) => weft !== step.other) ? 'waits' : 'turns') : 'ends';
      assert.equal(step.other_goes, goes, `${name}, row ${row.number}`);
      const shape = [step.side, step.pass, step.grip, step.other_goes, step.weft, step.other].join(' ');
      if (seen.has(shape)) continue;
      seen.add(shape);
      const mine = await begin();
      await woven(page, mine, first(row.number - 1));
      await page.evaluate((id) => sessionStorage.setItem(`fellmark.going.${id}`, '1'), mine);
      await go(page, server, `#/weave/${mine}`);
      await until(page, `Before row ${row.number}: cross`);
      const drawn = await edge(page);
      const yarn = (weft) => wefts.find((one) => one.name === weft);
      assert.equal(drawn.side, step.side);
      // The one in the hand is named first, at its needle; the other by what of it is there. Both in their colours.
      assert.deepEqual(drawn.tags.map(({ words, colour, letters }) => ({ words, colour, letters })),
        [[step.weft, step.weft], [step.other_words, step.other]].map(([words, weft]) => ({ words, colour: yarn(weft).colour, letters: yarn(weft).letters })), shape);
      assert.ok(drawn.tags.every(({ size, left, right }) => size >= 16 && left >= drawn.wide.left - 1 && right <= drawn.wide.right + 1), shape);
      assert.deepEqual(drawn.words, [step.pass]);
      assert.equal(drawn.over, yarn(step.pass === 'under' ? step.other : step.weft).colour, `${shape}: the one that passes over lies uppermost`);
      // The side of the frame is at its side, the ends at the other, and the needle points at them.
      const middle = (box) => (box.left + box.right) / 2;
      const inward = step.side === 'left' ? 1 : -1;
      assert.ok((middle(drawn.warp) - middle(drawn.post)) * inward > 50 && (middle(drawn.needle) - middle(drawn.tags[0])) * inward > 10, shape);
    }
  }
  // Both sides, over and under, yarn and both kinds of tail.
  for (const one of ['left', 'right', 'over', 'under', 'yarn', 'starting_tail', 'ending_tail']) assert.ok([...seen].some((shape) => shape.split(' ').includes(one)), `${one}: ${[...seen].join('; ')}`);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a yarn that begins or is cut shows its tail, one that is carried goes up past the rows that it passes', async () => {
  const { page, wrong, context } = await device(browser, server);
  const { id } = await ask(page, '/api/pieces', { example: 'kelp-headband' });
  const { id: mine } = await ask(page, `/api/pieces/${id}/weavings`, {});
  const { rows, wefts } = await ask(page, `/api/weavings/${mine}`);
  const colour = (weft) => wefts.find(({ name }) => name === weft).colour;
  const begin = rows[0].before.find((step) => step.do === 'begin');
  await weave.at(page, server, mine);
  await until(page, 'Before row 1: begin');
  const begun = await edge(page);
  assert.deepEqual([begun.side, begun.words, begun.tags.map(({ words }) => words), begun.strands], [begin.side, [printed(begin.tail_words)], [begin.weft], [colour(begin.weft)]]);
  assert.ok(begun.needle, 'its needle goes in');
  const row = rows.find(({ before }) => before.some((step) => step.do === 'carry' && !step.routine));
  const carry = row.before.find((step) => step.do === 'carry');
  await woven(page, mine, first(row.number - 1));
  await go(page, server, '#/');
  await page.evaluate((id) => sessionStorage.setItem(`fellmark.going.${id}`, '1'), mine);
  await weave.at(page, server, mine);
  await until(page, `Before row ${row.number}: take up`);
  const carried = await edge(page);
  const past = rows.slice(carry.since_row, row.number - 1);
  assert.equal(past.length, carry.past_rows);
  assert.equal(carried.side, carry.side);
  assert.deepEqual(carried.strands, [...past.map(({ weft }) => colour(weft)), colour(carry.weft)]);
  await accessible(page, 'a weft that is carried');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('the words of a row keep about the size that its band has, begin where they began, and take the room there is', async () => {
  const { page, wrong, context } = await device(browser, server);
  await woven(page, weaving, first(4));
  await page.evaluate((id) => sessionStorage.setItem(`fellmark.going.${id}`, '1'), weaving);
  await at(page);
  const found = [];
  for (let row = 5; row <= 12; row += 1) {
    await until(page, `Row ${row} of`);
    found.push(await page.evaluate(() => {
      const [words, room] = ['.runs', '.step'].map((one) => document.querySelector(one));
      return { size: Number.parseFloat(words.style.fontSize), top: words.getBoundingClientRect().top, lines: words.querySelectorAll('.run').length, scrolls: room.scrollHeight > room.clientHeight, strip: document.querySelector('.strip').checkVisibility() };
    }));
    await next(page);
    await page.waitForFunction((row) => !document.querySelector('#row-said').textContent.startsWith(`Row ${row} of`), row);
  }
  const sizes = found.map(({ size }) => size);
  assert.equal(new Set(found.map(({ top }) => Math.round(top))).size, 1, 'they begin at one height, whatever was done before');
  assert.ok(Math.max(...sizes) <= Math.min(...sizes) * 1.31, `they keep their size: ${sizes}`);
  // Read at arm's length, and larger: a row of six runs at 50 px and more on a phone, one of two at 70 (chosen by eye).
  assert.ok(found.every(({ size, lines }) => size >= (lines > 4 ? 50 : 70)), JSON.stringify(found));
  assert.ok(found.some(({ lines }) => lines === 6) && found.some(({ lines }) => lines === 2));
  assert.ok(found.every(({ scrolls, strip }) => !scrolls && strip), JSON.stringify(found));
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a tap that bounces ticks one row; quick taps, taps elsewhere and keys are each heeded', async () => {
  const { page, wrong, context } = await device(browser, server);
  await at(page);
  await next(page);
  await reached(page, 'Row 1 of');
  /** A tap at a moment and a place of its own, on a button; as a key presses it where it has no place. */
  const tap = (at, { x = 200, detail = 1, on = '.next' } = {}) => page.evaluate(([at, x, detail, on]) => {
    const event = new MouseEvent('click', { bubbles: true, cancelable: true, detail, clientX: x, clientY: 730 });
    Object.defineProperty(event, 'timeStamp', { value: at });
    document.querySelector(on).dispatchEvent(event);
  }, [at, x, detail, on]);
  const start = await page.evaluate(() => performance.now()) + 1000;
  await tap(start);
  await reached(page, 'Row 2 of');
  // The answer is there; what comes so soon is the same finger, however often it bounces.
  for (const later of [15, 60, 155]) await tap(start + later);
  await page.waitForTimeout(150);
  assert.match(await said(page), /^Row 2 of/);
  await isDone(1);
  // A seventh of a second after that is another tap; so is one elsewhere on the button, and a key's press.
  await tap(start + 300);
  await reached(page, 'Row 3 of');
  await tap(start + 310, { x: 290 });
  await reached(page, 'Row 4 of');
  await tap(start + 320, { detail: 0 });
  await reached(page, 'Row 5 of');
  await isDone(1, 2, 3, 4);
  // It goes back as it goes on.
  const back = (later) => page.evaluate((at) => {
    const event = new MouseEvent('click', { bubbles: true, detail: 1, clientX: 20, clientY: 800 });
    Object.defineProperty(event, 'timeStamp', { value: at });
    [...document.querySelectorAll('footer .plain')].find((one) => one.textContent === 'Back').dispatchEvent(event);
  }, start + later);
  await back(500);
  await reached(page, 'Row 4 of');
  await back(540);
  await page.waitForTimeout(150);
  assert.match(await said(page), /^Row 4 of/);
  await isDone(1, 2, 3);
  assert.deepEqual(wrong, []);
  await context.close();
});
