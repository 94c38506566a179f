// Changing a piece on the page: each phrase of the first sentence and each band in place, by pointer, by touch and by
// keyboard alone. What the page then says is what the server says.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { SIZES, accessible, ask, device, door, eventually, go, heard, launch, printed } from './browser.mjs';
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

/** An example of one's own, so that no test changes another's. */
async function piece(page, example = 'tideline-mat') {
  const { id } = await ask(page, '/api/pieces', { example });
  const { text } = await ask(page, `/api/pieces/${id}`);
  made += 1;
  const { id: own } = await ask(page, '/api/pieces', { text: text.replace(/^name( *)= "(.*)"$/m, `name$1= "$2 ${made}"`) });
  await go(page, server, `#/piece/${own}`);
  await page.waitForSelector('.border');
  return own;
}
let made = 0;

const shown = (page, id) => ask(page, `/api/pieces/${id}`);
const rows = (piece, name) => piece.parts.bands.find((band) => band.name === name).rows;
const key = (page) => page.evaluate(() => document.activeElement?.dataset.key);
const labels = (page, name) => page.locator('.loom-bands button', { hasText: name });
const label = (page, name) => labels(page, name).first();
const button = (page, name) => page.getByRole('button', { name, exact: true });

/** Tabs until an element has the focus; it must be seen that it has. */
async function reach(page, selector, presses = 120) {
  for (let k = 0; k < presses; k += 1) {
    await page.keyboard.press('Tab');
    if (await page.evaluate((selector) => document.activeElement?.matches(selector), selector)) {
      assert.equal(await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle), 'solid', 'the focus is seen');
      return;
    }
  }
  assert.fail(`${selector} is not reached`);
}

/** Waits until the words of the first sentence are the server's, and answers the piece. */
async function settled(page, id) {
  const now = await shown(page, id);
  await page.waitForFunction((asked) => document.querySelector('.asked').textContent === asked, now.check.asked);
  return now;
}

