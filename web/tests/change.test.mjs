// Changing a piece on the page: each phrase of the first sentence and each band in place, by pointer, by touch and by
// keyboard alone. What the page then says is what the server says.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { SIZES, accessible, ask, device, heard, launch, printed } from './browser.mjs';
import { button, key, label, labels, piece, reach, rows, settled, shown } from './changing.mjs';
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

test('what it is for, its ends and its loom are changed in the first sentence, by touch, and taken back', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(server, page);
  await page.locator('.asked [data-about=purpose]').tap();
  await button(page, 'Hanging').tap();
  await heard(page, 'Made it a hanging.');
  assert.match(await page.textContent('.asked'), /^A hanging on/);
  assert.equal(await page.getAttribute('[data-key="asked purpose  hanging"]', 'aria-pressed'), 'true');

  await page.locator('.asked [data-about=ends]').tap();
  await button(page, 'One end fewer').tap();
  await heard(page, 'Took 23 ends.');
  assert.match(await page.textContent('.asked'), /23 ends/);
  await page.getByLabel('How many', { exact: true }).fill('4000');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.field .mend:not(:empty)'));
  assert.match(await page.textContent('.field .mend:not(:empty)'), /40/, 'the server says what the frame takes');
  assert.equal((await shown(page, id)).check.plan.ends, 23, 'nothing is saved');

  await page.locator('.asked [data-about=loom]').tap();
  const pitch = page.getByLabel('Pitch');
  assert.equal(await pitch.inputValue(), '4 mm', 'as it was typed');
  await pitch.fill('3/16 in');
  await page.keyboard.press('Enter');
  await heard(page, 'Gave the loom a pitch of 3/16 in.');
  assert.match((await shown(page, id)).text, /pitch = "3\/16 in"/);
  assert.equal(await page.getByLabel('Pitch').inputValue(), '3/16 in');
  await page.getByLabel('Pitch').fill('wide');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.field .mend:not(:empty)'));

  for (const words of ['23 ends', '24 ends']) {
    await button(page, 'Undo').tap();
    await page.waitForFunction((words) => document.querySelector('.asked').textContent.includes(words), words);
  }
  await button(page, 'Undo').tap();
  await page.waitForFunction(() => document.querySelector('.asked').textContent.startsWith('A mat'));
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a number is whole and within its bounds, or one sentence beside its field says so, which goes with the next field', async () => {
  const { page, wrong, context } = await device(browser, server);
  const asked = [];
  page.on('request', (request) => /(edit|preview)\?/.test(request.url()) && asked.push(request.postData()));
  const id = await piece(server, page);
  await page.locator('.asked [data-about=ends]').tap();
  const most = await page.getByLabel('How many', { exact: true }).getAttribute('max');
  const said = () => page.evaluate(() => [...document.querySelectorAll('.opened .mend')].map((one) => one.textContent).filter(Boolean));
  for (const typed of ['-1', '2.5', '0', '1e12']) {
    await page.getByLabel('How many', { exact: true }).fill(typed);
    await page.keyboard.press('Enter');
    assert.deepEqual(await said(), [`Write a whole number from 1 to ${most}.`], typed);
  }
  await page.waitForTimeout(300);
  assert.deepEqual(asked, [], 'the server is not asked for it');
  // Beside its own field, and gone when the next is used.
  assert.equal(await page.evaluate(() => document.activeElement.closest('.field').querySelector('.mend').textContent !== ''), true);
  await page.getByLabel('Their yarns from the left').fill('24 reed, 1 x');
  assert.deepEqual(await said(), []);
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.opened .mend:not(:empty)'));
  await page.getByLabel('How many', { exact: true }).fill('22');
  assert.deepEqual(await said(), []);
  await page.keyboard.press('Enter');
  await heard(page, 'Took 22 ends.');
  assert.equal((await shown(page, id)).check.plan.ends, 22);
  // What is no edit is answered by its field, and what to write there.
  const { head } = await shown(page, id);
  const answer = await ask(page, `/api/pieces/${id}/edit`, { base: head, edit: { edit: 'warp_ends', ends: 2.5 } });
  assert.deepEqual([answer.message, answer.help], ['`ends` of the edit “warp_ends” can\'t be 2.5.', 'Write a whole number, 0 or more.']);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('its name, its good side and the longest float are changed where it says what it is for', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(server, page);
  await page.locator('.asked [data-about=purpose]').tap();
  await page.getByLabel('What you call it').fill('Saltings');
  await page.keyboard.press('Enter');
  await heard(page, 'Called it Saltings.');
  assert.equal(await page.textContent('h1'), 'Saltings');
  await button(page, 'The back, away from you').tap();
  await heard(page, 'Showed the back when it is finished.');
  assert.match((await settled(page, id)).check.asked, /its good side away from the weaver/);
  const float = page.getByLabel('Longest float allowed');
  assert.equal(await float.inputValue(), '25 mm', 'as it was typed');
  assert.equal(await page.textContent('[id$=float-hint]'), printed((await shown(page, id)).parts.floats));
  await float.fill('9 mm');
  await page.keyboard.press('Enter');
  await heard(page, 'Allowed floats of 9 mm.');
  await page.waitForSelector('[data-kind=long_floats]');
  await page.getByLabel('Longest float allowed').fill('');
  await page.keyboard.press('Enter');
  await heard(page, 'Allowed floats as long as is usual.');
  assert.doesNotMatch((await shown(page, id)).text, /longest-float/);
  await page.getByLabel('Longest float allowed').fill('long');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.said .field .mend:not(:empty)'));
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a size is asked for where it is told, by touch; each choice says what it costs, and one tap takes it', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(server, page);
  await page.locator('.follows [data-about=size]').first().tap();
  assert.equal(await page.locator('.said .why li').count() > 3, true, 'its reason is there as well');
  await button(page, 'Washed').tap();
  await heard(page, 'Had it washed off the loom.');
  assert.equal((await shown(page, id)).parts.finish, 'washed');
  assert.equal(await page.getAttribute('[data-key="asked size  washed"]', 'aria-pressed'), 'true');
  assert.equal(await page.locator('.fits').count(), 0, 'nothing is asked for, nothing is offered');
  const wanted = page.getByLabel('Size it should have then');
  await wanted.fill('11');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.said .field .mend:not(:empty)')?.textContent.includes('11\u00a0cm x 14\u00a0cm'));
  await wanted.fill('11 cm x 12 cm');
  await page.keyboard.press('Enter');
  await heard(page, 'Asked for a finished size of 11 cm x 12 cm.');
  await page.waitForSelector('.fits li');
  const { said, choices } = await ask(page, `/api/pieces/${id}/fit?units=cm`);
  const list = await page.$$eval('.fits li', (all) => all.map((one) => one.textContent));
  assert.equal(list.length, choices.length);
  choices.forEach((choice, k) => {
    for (const words of [choice.words, choice.comes_of, ...choice.new_findings.map((finding) => finding.words), choice.keeps ?? '']) {
      assert.ok(list[k].includes(printed(words)), `${list[k]} lacks ${words}`);
    }
  });
  assert.equal(await page.textContent('.fits p'), printed(said[0]));
  await page.locator('.fits .remedy').first().tap();
  await page.waitForFunction((ends) => document.querySelector('.asked').textContent.includes(`${ends} ends`), choices[0].ends);
  const now = await settled(page, id);
  assert.deepEqual([now.check.plan.ends, now.check.plan.rows], [choices[0].ends, choices[0].rows]);
  await page.waitForFunction(() => document.querySelector('.fits li')?.textContent.startsWith('Leave it as it is.'));
  assert.equal(await page.evaluate(() => document.activeElement.className), 'fits', 'the focus is at what is offered now');
  await button(page, 'Undo').tap();
  await heard(page, 'Taken back.');
  assert.equal((await shown(page, id)).check.plan.ends, 24, 'one tap is one change');
  // One side alone: the other may be as it comes.
  await page.getByLabel('Size it should have then').fill('12 cm long');
  await page.keyboard.press('Enter');
  await heard(page, 'Asked for a finished piece 12 cm long.');
  await page.waitForFunction(() => document.querySelector('.fits p')?.textContent.includes(': 12\u00a0cm long. As the plan is'));
  assert.match((await shown(page, id)).text, /^finished *= "12 cm long"$/m);
  const { wanted: one } = await ask(page, `/api/pieces/${id}/fit?units=cm`);
  assert.deepEqual(one, { width_mm: null, length_mm: 120 });
  await page.getByLabel('Size it should have then').fill('');
  await page.keyboard.press('Enter');
  await heard(page, 'Asked for no finished size.');
  assert.equal(await page.locator('.fits').count(), 0);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a size is asked for and made to fit by keyboard alone, in inches', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page);
  await page.locator('input[value=inch]').check();
  await page.waitForFunction(() => /\sin[;.]/.test(document.querySelector('.follows').textContent));
  await page.locator('.mark').focus();
  await reach(page, '.follows [data-about=size]');
  await page.keyboard.press('Enter');
  await reach(page, '[data-key="asked size  finished"]');
  assert.equal(await page.evaluate(() => document.getElementById(document.activeElement.getAttribute('aria-describedby')).textContent), printed('Such as 4 1/2 in x 5 1/2 in, 4 1/2 in wide or 5 1/2 in long'));
  await page.keyboard.type('4 x 5 in');
  await page.keyboard.press('Enter');
  await heard(page, 'Asked for a finished size of 4 x 5 in.');
  await page.waitForSelector('.fits .remedy');
  assert.match(await page.textContent('.fits p'), /: 4\sx\s5\sin\. As the plan is, about/);
  const { choices } = await ask(page, `/api/pieces/${id}/fit?units=inch`);
  const first = choices.find(({ edits }) => edits.length > 0);
  await reach(page, '.fits .remedy');
  // Before it is taken it is said what would come of it.
  await page.waitForFunction((ends) => document.querySelector('.said .foretold').textContent.startsWith(`Take ${ends} ends`), first.ends);
  await page.keyboard.press('Enter');
  await page.waitForFunction((ends) => document.querySelector('.asked').textContent.includes(`${ends} ends`), first.ends);
  await settled(page, id);
  await page.waitForFunction(() => document.activeElement.className === 'fits');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('the warp is striped, made so wide and wound otherwise; a frame has strands; the edges are taken', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(server, page);
  await page.locator('.asked [data-about=ends]').tap();
  const order = page.getByLabel('Their yarns from the left');
  assert.equal(await order.inputValue(), '24 reed');
  await order.fill('2 reed,1 foam');
  await page.keyboard.press('Enter');
  await heard(page, 'Wound the warp with 2 reed and 1 foam.');
  assert.deepEqual((await settled(page, id)).parts.warp.yarns, ['reed', 'foam']);
  await page.getByLabel('Their yarns from the left').fill('2 reed, foam');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.said .field .mend:not(:empty)'));
  await page.getByLabel('Or so wide on the loom').fill('8 cm');
  await page.keyboard.press('Enter');
  await heard(page, 'Made the warp 8 cm wide.');
  assert.equal((await settled(page, id)).parts.warp.width, '8 cm');
  await button(page, 'Round and round the frame').tap();
  await heard(page, 'Wound the warp round the frame.');

  await page.locator('.asked [data-about=loom]').tap();
  const pitch = page.getByLabel('Pitch');
  const { loom } = await ask(page, '/api/choices');
  const hint = await page.evaluate((id) => document.getElementById(id).textContent, await pitch.getAttribute('aria-describedby'));
  assert.equal(hint, loom.find(({ word }) => word === 'pitch').words, 'what it means is told');
  await page.getByLabel('Strands').fill('2');
  await page.keyboard.press('Enter');
  await heard(page, 'Gave the loom 2 strands in a notch.');
  // Whether a needle may part them is asked where there are several.
  const { strands_act_as: acts } = await ask(page, '/api/choices');
  assert.equal(acts.length, 2);
  await page.locator('.said .chosen', { hasText: /which the needle may part$/ }).tap();
  await heard(page, 'Gave the loom strands that act as ends.');
  assert.equal((await settled(page, id)).parts.loom.strands_act_as, 'ends');

  await page.locator('.follows [data-about=holds]').first().tap();
  await button(page, 'Over the first end and under the last in every row').tap();
  await heard(page, 'Went over the first end and under the last in every row.');
  assert.equal((await settled(page, id)).parts.edges, 'taken');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a phrase is opened, and what it opens is changed, by keyboard alone', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page);
  await reach(page, '.asked [data-about=ends]');
  await page.keyboard.press('Enter');
  await reach(page, '[data-key$=" more"]');
  // Before it is done it is said what would come of it.
  await page.waitForFunction(() => document.querySelector('.said .foretold').textContent.startsWith('Take 25 ends.'));
  assert.equal((await shown(page, id)).check.plan.ends, 24, 'saying it saves nothing');
  await page.keyboard.press('Enter');
  await heard(page, 'Took 25 ends.');
  assert.match(await key(page), / more$/, 'the focus stays');
  await page.keyboard.press('Enter');
  await heard(page, 'Took 26 ends.');
  await settled(page, id);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a band’s panel opens at its name: rows, weave, wefts, turned and back, by touch', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(server, page);
  await label(page, 'pools').tap();
  assert.equal(await page.evaluate(() => document.activeElement?.id), 'band-title');
  await button(page, '2 rows more').tap();
  await heard(page, 'Made pools 8 rows in both places.');
  assert.equal(await key(page), 'band more', 'the focus stays');
  assert.equal(await page.getByLabel('How many').first().inputValue(), '8');
  // Nine rows are no whole turns of two wefts; the server takes the nearest.
  await page.getByLabel('How many').first().fill('11');
  await page.keyboard.press('Enter');
  await heard(page, 'Made pools 12 rows in both places.');

  await button(page, 'Exchange the wefts').tap();
  await heard(page, 'Exchanged the wefts of pools.');
  assert.equal(await page.getAttribute('[data-key="band exchanged"]', 'aria-pressed'), 'true');
  await button(page, 'Mirror').tap();
  await heard(page, 'Mirrored pools.');
  await button(page, 'Mirror').tap();
  await heard(page, 'Turned pools back from its mirror image.');
  assert.equal(await button(page, 'Over for under').count(), 0, 'what makes no sense for two wefts is not offered');
  await button(page, 'Swap').tap();
  await heard(page, 'Wove pools with foam and slate.');
  await page.getByLabel('Weft 1').selectOption('reed');
  await heard(page, 'Wove pools with reed and slate.');

  await page.locator('summary', { hasText: 'Another weave' }).tap();
  await page.locator('.weave', { hasText: 'Columns' }).tap();
  await heard(page, 'Wove pools as over 3, under 3.');
  assert.match(await page.textContent('.band-panel .quiet'), /^Over 3, under 3, then the opposite/);
  await page.getByLabel('Your own opening').fill('over 2, under 4');
  await page.keyboard.press('Enter');
  await heard(page, 'Wove pools as over 2, under 4.');
  await page.getByLabel('Starts on row').fill('2');
  await page.keyboard.press('Enter');
  await heard(page, 'Started pools on row 2 of its weave.');
  await page.locator('summary', { hasText: 'At its edges' }).tap();
  await button(page, 'Over the first end and under the last in every row').tap();
  await heard(page, 'Went over the first end and under the last in every row of pools.');
  assert.deepEqual((await shown(page, id)).parts.bands.filter(({ name }) => name === 'pools').map(({ start, edges }) => [start, edges]), [[2, 'taken']]);
  await page.getByLabel('Your own opening').fill('behind 2');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.band-panel .field .mend:not(:empty)'));
  const now = await settled(page, id);
  const pools = now.parts.bands.find(({ name }) => name === 'pools');
  assert.deepEqual([pools.weave.opening, pools.weave.opposite, pools.wefts, pools.exchanged], ['over 2, under 4', true, ['reed', 'slate'], true]);

  await button(page, 'Close').tap();
  assert.equal(await page.locator('.band-panel').isHidden(), true);
  assert.match(await key(page), /^name /, 'the focus is back at the name');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a band is moved, copied, repeated, parted, written out and taken out by keyboard alone', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page, 'kelp-headband');
  const names = async () => (await shown(page, id)).places.map(({ name }) => name);
  const press = async (which, words) => {
    await page.evaluate((which) => document.querySelector('#band-title').focus() ?? which, which);
    await reach(page, `[data-key="band ${which}"]`);
    await page.keyboard.press('Enter');
    await heard(page, words);
  };
  const first = (await names())[0];
  await labels(page, first).last().focus();
  await page.keyboard.press('Enter');
  await press('copy', `Put another ${first}`);
  assert.equal((await names()).filter((name) => name === first).length >= 2, true);
  await press('part', 'Parted place');
  const own = (await names()).find((name) => name === `${first}-2` || name === `${first}-3`);
  assert.ok(own, 'it has a band of its own');
  assert.match((await page.textContent('#band-title')).toLowerCase(), new RegExp(own), 'and its panel is open');
  const before = await names();
  await press('up', `Moved ${own}`);
  assert.notDeepEqual(await names(), before);
  assert.equal(await key(page), 'band up', 'the focus goes with it');
  await press('write', `Wrote the rows of ${own} out.`);
  await press('remove', `Took ${own} out of the stack.`);
  assert.equal((await names()).includes(own), false);
  assert.equal(await key(page), 'undo');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a band that was often touched offers to be written out, and says what that means', async () => {
  for (const size of ['phone', 'desktop']) {
    const { page, wrong, context } = await device(browser, server, { size });
    const id = await piece(server, page);
    await label(page, 'hem').click();
    const means = await page.textContent('.band-panel .write-out');
    assert.match(means, /^Written out, its rows stand in the plan one by one/);
    assert.equal(await page.locator('.band-panel .write-out .remedy').count(), 0, 'nothing presses one to');
    await button(page, 'Close').click();
    // Twelve crossings of hem that are no neighbours, as a finger would touch them.
    const { rows } = await ask(page, `/api/pieces/${id}/map`);
    for (let k = 0; k < 12; k += 1) {
      const [row, end] = [k % 4, 1 + 4 * Math.floor(k / 4) + (k % 2)];
      const pass = rows[row].crossings[end] === 'o' ? 'under' : 'over';
      const { head } = await shown(page, id);
      await ask(page, `/api/pieces/${id}/edit`, { base: head, edit: { edit: 'touch', band: 'hem', row: row + 1, ends: [end + 1, end + 1], pass } });
    }
    await page.reload();
    await page.waitForSelector('.border');
    const before = await shown(page, id);
    await label(page, 'hem').click();
    assert.match(await page.textContent('.band-panel .write-out'), /^12 changes by hand lie over its weave\. Written out, /);
    await accessible(page, 'a band that was often touched');
    assert.deepEqual(await measure(page), []);
    await reach(page, '.band-panel .remedy');
    await page.keyboard.press('Enter');
    await heard(page, 'Wrote the rows of hem out.');
    const now = await shown(page, id);
    assert.equal(now.check.follows, before.check.follows, 'it is woven as it was');
    assert.equal(now.parts.bands.find(({ name }) => name === 'hem').written, true);
    assert.equal(await page.locator('.write-out').count(), 0);
    assert.equal(await key(page), 'band title', 'what was pressed has gone; the focus stays in its panel');
    assert.deepEqual(wrong, []);
    await context.close();
  }
});

test('a place in a repeat is reached and left by its panel; the repeat is woven more often', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page);
  const names = async () => (await shown(page, id)).places.map(({ name }) => name);
  assert.deepEqual(await names(), ['hem', 'pools', 'shoals', 'pools', 'shoals', 'rising-tide', 'hem']);
  await labels(page, 'hem').last().click();
  await button(page, 'Move up').click();
  await heard(page, 'Moved hem into the repeat of pools and shoals, below pools: it is woven twice.');
  assert.deepEqual(await names(), ['hem', 'pools', 'shoals', 'hem', 'pools', 'shoals', 'rising-tide', 'hem'], 'within the repeat');
  await button(page, 'Move down').click();
  await page.waitForFunction(() => document.querySelectorAll('.loom-bands li').length === 7);
  await page.keyboard.press('Escape');
  await label(page, 'pools').click();
  await button(page, 'Once more').click();
  await heard(page, 'Repeated pools and shoals 3 times.');
  await button(page, 'Weave it once, line by line').click();
  await heard(page, 'Wove pools and shoals once.');
  assert.deepEqual(await names(), ['hem', 'pools', 'shoals', 'rising-tide', 'hem']);
  await context.close();
});

