// Yarns and needles, changed in the sentence and in the basket, by touch and by keyboard alone.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { device, heard, launch, printed } from './browser.mjs';
import { button, key, label, piece, reach, settled, shown } from './changing.mjs';
import { start } from './server.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

test('a yarn is dyed, sized and replaced in the sentence', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page);
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
  const id = await piece(server, page);
  const yarn = async (name) => (await shown(page, id)).parts.sizes.find((one) => one.name === name);
  await button(page, 'Another yarn').tap();
  await button(page, 'Put it into the basket').tap();
  await page.waitForFunction(() => document.querySelector('.basket .panel-trouble:not(:empty)'));
  assert.match(await page.textContent('.basket .panel-trouble'), /size/, 'what is missing is said');
  await page.getByLabel('Size, as its label says').fill('132 m per 100 g');
  await button(page, 'Put it into the basket').tap();
  await page.waitForFunction(() => /name/.test(document.querySelector('.basket .panel-trouble').textContent));
  await page.getByLabel('What you call it').fill('heather');
  assert.equal(await page.getByLabel('Size, as its label says').inputValue(), '132 m per 100 g', 'what was typed stays');
  await page.getByLabel('Made of').selectOption('wool');
  await button(page, 'mud-lark').tap();
  await page.waitForFunction(() => document.querySelector('.basket .foretold').textContent.startsWith('Add the yarn heather.'));
  await button(page, 'Put it into the basket').tap();
  await heard(page, 'Added the yarn heather.');
  const { size, fibre, unused } = await yarn('heather');
  assert.deepEqual([size, fibre, unused], ['132 m per 100 g', 'wool', true]);
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
  const id = await piece(server, page);
  await reach(page, '[data-ball=" "]');
  await page.keyboard.press('Enter');
  assert.equal(await page.evaluate(() => document.activeElement.ariaExpanded), 'true');
  await reach(page, '[data-key="new yarn name"]');
  await page.keyboard.type('heather');
  await page.keyboard.press('Tab');
  assert.equal(await page.evaluate(() => document.getElementById(document.activeElement.getAttribute('aria-describedby')).textContent), printed('Such as 210 m per 100 g, 8/2 cotton or 7 wraps per cm'));
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
  await heard(page, 'Renamed slate to deep water.');
  assert.match((await settled(page, id)).check.asked, /woven with deep water/);
  assert.equal(await page.getAttribute('[data-ball="deep water"]', 'aria-expanded'), 'true', 'its panel stays open');
  assert.equal(await key(page), 'basket deep water');
  assert.equal(await page.getByLabel('What you call it').inputValue(), 'deep water');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('what is known of a yarn beside its label is noted in the basket, by touch, and taken back', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await piece(server, page);
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
    assert.equal(await page.evaluate((id) => document.getElementById(id).textContent, await field.getAttribute('aria-describedby')), printed(hint));
    const example = done[key].match(/22 m|4\.90 EUR per 50 g|7 wraps per cm|12\.4 g, 31 m|4 mm/)[0];
    assert.ok(hint.includes(example), hint);
    await field.fill(example);
    await page.keyboard.press('Enter');
    await heard(page, done[key]);
  }
  const noted = await slate();
  assert.deepEqual(noted.known.map(({ typed }) => typed), ['22 m', '4.90 EUR per 50 g', '7 wraps per cm', '12.4 g, 31 m', '4 mm']);
  assert.equal(await fold.textContent(), printed(noted.all_known));
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
  const id = await piece(server, page);
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
  const second = await piece(server, other.page);
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