test('what it is for, its ends and its loom are changed in the first sentence, by touch, and taken back', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(page);
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
  await page.waitForFunction(() => document.querySelector('.asked').textContent.startsWith('A coaster'));
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a number is whole and within its bounds, or one sentence beside its field says so, which goes with the next field', async () => {
  const { page, wrong, context } = await device(browser, server);
  const asked = [];
  page.on('request', (request) => /(edit|preview)\?/.test(request.url()) && asked.push(request.postData()));
  const id = await piece(page);
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
  const id = await piece(page);
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
  assert.equal(await page.textContent('[id$=float-hint]'), (await shown(page, id)).parts.floats);
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
  const id = await piece(page);
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
  await page.waitForFunction(() => document.querySelector('.said .field .mend:not(:empty)')?.textContent.includes('11 cm x 14 cm'));
  await wanted.fill('11 cm x 12 cm');
  await page.keyboard.press('Enter');
  await heard(page, 'Asked for a finished size of 11 cm x 12 cm.');
  await page.waitForSelector('.fits li');
  const { said, choices } = await ask(page, `/api/pieces/${id}/fit?units=cm`);
  const list = await page.$$eval('.fits li', (all) => all.map((one) => one.textContent));
  assert.equal(list.length, choices.length);
  choices.forEach((choice, k) => {
    for (const words of [choice.words, choice.comes_of, ...choice.new_findings.map((finding) => finding.words), choice.keeps ?? '']) {
      assert.ok(list[k].includes(words), `${list[k]} lacks ${words}`);
    }
  });
  assert.equal(await page.textContent('.fits p'), said[0]);
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
  await page.waitForFunction(() => document.querySelector('.fits p')?.textContent.includes(': 12 cm long. As the plan is'));
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
  const id = await piece(page);
  await page.locator('input[value=inch]').check();
  await page.waitForFunction(() => / in[;.]/.test(document.querySelector('.follows').textContent));
  await page.locator('.mark').focus();
  await reach(page, '.follows [data-about=size]');
  await page.keyboard.press('Enter');
  await reach(page, '[data-key="asked size  finished"]');
  assert.equal(await page.evaluate(() => document.getElementById(document.activeElement.getAttribute('aria-describedby')).textContent), 'Such as 4 1/2 in x 5 1/2 in, 4 1/2 in wide or 5 1/2 in long');
  await page.keyboard.type('4 x 5 in');
  await page.keyboard.press('Enter');
  await heard(page, 'Asked for a finished size of 4 x 5 in.');
  await page.waitForSelector('.fits .remedy');
  assert.match(await page.textContent('.fits p'), /: 4 x 5 in\. As the plan is, about/);
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
  const id = await piece(page);
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
  const id = await piece(page);
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

test('a yarn is dyed, sized and replaced in the sentence', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(page);
  const open = (name) => page.locator(`.asked [data-yarn=${name}]`).click();
  await open('slate');
  await page.locator('.said .chosen', { hasText: 'sea-lavender' }).click();
  await heard(page, 'Dyed slate #7d6e9b.');
  assert.equal(await page.locator('input[type=color]').inputValue(), '#7d6e9b');
  await page.locator('input[type=color]').fill('#102030');
  await heard(page, 'Dyed slate #102030.');
  await page.getByLabel('Size, as its label says').fill('7 wraps per cm');
  await page.keyboard.press('Enter');
  await heard(page, 'Took slate as 7 wraps per cm of wool.');
  await page.getByLabel('Made of').selectOption('linen');
  await heard(page, 'of linen.');
  const keys = (await shown(page, id)).parts.sizes.find(({ name }) => name === 'slate');
  assert.deepEqual([keys.size, keys.fibre], ['7 wraps per cm', 'linen']);
  await open('reed');
  await button(page, 'Foam').click();
  await heard(page, 'Wound the warp with 24 foam.');
  assert.deepEqual((await settled(page, id)).parts.warp.yarns, ['foam']);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('another yarn comes into the basket, is woven with, and goes again when nothing is made of it', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(page);
  const yarn = async (name) => (await shown(page, id)).parts.sizes.find((one) => one.name === name);
  await button(page, 'Another yarn').tap();
  await button(page, 'Put it into the basket').tap();
  await page.waitForFunction(() => document.querySelector('.basket .panel-trouble:not(:empty)'));
  assert.match(await page.textContent('.basket .panel-trouble'), /size/, 'what is missing is said');
  await page.getByLabel('Size, as its label says').fill('55 m per 100 g');
  await button(page, 'Put it into the basket').tap();
  await page.waitForFunction(() => /name/.test(document.querySelector('.basket .panel-trouble').textContent));
  await page.getByLabel('What you call it').fill('heather');
  assert.equal(await page.getByLabel('Size, as its label says').inputValue(), '55 m per 100 g', 'what was typed stays');
  await page.getByLabel('Made of').selectOption('wool');
  await button(page, 'mud-lark').tap();
  await page.waitForFunction(() => document.querySelector('.basket .foretold').textContent.startsWith('Add the yarn heather.'));
  await button(page, 'Put it into the basket').tap();
  await heard(page, 'Added the yarn heather.');
  const { size, fibre, unused } = await yarn('heather');
  assert.deepEqual([size, fibre, unused], ['55 m per 100 g', 'wool', true]);
  assert.match((await shown(page, id)).text, /\[yarn.heather\]\ncolour = "#6d5846"/);
  await page.waitForFunction(() => document.activeElement?.dataset.ball === 'heather');
  assert.match(await page.textContent('.basket .panel'), /Nothing is made of it yet/);

  // The name that is taken is told, and what was typed stays.
  await button(page, 'Another yarn').tap();
  await page.getByLabel('What you call it').fill('heather');
  await page.getByLabel('Size, as its label says').fill('8/2 cotton');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.basket .panel-trouble').textContent === 'The name heather is taken. Choose another.');

  await page.locator('[data-ball=heather]').tap();
  await page.locator('summary', { hasText: 'in place of another' }).tap();
  await button(page, 'Foam in pools').tap();
  await heard(page, 'Wove pools with slate and heather.');
  assert.match((await settled(page, id)).check.asked, /heather/);
  assert.match(await page.textContent('.basket .panel'), /It is in pools and shoals\./);
  assert.equal(await button(page, 'Take heather out of the basket').count(), 0, 'what is woven with can not go');
  await button(page, 'Undo').tap();
  await heard(page, 'Taken back.');
  await button(page, 'Take heather out of the basket').tap();
  await heard(page, 'Took heather out of the plan.');
  assert.equal(await yarn('heather'), undefined);
  assert.equal(await page.locator('[data-ball=heather]').count(), 0);
  assert.equal(await page.locator('#basket-opened').isHidden(), true);
  assert.equal(await key(page), 'undo', 'the focus is at what takes it back');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a yarn comes in by keyboard alone, and one that is there is changed in the basket', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(page);
  await reach(page, '[data-ball=" "]');
  await page.keyboard.press('Enter');
  assert.equal(await page.evaluate(() => document.activeElement.ariaExpanded), 'true');
  await reach(page, '[data-key="new yarn name"]');
  await page.keyboard.type('heather');
  await page.keyboard.press('Tab');
  assert.equal(await page.evaluate(() => document.getElementById(document.activeElement.getAttribute('aria-describedby')).textContent), 'Such as 210 m per 100 g, 8/2 cotton or 7 wraps per cm');
  await page.keyboard.type('7 wraps per cm');
  await page.keyboard.press('Enter');
  await heard(page, 'Added the yarn heather.');
  await page.waitForFunction(() => document.activeElement?.dataset.ball === 'heather');
  await page.locator('[data-ball=slate]').focus();
  await page.keyboard.press('Space');
  await reach(page, '[data-key="basket yarn slate size"]');
  await page.keyboard.press('Control+A');
  await page.keyboard.type('8 wraps per cm');
  await page.keyboard.press('Enter');
  await heard(page, 'Took slate as 8 wraps per cm of wool.');
  assert.equal((await settled(page, id)).parts.sizes.find(({ name }) => name === 'slate').size, '8 wraps per cm');
  await page.getByLabel('Another needle with it, called').fill('thick slate');
  await page.keyboard.press('Enter');
  await heard(page, 'Added a needle thick slate with slate.');
  await page.getByRole('group', { name: 'On the needle thick slate' }).getByRole('button', { name: 'doubled' }).click();
  await heard(page, 'Laid thick slate doubled on its needle.');
  const needles = (await shown(page, id)).parts.needles.filter(({ yarn }) => yarn === 'slate');
  assert.deepEqual(needles.map(({ name, doubled }) => [name, doubled]), [['slate', false], ['thick slate', true]]);
  await page.getByLabel('What you call it').fill('heather');
  await page.keyboard.press('Enter');
  await heard(page, 'The name heather is taken. Choose another.');
  await page.getByLabel('What you call it').fill('deep water');
  await page.keyboard.press('Enter');
  await heard(page, 'Called slate deep water.');
  assert.match((await settled(page, id)).check.asked, /woven with deep water/);
  assert.equal(await page.getAttribute('[data-ball="deep water"]', 'aria-expanded'), 'true', 'its panel stays open');
  assert.equal(await key(page), 'basket deep water');
  assert.equal(await page.getByLabel('What you call it').inputValue(), 'deep water');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('what is known of a yarn beside its label is noted in the basket, by touch, and taken back', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(page);
  const before = (await shown(page, id)).text;
  const slate = async () => (await shown(page, id)).parts.sizes.find(({ name }) => name === 'slate');
  const line = page.locator('[data-ball=slate]');
  await line.tap();
  const fold = page.locator('[data-key="basket yarn slate fold known slate"]');
  const said = await slate();
  assert.equal(await fold.textContent(), said.all_known);
  assert.equal(await page.locator('[data-key="basket yarn slate halo"]').isVisible(), false, 'the panel is short');
  await fold.tap();
  // Each has the server's words, and takes what they give as an example.
  const done = { have: 'Noted that there is 22 m of slate.', price: 'Noted 4.90 EUR per 50 g for slate.', wraps: 'Noted 7 wraps per cm of slate.', measured: 'Noted a hank of slate of 12.4 g, 31 m.', halo: 'Let the fibres of slate stand out 4 mm.' };
  assert.deepEqual(said.known.map(({ key }) => key), Object.keys(done));
  for (const { key, words, typed, hint } of said.known) {
    const field = page.getByLabel(words[0].toUpperCase() + words.slice(1), { exact: true });
    assert.equal(await field.getAttribute('data-key'), `basket yarn slate ${key}`);
    assert.equal(await field.inputValue(), typed ?? '');
    assert.equal(await page.evaluate((id) => document.getElementById(id).textContent, await field.getAttribute('aria-describedby')), hint);
    const example = done[key].match(/22 m|4\.90 EUR per 50 g|7 wraps per cm|12\.4 g, 31 m|4 mm/)[0];
    assert.ok(hint.includes(example), hint);
    await field.fill(example);
    await page.keyboard.press('Enter');
    await heard(page, done[key]);
  }
  const noted = await slate();
  assert.deepEqual(noted.known.map(({ typed }) => typed), ['22 m', '4.90 EUR per 50 g', '7 wraps per cm', '12.4 g, 31 m', '4 mm']);
  assert.equal(await fold.textContent(), noted.all_known);
  assert.match(await line.textContent(), /, about \d+\.\d\d EUR$/, 'the basket says what it costs');

  // What can't be read is said at its field; what is emptied is known no more.
  const wraps = page.locator('[data-key="basket yarn slate wraps"]');
  await wraps.fill('8/2 cotton');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => /^"8\/2 cotton" counts no wraps\./.test(document.querySelector('.field:has([data-key="basket yarn slate wraps"]) .mend').textContent));
  assert.equal((await slate()).known[2].typed, '7 wraps per cm');
  const halo = page.locator('[data-key="basket yarn slate halo"]');
  await halo.fill('4 cm');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => /is no halo of a yarn/.test(document.querySelector('.field:has([data-key="basket yarn slate halo"]) .mend').textContent));
  await halo.fill('1/8 in');
  await page.keyboard.press('Enter');
  await heard(page, 'Let the fibres of slate stand out 1/8 in.');
  await halo.fill('');
  await page.keyboard.press('Enter');
  await heard(page, 'Let the fibres of slate stand out as is usual.');
  assert.equal((await slate()).known[4].typed, null);
  for (let times = 0; (await shown(page, id)).text !== before && times < 7; times += 1) {
    const head = (await shown(page, id)).head;
    await button(page, 'Undo').tap();
    await page.waitForFunction(([id, head]) => fetch(`/api/pieces/${id}`).then((r) => r.json()).then((piece) => piece.head !== head), [id, head]);
  }
  assert.equal((await shown(page, id)).text, before, 'each is taken back');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a needle is loaded doubled and starts from the other side, in the band it weaves and in the sentence', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(page);
  const slate = async () => (await shown(page, id)).parts.needles.find(({ name }) => name === 'slate');
  await label(page, 'hem').tap();
  await page.locator('summary', { hasText: 'The needle slate' }).tap();
  const group = (name) => page.locator('.band-panel').getByRole('group', { name });
  await group('On the needle slate').getByRole('button', { name: 'doubled' }).tap();
  await heard(page, 'Laid slate doubled on its needle.');
  assert.equal((await slate()).doubled, true);
  assert.equal(await page.getAttribute('[data-key="band needle slate doubled"]', 'aria-pressed'), 'true');
  await group('The needle slate starts from').getByRole('button', { name: 'the left' }).tap();
  await heard(page, 'Started slate from the left.');
  assert.match((await shown(page, id)).text, /\[weft.slate\]\nfrom = "left"[^\n]*\ndoubled = true/);
  assert.match(await page.textContent('.follows'), new RegExp((await settled(page, id)).check.follows.slice(0, 20)));
  assert.deepEqual(wrong, []);
  await context.close();

  const other = await device(browser, server, { size: 'desktop' });
  const second = await piece(other.page);
  await reach(other.page, '.asked [data-yarn=foam]');
  await other.page.keyboard.press('Enter');
  await reach(other.page, '[data-key$="needle foam doubled"]');
  await other.page.waitForFunction(() => document.querySelector('.said .foretold').textContent.startsWith('Lay foam doubled on its needle.'));
  await other.page.keyboard.press('Enter');
  await heard(other.page, 'Laid foam doubled on its needle.');
  const foam = (await settled(other.page, second)).parts.needles.find(({ name }) => name === 'foam');
  assert.deepEqual([foam.doubled, foam.from], [true, 'right']);
  assert.equal(await other.page.locator('.said [data-yarn=reed]').count(), 1);
  await other.page.locator('.asked [data-yarn=reed]').click();
  assert.equal(await other.page.locator('.said .panel').getByRole('group', { name: 'On the needle' }).count(), 0, 'the warp is on no needle');
  await other.context.close();
});