test('a band that is moved past its twin goes on, and its panel with it', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page);
  const names = async () => (await shown(page, id)).places.map(({ name }) => name);
  await labels(page, 'pools').last().click();
  await button(page, 'Copy it above').click();
  await page.waitForFunction(() => document.querySelectorAll('.loom-bands li').length === 9);
  assert.match(await page.textContent('.band-said'), /^Pools, 1 of 4/);
  await button(page, 'Move up').click();
  await page.waitForFunction(() => document.querySelector('.band-said').textContent.startsWith('Pools, 2 of 4'));
  await button(page, 'Move up').click();
  await heard(page, 'Moved pools');
  await page.waitForFunction(() => document.querySelector('.band-said').textContent.startsWith('Pools, 2 of 4: rows 1'));
  assert.deepEqual((await names()).slice(0, 5), ['hem', 'pools', 'shoals', 'pools', 'pools']);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a band gives up what it says of its edges and its start, and an idle needle goes from the basket, by touch', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(server, page);
  const before = (await shown(page, id)).text;
  await label(page, 'rising-tide').tap();
  await page.locator('[data-key="band fold edges"]').tap();
  const elsewhere = button(page, 'As in the whole piece');
  assert.equal(await elsewhere.getAttribute('aria-pressed'), 'true');
  await page.locator('[data-key="band taken"]').tap();
  await heard(page, 'Went over the first end');
  assert.equal(await elsewhere.getAttribute('aria-pressed'), 'false');
  await elsewhere.tap();
  await heard(page, 'Treated the edge ends of rising-tide as in the whole piece.');
  assert.equal((await shown(page, id)).text, before, 'the key is gone again');

  await page.locator('[data-key="band fold weave"]').tap();
  const starts = page.locator('[data-key="band start"]');
  await starts.fill('2');
  await page.keyboard.press('Enter');
  await heard(page, 'Started rising-tide on row 2 of its weave.');
  assert.match((await shown(page, id)).text, /^start *= 2$/m);
  await starts.fill('');
  await page.keyboard.press('Enter');
  await heard(page, 'Let rising-tide start as it comes.');
  assert.equal((await shown(page, id)).text, before);

  await page.locator('[data-ball=slate]').tap();
  await page.getByLabel('Another needle with it, called').fill('second slate');
  await page.keyboard.press('Enter');
  await heard(page, 'Added a needle second slate with slate.');
  assert.equal(await button(page, 'Take the needle slate out').count(), 0, 'a needle that weaves stays');
  await button(page, 'Take the needle second slate out').tap();
  await heard(page, 'Took the needle second slate out of the plan.');
  assert.equal((await shown(page, id)).text.trim(), before.trim());
  await button(page, 'Undo').tap();
  await button(page, 'Take the needle second slate out').waitFor();
  assert.deepEqual(wrong, []);
  await context.close();
});

