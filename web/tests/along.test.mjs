// Weaving along: steps and rows in order, by tap and by key; two devices follow each other.
import { test } from 'node:test';
import assert from 'node:assert/strict';
import { accessible, ask, device, door, eventually, go, heard, printed } from './browser.mjs';
import { at, browser, done, helper, isDone, server, weaving } from './on-the-mat.mjs';
import * as weave from './weave.mjs';

const { first, next, reached, said, until, woven } = weave;

test('a weaving begins at the empty frame: the warp is wound step by step, or was wound long ago', async () => {
  const { page, wrong, context } = await device(browser, server);
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-bookmark' });
  const { id: mine } = await ask(page, `/api/pieces/${id}/weavings`, {});
  const { winding, rows } = await ask(page, `/api/weavings/${mine}`);
  const told = ({ words, more }) => [`Before row 1: ${words}.`, ...more].join(' ');
  const before = rows[0].before.filter(({ routine }) => !routine);
  assert.deepEqual(before.map((step) => step.do), ['header', 'beat', 'begin']);
  await go(page, server, `#/weave/${mine}`);
  for (const [k, step] of winding.entries()) {
    assert.equal(await said(page), told(step));
    assert.deepEqual(await page.locator('.advice').allTextContents(), step.more.map(printed));
    assert.deepEqual(await page.locator('.banner').allTextContents(), step.yarn ? [step.yarn] : [], 'no needle has anything to do with it');
    assert.equal(await page.textContent('.band'), 'The warp');
    if (k > 0) await page.locator('.wound svg .yarn').first().waitFor({ state: 'attached' });
    await accessible(page, `winding, step ${k + 1}`);
    await next(page);
  }
  // The header is woven with no needle of the piece either, and is in no band.
  assert.equal(await said(page), `Before row 1: ${before[0].words}.`);
  assert.equal(await page.locator('.banner').count(), 0);
  assert.equal(await page.textContent('.band'), 'The header');
  await page.tap('text=Back');
  await reached(page, told(winding.at(-1)));
  await next(page);
  await reached(page, `Before row 1: ${before[0].words}.`);
  assert.deepEqual((await ask(page, `/api/weavings/${mine}`)).done, [], 'nothing is ticked by it');
  // Opened again it does not begin at the empty frame.
  await page.reload();
  await reached(page, `Before row 1: ${before[0].words}.`);
  for (const { words } of before.slice(1)) {
    await next(page);
    await reached(page, `Before row 1: ${words}.`);
  }
  await next(page);
  await reached(page, 'Row 1 of');
  assert.ok(!(await page.textContent('.done-before')).includes(winding[0].words));

  // A loom that is warped already: one tap, or key.
  const other = await device(browser, server, { size: 'desktop' });
  await go(other.page, server, `#/weave/${weaving}`);
  assert.equal(await said(other.page), told((await ask(other.page, `/api/weavings/${weaving}`)).winding[0]));
  await other.page.getByRole('button', { name: 'The warp is wound' }).focus();
  await other.page.keyboard.press('Enter');
  await reached(other.page, 'Before row 1: begin ');
  assert.equal(await other.page.evaluate(() => document.activeElement.className), 'needle next');
  assert.deepEqual([...wrong, ...other.wrong], []);
  await other.context.close();
  await context.close();
});