test('a band’s panel opens at its name: rows, weave, wefts, turned and back, by touch', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(page);
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
  const id = await piece(page, 'kelp-headband');
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
    const id = await piece(page);
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
  const id = await piece(page);
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
  const id = await piece(page);
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
  const id = await piece(page);
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

/** Where a border or a name is taken hold of. */
async function middle(locator) {
  await locator.scrollIntoViewIfNeeded();
  const { x, y, width, height } = await locator.boundingBox();
  return [x + width / 2, y + height / 2];
}

test('a border is dragged: the line goes with the pointer, the sentence with it, and one change is saved', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(page);
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
  assert.equal(await page.textContent('.follows'), before.check.follows);

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
    const id = await piece(page);
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
  const id = await piece(page);
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
  await piece(page);
  await page.waitForSelector('.loom[data-shown]');
  const asked = [];
  page.on('request', (request) => request.url().includes('/preview/picture') && asked.push(request.url()));
  const [x, y] = await middle(page.locator('.border').last());
  await page.mouse.move(x, y);
  await page.mouse.down();
  // The page's own time goes on as far as a hand that moves lets it, and no further.
  await page.clock.pauseAt(Date.now() + 60_000);
  for (let k = 1; k <= 6; k += 1) {
    await page.mouse.move(x, y - 8 * k);
    await page.clock.runFor(100);
  }
  // What would come of it is said; it takes the server's time, and none of the page's.
  await page.waitForSelector('.hand-words:not([hidden])');
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

test('on a wide window what a phrase opens stands beside the loom, which stays where it is', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  await piece(page);
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

test('arrows on a border make the band taller by a turn of its wefts, and the focus stays', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(page);
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

test('Ctrl+Z takes back and Ctrl+Shift+Z does again, but for who is writing in a field', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(page);
  await page.locator('.asked [data-about=ends]').click();
  await button(page, 'One end fewer').click();
  await heard(page, 'Took 23 ends.');
  await button(page, 'One end fewer').click();
  await heard(page, 'Took 22 ends.');
  const ends = (count) => page.waitForFunction((count) => document.querySelector('.asked').textContent.includes(`${count} ends`), count);
  await page.keyboard.press('Control+z');
  await ends(23);
  assert.equal(await key(page), 'asked ends  fewer', 'the focus stays');
  await page.keyboard.press('Meta+z');
  await ends(24);
  assert.equal((await shown(page, id)).can_undo, false);
  await page.keyboard.press('Control+Shift+Z');
  await page.keyboard.press('Meta+Shift+Z');
  await ends(22);
  assert.equal((await shown(page, id)).can_redo, false);
  // In a field and in the text it is the letters' own.
  const field = page.getByLabel('Or so wide on the loom');
  await field.pressSequentially('3');
  await page.keyboard.press('Control+z');
  await page.locator('.text summary').click();
  const area = page.getByLabel('The plan’s text');
  await area.press('Control+End');
  await area.pressSequentially('#');
  const typed = await area.inputValue();
  await page.keyboard.press('Control+z');
  assert.notEqual(await area.inputValue(), typed);
  await page.waitForTimeout(300);
  assert.equal((await shown(page, id)).check.plan.ends, 22);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('text that is not saved is kept when one leaves, and said when one comes back', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(page);
  const { text, head } = await shown(page, id);
  const area = page.getByLabel('The plan’s text');
  const written = `${text}\n# for the spring\n`;
  await page.tap('.text summary');
  await area.fill(written);
  await page.waitForFunction(() => document.querySelector('.plan-keep [role=status]').textContent.startsWith('Not saved yet; it is kept'));
  await page.locator('.top a', { hasText: 'All pieces' }).tap();
  await page.waitForSelector('.pieces');
  await go(page, server, `#/piece/${id}`);
  await heard(page, 'What you wrote into the plan’s text is kept, and not saved yet');
  assert.equal(await area.inputValue(), written);
  assert.ok(await area.isVisible());
  await accessible(page, 'a text kept');
  // Also through a page that is loaded anew; and it is said where the piece has gone on meanwhile.
  await ask(page, `/api/pieces/${id}/edit`, { base: head, edit: { edit: 'warp_ends', ends: 22 } });
  await page.reload();
  await page.waitForSelector('.plan');
  assert.equal(await area.inputValue(), written);
  assert.match(await page.textContent('.plan-keep [role=status]'), /The piece was changed since you began/);
  await button(page, 'Save the text').tap();
  await heard(page, 'The text is saved.');
  assert.equal((await shown(page, id)).text, written);
  await page.reload();
  await page.waitForSelector('.border');
  assert.doesNotMatch(await page.textContent('.told'), /kept/);
  // Another piece has nothing of it; and what is thrown away is gone.
  await page.tap('.text summary');
  await area.fill('nothing');
  await button(page, 'Throw it away').tap();
  assert.equal(await area.inputValue(), written);
  assert.equal(await page.evaluate(() => Object.keys(localStorage).filter((key) => key.startsWith('fellmark.text')).length), 0);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a key that is held on a border loses no press: those that come meanwhile are one change', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(page);
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

/** A finger, which playwright has only for taps. */
async function finger(page) {
  const session = await page.context().newCDPSession(page);
  return (type, x, y) => session.send('Input.dispatchTouchEvent', { type, touchPoints: type === 'touchEnd' ? [] : [{ x, y }] });
}

test('a border is dragged by a finger', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(page, 'lichen-coaster');
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
  const id = await piece(page);
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
  const other = await piece(phone.page);
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

test('on a phone what was done and its undo stay in sight, and a name that is seen is the one that is pressed', async () => {
  const { page, wrong, context } = await device(browser, server);
  await piece(page);
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

test('what was changed on the page can be taken back after the program has been closed', async (t) => {
  const own = await start({ keep: true });
  t.after(() => own.stop());
  const { page, context } = await device(browser, own);
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  const before = await shown(page, id);
  await go(page, own, `#/piece/${id}`);
  await page.waitForSelector('.loom-bands li');
  await label(page, 'pools').tap();
  await button(page, '2 rows more').tap();
  await heard(page, 'Made pools 8 rows in both places.');
  await context.close();
  await own.stop();
  const again = await start({ data: own.data });
  t.after(() => again.stop());
  const later = await device(browser, again);
  await go(later.page, again, `#/piece/${id}`);
  assert.equal(rows(await shown(later.page, id), 'pools'), 8);
  await button(later.page, 'Undo').tap();
  await heard(later.page, 'Taken back.');
  assert.equal((await shown(later.page, id)).text, before.text);
  await later.context.close();
});

test('every panel, on every device and in every light', async (t) => {
  for (const size of ['phone', 'desktop']) {
    for (const light of ['light', 'dark']) {
      const { page, context, wrong } = await device(browser, server, { size, light });
      await piece(page);
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

test('what is typed and not taken stays, whatever is drawn anew meanwhile', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(page);
  await page.locator('.asked [data-about=ends]').click();
  const order = page.getByLabel('Their yarns from the left');
  // Another changes something else while one writes: the words stay, and so does the place of the hand.
  await order.fill('12 reed, 12 slate, xx');
  await order.evaluate((field) => field.setSelectionRange(7, 7));
  let sent = 0;
  page.on('request', (request) => {
    sent += /\/edit\?/.test(request.url()) ? 1 : 0;
  });
  const { head } = await shown(page, id);
  await ask(page, `/api/pieces/${id}/edit`, { base: head, edit: { edit: 'name', name: 'Written meanwhile' } });
  await page.waitForFunction(() => document.querySelector('h1').textContent === 'Written meanwhile');
  assert.equal(await order.inputValue(), '12 reed, 12 slate, xx');
  assert.deepEqual(await order.evaluate((field) => [document.activeElement === field, field.selectionStart]), [true, 7]);
  assert.equal(sent, 0, 'who still writes has asked for nothing');
  // What is refused stays too, with what was said of it.
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('.field .mend:not(:empty)'));
  const said = await page.textContent('.field .mend:not(:empty)');
  await page.locator('.views').getByText('the back', { exact: true }).click();
  assert.equal(await order.inputValue(), '12 reed, 12 slate, xx');
  assert.equal(await page.textContent('.field .mend:not(:empty)'), said);
  // Given up, it is the piece's again; taken, it is what the piece says.
  await order.press('Escape');
  assert.equal(await order.inputValue(), '24 reed');
  await order.fill('12 reed, 12 slate');
  await order.press('Enter');
  await page.waitForFunction(() => document.querySelector('.told').textContent !== '');
  assert.equal(await order.inputValue(), '12 reed, 12 slate');
  assert.deepEqual((await shown(page, id)).parts.warp.order, ['12 reed', '12 slate']);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('what is typed while the program does not answer is still there when something else is pressed', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(page);
  await page.locator('.asked [data-about=ends]').click();
  const order = page.getByLabel('Their yarns from the left');
  await page.route('**/api/pieces/*/edit?*', (route) => route.abort());
  await order.fill('12 reed, 12 slate');
  await order.press('Enter');
  await page.waitForFunction(() => document.querySelector('.field .mend:not(:empty)'));
  await page.unroute('**/api/pieces/*/edit?*');
  await page.locator('.views').getByText('the back', { exact: true }).click();
  assert.equal(await order.inputValue(), '12 reed, 12 slate');
  await page.locator('.asked [data-about=purpose]').click();
  await button(page, 'Hanging').click();
  await heard(page, 'Made it a hanging.');
  await page.locator('.asked [data-about=ends]').click();
  assert.equal(await order.inputValue(), '12 reed, 12 slate');
  assert.deepEqual((await shown(page, id)).parts.warp.order, ['24 reed']);
  await order.press('Enter');
  await heard(page, 'slate');
  await context.close();
});

test('what can’t be empty goes back to what it is, and says so', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(page);
  const { check } = await shown(page, id);
  await page.locator('.asked [data-about=purpose]').click();
  const name = page.getByLabel('What you call it');
  await name.fill('');
  await page.keyboard.press('Tab');
  assert.equal(await name.inputValue(), check.plan.name);
  assert.equal(await page.textContent('.field .mend:not(:empty)'), `It can’t be empty; it stays ${check.plan.name}.`);
  await page.locator('.asked [data-about=ends]').click();
  const many = page.getByLabel('How many', { exact: true });
  await many.fill('');
  await many.press('Enter');
  assert.equal(await many.inputValue(), '24');
  assert.match(await page.textContent('.field .mend:not(:empty)'), /it stays 24/);
  assert.equal((await shown(page, id)).check.plan.ends, 24);
  await context.close();
});

test('what a phrase, a yarn or a band opens by key has the focus, and Escape closes it and goes back', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(page);
  await reach(page, '.asked [data-about=ends]');
  await page.keyboard.press('Enter');
  assert.equal(await key(page), 'opened');
  await page.keyboard.press('Tab');
  assert.ok(await page.evaluate(() => document.activeElement.closest('.opened')), 'one tab away is the first of its words');
  // In a field what is written is given up first.
  const order = page.getByLabel('Their yarns from the left');
  await order.focus();
  await order.pressSequentially('x');
  await page.keyboard.press('Escape');
  assert.equal(await order.inputValue(), '24 reed');
  await page.keyboard.press('Escape');
  assert.equal(await page.locator('.opened').first().isVisible(), false);
  assert.equal(await page.evaluate(() => document.activeElement.dataset.about), 'ends');
  // By pointer the focus stays on the phrase, and Escape closes it there.
  await page.locator('.asked [data-about=loom]').click();
  assert.equal(await page.evaluate(() => document.activeElement.dataset.about), 'loom');
  await page.keyboard.press('Escape');
  assert.equal(await page.getAttribute('.asked [data-about=loom]', 'aria-expanded'), 'false');

  await page.locator('[data-ball=slate]').click();
  await page.getByLabel('What you call it').focus();
  await page.keyboard.press('Escape');
  assert.equal(await key(page), 'basket slate');
  assert.equal(await page.getAttribute('[data-ball=slate]', 'aria-expanded'), 'false');

  await label(page, 'pools').focus();
  const name = await key(page);
  await page.keyboard.press('Enter');
  assert.equal(await key(page), 'band title');
  await page.keyboard.press('Escape');
  assert.equal(await page.locator('.band-panel').isVisible(), false);
  assert.equal(await key(page), name);
  assert.equal((await shown(page, id)).can_undo, false, 'nothing was changed');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('the focus is not lost when the only change is taken back by key', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  await piece(page);
  await label(page, 'pools').click();
  await button(page, 'Take it out').click();
  await page.waitForSelector('[data-key=undo]:enabled');
  await page.locator('[data-key=undo]').focus();
  await page.keyboard.press('Control+z');
  await heard(page, 'Taken back.');
  assert.equal(await page.locator('[data-key=undo]').isDisabled(), true);
  assert.equal(await page.evaluate(() => document.activeElement.id), 'findings-title');
  await context.close();
});