test('on a wide window what a phrase opens stands beside the loom, which stays where it is', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  await piece(server, page);
  const box = (selector) => page.locator(selector).first().boundingBox();
  const before = await box('.loom');
  for (const [press, panel] of [['.asked [data-about=loom]', '#opened'], ['[data-ball=slate]', '#basket-opened']]) {
    await page.locator(press).first().click();
    await page.waitForSelector(`${panel}:not([hidden])`);
    const [loom, open, undo, found] = [await box('.loom'), await box(panel), await box('[data-key=undo]'), await box('.findings')];
    assert.ok(Math.abs(loom.y - before.y) < 1 && Math.abs(loom.height - before.height) < 1, 'the loom stays');
    assert.ok(open.x >= loom.x + loom.width, 'beside the loom');
    assert.ok(open.y >= undo.y + undo.height - 1 && found.y >= open.y + open.height - 1, 'between what was done and what there is to find');
    await accessible(page, press);
    // By keys it comes after its phrase, as it does on a phone.
    assert.ok(await page.evaluate(([press, panel]) => (document.querySelector(press).compareDocumentPosition(document.querySelector(panel)) & Node.DOCUMENT_POSITION_FOLLOWING) > 0, [press, panel]));
  }
  // Both are open, one above the other.
  const [one, other] = [await box('#opened'), await box('#basket-opened')];
  assert.ok(one.y + one.height <= other.y);
  await page.setViewportSize(SIZES.phone);
  await page.waitForFunction(() => document.querySelector('#opened').getBoundingClientRect().bottom <= document.querySelector('.loom').getBoundingClientRect().top);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('on a phone what was done and its undo stay in sight, and a name that is seen is the one that is pressed', async () => {
  const { page, wrong, context } = await device(browser, server);
  await piece(server, page);
  await page.locator('.asked [data-about=ends]').tap();
  // With this many ends the names of the lowest bands have no room beside each other.
  await page.getByLabel('How many', { exact: true }).fill('29');
  await page.keyboard.press('Enter');
  await heard(page, 'Took 29 ends.');
  await page.evaluate(() => scrollTo(0, 0));
  for (const inSight of ['.told', '[data-key=undo]']) {
    const { y, height } = await page.locator(inSight).boundingBox();
    assert.ok(y > 0 && y + height <= SIZES.phone.height, `${inSight} at ${y}`);
  }
  await page.waitForSelector('.loom-bands .unnamed');
  const others = await page.$$eval('.loom-bands li:not(.unnamed) button', (all) => all.filter((one) => {
    one.scrollIntoView({ block: 'center' });
    const { x, y, width, height } = one.getBoundingClientRect();
    return document.elementFromPoint(x + width / 2, y + height / 2)?.closest('button') !== one;
  }).map((one) => one.textContent));
  assert.deepEqual(others, []);
  await button(page, 'Undo').tap();
  await heard(page, 'Taken back.');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('every panel, on every device and in every light', async (t) => {
  for (const size of ['phone', 'desktop']) {
    for (const light of ['light', 'dark']) {
      const { page, context, wrong } = await device(browser, server, { size, light });
      await piece(server, page);
      for (const about of ['purpose', 'loom', 'ends', 'yarn']) await t.test(`${about}, ${size}, ${light}`, async () => {
        await page.locator(`.asked [data-about=${about}]`).first().click();
        await page.waitForSelector('.said .panel');
        await accessible(page, about);
        assert.deepEqual(await measure(page), []);
      });
      await t.test(`size, ${size}, ${light}`, async () => {
        await page.locator('.follows [data-about=size]').first().click();
        await page.getByLabel('Size it should have then').fill('11 cm x 12 cm');
        await page.keyboard.press('Enter');
        await page.waitForSelector('.fits li');
        await accessible(page, 'size');
        assert.deepEqual(await measure(page), []);
      });
      for (const ball of ['slate', ' ']) await t.test(`basket ${ball}, ${size}, ${light}`, async () => {
        await page.locator(`[data-ball="${ball}"]`).click();
        await page.waitForSelector('#basket-opened .panel');
        if (ball === 'slate') await page.locator('[data-key$="fold known slate"]').click();
        await accessible(page, `basket ${ball}`);
        assert.deepEqual(await measure(page), []);
      });
      await page.locator('[data-ball=" "]').click();
      await t.test(`a band, ${size}, ${light}`, async () => {
        await label(page, 'pools').click();
        await page.locator('summary', { hasText: 'Another weave' }).click();
        await page.locator('summary', { hasText: 'The needle slate' }).click();
        await accessible(page, 'a band');
        assert.deepEqual(await measure(page), []);
        await page.locator('summary', { hasText: 'Another weave' }).click();
        await page.locator('summary', { hasText: 'The needle slate' }).click();
      });
      assert.deepEqual(wrong, []);
      await context.close();
    }
  }
});

test('how closely a band is beaten is typed and given up; what the yarn can’t do is found', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(server, page);
  const before = await shown(page, id);
  await label(page, 'rising-tide').tap();
  await page.locator('[data-key="band fold beat"]').tap();
  const beat = page.locator('[data-key="band beat"]');
  const hint = await page.evaluate((id) => document.getElementById(id).textContent, await beat.getAttribute('aria-describedby'));
  assert.match(hint, /5 rows per cm; without it, as close as they come$/);
  await beat.fill('gently');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.field .mend:not(:empty)')?.textContent.includes('5 rows per'));
  await beat.fill('5 rows per cm');
  await page.keyboard.press('Enter');
  await heard(page, 'Beat rising-tide to 5 rows per cm.');
  const open = await settled(page, id);
  assert.match(open.text, /^beat *= "5 rows per cm"$/m);
  assert.ok(rows(open, 'rising-tide') < rows(before, 'rising-tide'), 'fewer rows fill the frame');
  await beat.fill('60 rows per cm');
  await page.keyboard.press('Enter');
  await heard(page, 'Beat rising-tide to 60 rows per cm.');
  await page.locator('.finding', { hasText: 'the yarn keeps them' }).waitFor();
  await beat.fill('');
  await page.keyboard.press('Enter');
  await heard(page, 'Beat the rows of rising-tide as close as they come.');
  assert.equal((await shown(page, id)).text, before.text, 'the key is gone again');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a band is called otherwise, and stays open under its new name; a name that is taken is told', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(server, page);
  const before = await shown(page, id);
  await label(page, 'rising-tide').tap();
  await page.locator('[data-key="band fold name"]').tap();
  const name = page.locator('[data-key="band name"]');
  await name.fill('Hem');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.field .mend:not(:empty)')?.textContent.includes('The name Hem is taken.'));
  await name.fill('high water');
  await page.keyboard.press('Enter');
  await heard(page, 'Renamed rising-tide to high water.');
  const called = await settled(page, id);
  assert.equal(await page.locator('[data-key="band title"]').textContent(), 'High water');
  assert.equal(await name.inputValue(), 'high water');
  assert.ok(await name.evaluate((field) => field === document.activeElement), 'the field that was typed in keeps the focus');
  await label(page, 'high water').waitFor();
  assert.match(called.text, /^\[band\."high water"\]/m);
  assert.equal(rows(called, 'high water'), rows(before, 'rising-tide'));
  await page.locator('[data-key=undo]').tap();
  await label(page, 'rising-tide').waitFor();
  assert.equal((await shown(page, id)).text, before.text);
  assert.equal(await page.locator('[data-key="band title"]').textContent(), 'Rising-tide', 'it stays open when that is undone');
  assert.deepEqual(wrong, []);
  await context.close();
});