test('a crossing is a step of its own before its row, and both are said', async () => {
  const { page, wrong, context } = await device(browser, server);
  await at(page);
  await until(page, 'Before row 7');
  assert.equal(await said(page), 'Before row 7: cross at the left: take slate under foam.');
  assert.equal(await page.textContent('.do'), 'Cross at the left: take slate under foam');
  await isDone(1, 2, 3, 4, 5, 6);
  await next(page);
  await reached(page, 'Row 7 of');
  assert.equal(await said(page), 'Row 7 of 130. slate from the left: over 1, under 1, over 3, under 3, then over 5, under 3 twice.');
  assert.match(await page.textContent('.done-before'), /cross at the left/);
  // The runs as a list, in groups, in the direction of travel; and the strip with its arrow runs the same way.
  assert.deepEqual(await page.locator('.run').allTextContents(), ['over 1', 'under 1', 'over 3', 'under 3', 'over 5', 'under 3']);
  assert.equal(await page.textContent('.times'), 'twice');
  assert.equal(await page.locator('.banner.from-left').count(), 1);
  assert.equal(await page.locator('.strip.from-left').count(), 1);
  assert.deepEqual(await page.locator('.strip text').allTextContents(), ['1', '1', '3', '3', '5', '3', '5', '3']);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('now and then the width is measured, as a step of its own that is no row, with what to do where it is off', async () => {
  const { page, wrong, context } = await device(browser, server);
  await page.addInitScript(() => {
    const heard = [];
    Object.defineProperty(globalThis, 'heard', { value: heard });
    Object.defineProperty(globalThis, 'SpeechSynthesisUtterance', { value: class { constructor(words) { this.words = words; } } });
    Object.defineProperty(globalThis, 'speechSynthesis', { value: { cancel() {}, speak(one) {
      heard.push(one.words);
      setTimeout(() => one.onend(), 5);
    } } });
  });
  const { rows } = await ask(page, `/api/weavings/${weaving}`);
  const measured = rows.filter(({ before }) => before.some((step) => step.do === 'measure'));
  assert.ok(measured.length >= 2, 'a mat of 14 cm is measured more than once');
  // At this one nothing else is done before the row.
  const { number, before } = measured.find(({ before }) => before.every((step) => step.do === 'measure' || step.routine));
  const step = before.find((one) => one.do === 'measure');
  const advice = [step.if_narrower, step.if_wider, step.if_lower, step.if_higher];
  await woven(page, weaving, first(number - 1));
  await at(page);
  await page.reload();
  await page.waitForSelector('.still');
  assert.ok((await page.textContent('.coming')).includes(printed(step.words)));
  await next(page);
  assert.equal(printed(await said(page)), printed(`Before row ${number}: ${step.words}. ${advice.join(' ')}`));
  assert.match(step.words, /about [0-9.]+ cm .* wide, .*about [0-9.]+ cm .* high/);
  assert.deepEqual(await page.locator('.advice').allTextContents(), advice.map(printed));
  await accessible(page, 'measuring');
  await page.tap('text=Read aloud');
  await page.waitForFunction(() => globalThis.heard.length === 5);
  assert.deepEqual(await page.evaluate(() => globalThis.heard), [`Before row ${number}: ${step.words}`, ...advice]);
  // In inches it is the same step, in eighths.
  await page.tap('text=Settings');
  await page.getByLabel('inch').check();
  await page.tap('dialog .needle');
  await page.waitForFunction(() => /\u00a0in \(/.test(document.querySelector('.do').textContent));
  await next(page);
  await reached(page, `Row ${number} of`);
  assert.deepEqual(await done(), first(number - 1), 'measuring ticks nothing');
  assert.equal(await page.locator('.done-before').count(), before.some((step) => step.do !== 'measure' && !step.routine) ? 1 : 0);
  await page.tap('text=Back');
  await reached(page, `Before row ${number}: `);
  await next(page);
  await reached(page, `Row ${number} of`);
  await next(page);
  await page.waitForFunction((number) => new RegExp(`^(Before row|Row) ${number}[ :]`).test(document.querySelector('#row-said').textContent), number + 1);
  await isDone(...first(number));
  assert.deepEqual(wrong, []);
  await context.close();
});

test('near the end of a band that fills, what is open is measured, and what it says of the rows is a change of the piece', async () => {
  const { page, wrong, context } = await device(browser, server);
  const { piece, rows } = await ask(page, `/api/weavings/${weaving}`);
  const { number, before } = rows.find(({ before }) => before.some((step) => step.do === 'room'));
  const step = before.find((one) => one.do === 'room');
  await woven(page, weaving, first(number - 1));
  await at(page);
  await page.reload();
  await page.waitForSelector('.still');
  await next(page);
  assert.equal(printed(await said(page)), printed(`Before row ${number}: ${step.words}. ${step.if_less} ${step.if_more}`));
  await accessible(page, 'room');
  const open = page.getByLabel('Open up to the far bar');
  assert.deepEqual(await open.locator('option').allTextContents(), step.choices.map(({ words }) => printed(words)));
  const now = step.choices.findIndex((choice) => choice.now);
  assert.equal(await open.inputValue(), String(step.choices[now].rows));
  // As planned it changes nothing.
  await page.tap('text=Weave so many rows');
  await page.waitForTimeout(200);
  assert.equal((await ask(page, `/api/pieces/${piece}`)).can_undo ?? false, false);
  const fewer = step.choices[now - 2];
  await open.selectOption(String(fewer.rows));
  await page.tap('text=Weave so many rows');
  const less = step.choices[now].rows - fewer.rows;
  await reached(page, `Row ${number} of ${rows.length - less}`);
  const after = await ask(page, `/api/weavings/${weaving}`);
  assert.equal(after.bands.find(({ name }) => name === step.band).rows, fewer.rows);
  assert.equal(after.changed_below, null, 'what is woven stays as it is');
  assert.deepEqual(after.rows.slice(0, number - 1).map(({ words }) => words), rows.slice(0, number - 1).map(({ words }) => words));
  assert.ok((await page.locator('.advice').textContent()).includes(String(fewer.rows)), 'it says what was changed');
  await next(page);
  await isDone(...first(number));
  assert.deepEqual(wrong, []);
  await context.close();
});

test('keys and foot pedals go forward and back, and back takes the row back', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  await at(page);
  await reached(page, 'Before row 1');
  for (const [key, words] of [
    ['Space', 'Row 1 of'], ['ArrowRight', 'Row 2 of'], ['PageDown', 'Row 3 of'], ['ArrowLeft', 'Row 2 of'], ['PageUp', 'Row 1 of'],
    ['ArrowLeft', 'Before row 1'], ['Enter', 'Row 1 of'], ['ArrowDown', 'Row 2 of'],
  ]) {
    await page.keyboard.press(key);
    await reached(page, words);
  }
  await isDone(1);
  await context.close();
});

test('a row that is taken back may lie there still: how it comes out is said with it, until it is done again', async () => {
  const { page, wrong, context } = await device(browser, server);
  const { rows } = await ask(page, `/api/weavings/${weaving}`);
  await at(page);
  await until(page, 'Row 1 of');
  assert.equal(await page.locator('.within').count(), 0);
  await next(page);
  await isDone(1);
  while ((await done()).length > 0) {
    const before = await said(page);
    await weave.back(page);
    await page.waitForFunction((before) => document.querySelector('#row-said').textContent !== before, before);
  }
  await reached(page, 'Row 1 of');
  assert.equal((await page.textContent('.within')), printed(`If it lies there already, take it out: ${rows[0].weft} ${rows[0].unpick}.`));
  await accessible(page, 'a row that was taken back');
  await next(page);
  // The server has it before the page goes on.
  await page.locator('.within').waitFor({ state: 'detached' });
  await isDone(1);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('where a needleful ends is said with the row in which it does, not as a step before it', async () => {
  const { page, wrong, context } = await device(browser, server);
  const { rows } = await ask(page, `/api/weavings/${weaving}`);
  const joined = rows.find(({ before }) => before.some((step) => step.do === 'join'));
  const join = joined.before.find((step) => step.do === 'join');
  await woven(helper.page, weaving, first(joined.number - 1));
  await at(page);
  await until(page, `Row ${joined.number} of`);
  assert.ok((await said(page)).toLowerCase().endsWith(`${join.words}.`), await said(page));
  assert.equal((await page.textContent('.within')).toLowerCase(), printed(`${join.words}.`).toLowerCase());
  assert.ok(!((await page.locator('.done-before').allTextContents()).join().includes('join')));
  assert.deepEqual(wrong, []);
  await context.close();
});

test('of a yarn that runs out it is told where the needlefuls are cut, on which it depends', async () => {
  const { page, wrong, context } = await device(browser, server);
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  const { head } = await ask(page, `/api/pieces/${id}`);
  await ask(page, `/api/pieces/${id}/edit`, { base: head, edit: { edit: 'yarn_have', yarn: 'foam', have: '3 m' } });
  const { id: mine } = await ask(page, `/api/pieces/${id}/weavings`, {});
  const { rows } = await ask(page, `/api/weavings/${mine}`);
  const told = rows.flatMap((row) => row.before.filter((step) => step.do === 'scarce').map((step) => ({ row, step })));
  assert.deepEqual(told.map(({ step }) => [step.yarn, step.last]), [['foam', false], ['foam', true]]);
  const { row, step } = told[1];
  assert.ok(row.before.some((one) => one.do === 'join' && one.weft === 'foam'), 'there a needleful is cut');
  await woven(page, mine, first(row.number - 1));
  await weave.at(page, server, mine);
  await page.reload();
  await page.waitForSelector('.still');
  await next(page);
  await until(page, `Before row ${row.number}: ${step.words}.`);
  await accessible(page, 'scarce');
  await until(page, `Row ${row.number} of`);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('the screen moves only after the answer', async () => {
  const { page, context } = await device(browser, server);
  // The page's own time stands still: it goes on for the answer alone, and not since it has waited long enough.
  await page.clock.install();
  await at(page);
  await next(page);
  await reached(page, 'Row 1 of');
  const { open, opened } = door();
  await page.route('**/ticks', async (route) => {
    await opened;
    await route.continue();
  });
  await page.clock.pauseAt(Date.now() + 60_000);
  const sent = page.waitForRequest('**/ticks');
  await next(page);
  await sent;
  assert.match(await said(page), /^Row 1 of/);
  open();
  await reached(page, 'Row 2 of');
  assert.deepEqual(await done(), [1]);
  assert.equal(await page.textContent('.kept'), '');
  await context.close();
});

test('a second tap while the answer is awaited does no harm', async () => {
  const { page, context } = await device(browser, server);
  await at(page);
  await next(page);
  await reached(page, 'Row 1 of');
  const sent = [];
  await page.route('**/ticks', async (route) => {
    sent.push(...JSON.parse(route.request().postData()).ticks);
    await route.continue();
  });
  // Both at once: between them there can be no answer.
  await page.evaluate(() => {
    const button = document.querySelector('.next');
    button.click();
    button.click();
  });
  await reached(page, 'Row 2 of');
  await isDone(1);
  assert.match(await said(page), /^Row 2 of/);
  assert.deepEqual(sent.map(({ row }) => row), [1]);
  await context.close();
});

test('two devices follow each other', async () => {
  const one = await device(browser, server);
  const other = await device(browser, server, { size: 'tablet' });
  await at(one.page);
  await at(other.page);
  await until(one.page, 'Row 3 of');
  await reached(other.page, 'Row 3 of');
  await next(other.page);
  await reached(other.page, 'Row 4 of');
  await reached(one.page, 'Row 4 of');
  await one.page.tap('text=Back');
  await reached(one.page, 'Row 3 of');
  await reached(other.page, 'Row 3 of');
  await isDone(1, 2);
  await one.context.close();
  await other.context.close();
});

test('an answer that was asked for before a row was done does not take it back', async () => {
  const { page, wrong, context } = await device(browser, server);
  await at(page);
  await until(page, 'Row 2 of');
  const [asked, late] = [door(), door()];
  let times = 0;
  await page.route(`**/api/weavings/${weaving}?**`, async (route) => {
    times += 1;
    if (times > 1) return route.continue();
    const response = await route.fetch();
    asked.open();
    await late.opened;
    return route.fulfill({ response });
  });
  // Another device tells of a row far ahead; what this one asks for then is answered late.
  await woven(helper.page, weaving, [50]);
  await asked.opened;
  await next(page);
  await reached(page, 'Row 3 of');
  await isDone(1, 2, 50);
  const before = times;
  late.open();
  await eventually(() => assert.ok(times > before, 'it came too late to be believed, and is asked for anew'));
  assert.match(await said(page), /^Row 3 of/);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('tomorrow’s start says where each needle waits, the last row and the next step', async () => {
  const { page, context } = await device(browser, server);
  await at(page);
  await until(page, 'Before row 7');
  await page.tap('text=Stop here');
  assert.equal(await page.textContent('.count'), 'Row 6 is woven');
  const waits = await page.locator('.waits').allTextContents();
  // As the server says where they wait before row 7.
  const { needles } = await ask(page, `/api/weavings/${weaving}`);
  assert.deepEqual(waits.sort(), needles.map(({ weft, side }) => `${weft} waits at the ${side}`).sort());
  assert.match(await page.textContent('.coming'), /^Next: cross at the left: take slate under foam; then row 7\.$/);
  await next(page);
  assert.match(await said(page), /^Before row 7/);
  await context.close();
});

test('when all is woven it says so', async () => {
  const { page, context } = await device(browser, server);
  await woven(page, weaving, first(129));
  await at(page);
  await next(page);
  await reached(page, 'Row 130 of 130');
  await next(page);
  await reached(page, 'After row 130: cut slate at the left');
  // Where it is cut, not where its row came from.
  const { rows: all } = await ask(page, `/api/weavings/${weaving}`);
  const cut = all.at(-1).after.find((step) => step.do === 'cut');
  assert.equal(cut.side, 'left');
  assert.deepEqual(await page.locator('.edge-picture.cut.at-left text').allTextContents(), [printed(cut.tail_words), 'slate']);
  assert.equal(await page.locator('.edge-picture .needle-shape').count(), 0, 'it goes nowhere');
  assert.equal((await done()).length, 129, 'the row is done when its last step is');
  await next(page);
  await reached(page, 'All 130 rows are woven');
  // What comes next, as the server says it.
  const { off_the_loom: off } = await ask(page, `/api/weavings/${weaving}`);
  assert.equal(off.length, 6);
  assert.deepEqual(await page.locator('.off-loom li').allTextContents(), off.map(printed));
  const heardOf = await said(page);
  assert.ok(off.every((words) => printed(heardOf).includes(printed(words))), heardOf);
  await accessible(page, 'all woven');
  // A pedal pressed once too often leaves it there to be read, whichever key it is, and ticks nothing.
  assert.equal(await page.evaluate(() => document.activeElement.className), 'count');
  for (const key of ['Space', 'Enter', 'ArrowRight', 'PageDown', 'Space']) await page.keyboard.press(key);
  await page.waitForTimeout(200);
  assert.equal(await page.textContent('.count'), 'All 130 rows are woven');
  assert.match(page.url(), /#\/weave\//);
  assert.equal((await done()).length, 130);
  // So it is where it is opened again; who means to go goes.
  await page.reload();
  await reached(page, 'All 130 rows are woven');
  assert.equal(await page.evaluate(() => document.activeElement.className), 'count');
  await page.keyboard.press('Space');
  assert.match(page.url(), /#\/weave\//);
  await page.getByRole('button', { name: 'Back to the piece' }).tap();
  await page.waitForURL(/#\/piece\//);
  await context.close();
});

test('the left hand changes the layout and no side', async () => {
  const { page, context } = await device(browser, server);
  await at(page);
  await next(page);
  await reached(page, 'Row 1 of');
  const before = await page.evaluate(() => [document.querySelector('.banner').className, document.querySelector('.strip').className, document.querySelector('#row-said').textContent, document.querySelector('.fell').getBoundingClientRect().left]);
  await page.tap('text=Settings');
  await page.tap('text=left hand');
  await page.tap('dialog .needle');
  await page.waitForFunction(() => document.documentElement.dataset.hand === 'left' && !document.querySelector('dialog'));
  const now = await page.evaluate(() => [document.querySelector('.banner').className, document.querySelector('.strip').className, document.querySelector('#row-said').textContent, document.querySelector('.fell').getBoundingClientRect().left]);
  assert.deepEqual(now.slice(0, 3), before.slice(0, 3));
  assert.ok(now[3] > before[3] + 200, 'the small piece is at the other side');
  await context.close();
});

test('a browser that can’t keep the screen on says what to do, until the first row is woven', async () => {
  const { page, context } = await device(browser, server);
  // As on a phone that reaches the program over plain http.
  await page.addInitScript(() => {
    delete Navigator.prototype.wakeLock;
  });
  await page.reload();
  await at(page);
  await reached(page, 'Before row 1');
  assert.match(await page.textContent('.kept'), /set this device so that it stays on/);
  await until(page, 'Row 2 of');
  assert.equal(await page.textContent('.kept'), '');
  await context.close();
});

test('a piece changed below the fell: the weaver takes rows out, or keeps both', async () => {
  const { page, wrong, context } = await device(browser, server);
  const { piece } = await ask(page, `/api/weavings/${weaving}`);
  await woven(page, weaving, first(6));
  const { head } = await ask(page, `/api/pieces/${piece}`);
  const changed = await ask(page, `/api/pieces/${piece}/edit`, { base: head, edit: { edit: 'band_rows', band: 'hem', rows: 6 } });
  await at(page);
  assert.match(await page.textContent('.changed'), /rows that are woven \(5 to 6\)/);
  await page.tap('text=Take out rows 6 to 5');
  const { rows: before } = await ask(page, `/api/weavings/${weaving}`);
  await reached(page, 'Take out row 6: ');
  assert.ok((await said(page)).includes(before[5].unpick));
  await next(page);
  await reached(page, 'Take out row 5: ');
  await isDone(1, 2, 3, 4, 5);
  await next(page);
  // It goes on with the piece as it is now: six rows of hem.
  await page.waitForFunction(() => document.querySelector('.count')?.textContent === 'Row 4 is woven');
  assert.equal((await ask(page, `/api/weavings/${weaving}`)).rev, changed.head);
  assert.equal(await page.locator('.changed').count(), 0);

  // Changed again below the fell; this time the change becomes a piece of its own.
  await ask(page, `/api/pieces/${piece}/edit`, { base: changed.head, edit: { edit: 'warp_ends', ends: 26 } });
  await page.waitForSelector('.changed');
  await page.tap('text=a piece of its own');
  await page.waitForFunction(() => !document.querySelector('.changed'));
  const { pieces } = await ask(page, '/api/pieces');
  assert.ok(pieces.some(({ ends }) => ends === 26));
  assert.equal((await ask(page, `/api/pieces/${piece}`)).head, changed.head);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('the fell is pictured as it is on the loom, row by row, and as lines where no picture comes', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  await at(page);
  const picture = () => page.evaluate(() => document.querySelector('.fell canvas').toDataURL());
  assert.equal(await page.locator('.fell.pictured').count(), 0, 'nothing is woven yet');
  await page.keyboard.press('Space');
  await reached(page, 'Row 1 of');
  await page.keyboard.press('Space');
  await reached(page, 'Row 2 of');
  await page.waitForSelector('.fell.pictured');
  let before = await picture();
  for (const row of [3, 4]) {
    await page.keyboard.press('Space');
    await reached(page, `Row ${row} of`);
    await page.waitForFunction((before) => document.querySelector('.fell canvas').toDataURL() !== before, before);
    before = await picture();
  }
  // What came row by row is what another device is shown at once.
  const other = await device(browser, server, { size: 'desktop' });
  await at(other.page);
  await other.page.keyboard.press('Space');
  await other.page.waitForSelector('.fell.pictured');
  await other.page.waitForFunction(async (before) => {
    // A whole picture comes as a JPEG, what is new in it bit by bit: they differ by less than the eye sees.
    const now = document.querySelector('.fell canvas');
    const image = new Image();
    image.src = before;
    await image.decode();
    const was = new OffscreenCanvas(now.width, now.height).getContext('2d');
    was.drawImage(image, 0, 0);
    const [a, b] = [was, now.getContext('2d')].map((pen) => pen.getImageData(0, 0, now.width, now.height).data);
    let off = 0;
    for (let k = 0; k < a.length; k += 1) off += Math.abs(a[k] - b[k]);
    return image.width === now.width && off / a.length < 2;
  }, before);
  await other.context.close();
  // With the line cut, the rows as lines say how far it is.
  await context.setOffline(true);
  await page.keyboard.press('Space');
  await heard(page, 'kept on this phone');
  await page.waitForFunction(() => !document.querySelector('.fell').classList.contains('pictured'));
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a mirrored weaving is walked the other way round and stays so', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const { piece, rows } = await ask(page, `/api/weavings/${weaving}`);
  await go(page, server, `#/piece/${piece}`);
  await page.getByRole('button', { name: /^Weave (it|another) mirrored$/ }).click();
  await reached(page, 'Before row 1');
  assert.equal(await page.textContent('.turned'), 'Mirrored');
  await page.getByRole('button', { name: 'The warp is wound' }).click();
  await page.keyboard.press('Space');
  const from = rows[0].from === 'left' ? 'right' : 'left';
  assert.ok((await said(page)).includes(`${rows[0].weft} from the ${from}: ${rows[0].words}`), await said(page));
  await page.keyboard.press('Space');
  await page.waitForFunction(() => !document.querySelector('#row-said').textContent.startsWith('Row 1 of'));
  await page.goto(`${server.url}/#/piece/${piece}`);
  await page.getByText('mirrored', { exact: false }).first().waitFor();
  assert.match(await page.textContent('.weave-it'), /row 2 of 130, mirrored/);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('weavings are told apart: the last one first and large, the others folded; one with no row done is taken again', async () => {
  const { text } = await ask(helper.page, `/api/pieces/${(await ask(helper.page, `/api/weavings/${weaving}`)).piece}`);
  const { id } = await ask(helper.page, '/api/pieces', { text: text.replace(/^name( *)= "(.*)"$/m, 'name$1= "Many mats"') });
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const piece = async () => {
    await go(page, server, '#/');
    await go(page, server, `#/piece/${id}`);
  };
  const list = async () => (await ask(page, `/api/pieces/${id}`)).weavings;
  const weaveIt = async (name) => {
    await piece();
    await page.getByRole('button', { name, exact: true }).click();
    await page.waitForSelector('.along');
    return page.evaluate(() => location.hash.split('/').at(-1));
  };
  const plain = await weaveIt('Weave it');
  assert.equal(await weaveIt('Weave it'), plain, 'nothing was woven of it');
  const mirrored = await weaveIt('Weave it mirrored');
  assert.notEqual(mirrored, plain);
  assert.equal((await list()).length, 2);
  // Neither has a row yet: nothing is on the loom.
  await piece();
  assert.equal(await page.locator('.on-loom, .others').count(), 0);
  await woven(page, plain, [1]);
  await woven(page, mirrored, [1]);
  await piece();
  // (It may be past midnight by now.)
  assert.match(await page.textContent('.on-loom'), /^Go on with row Follow row 2 of 130, mirroredbegun (today|yesterday) at \d\d:\d\d$/);
  assert.equal(await page.textContent('.others summary'), 'One more on its way');
  assert.equal(await page.locator('.others a').isVisible(), false);
  await page.click('.others summary');
  assert.match(await page.textContent('.others li'), /^Row 2 of 130begun (today|yesterday) at/);
  await accessible(page, 'several weavings');
  // The one that is woven on comes first.
  await woven(page, plain, [2]);
  await piece();
  assert.match(await page.textContent('.on-loom'), /row 3 of 130begun/);
  const another = await weaveIt('Weave another');
  assert.equal(await weaveIt('Weave another'), another);
  assert.equal((await list()).length, 3);
  // In the list of all pieces too.
  await go(page, server, '#/');
  const leaf = page.locator('.book li', { hasText: 'Many mats' });
  assert.equal(await leaf.locator('.about > p a').first().textContent(), 'row 3 of 130');
  assert.equal(await leaf.locator('.others summary').textContent(), 'One more weaving');
  await leaf.locator('.others summary').click();
  assert.match(await leaf.locator('.others').innerText(), /row 2 of 130, mirrored\s+begun (today|yesterday) at/);
  await accessible(page, 'the list of pieces');
  assert.deepEqual(wrong, []);
  await context.close();
});
