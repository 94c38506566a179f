// Nothing is lost under the hand: what is typed stays, what has the focus keeps it, and what was changed is taken back.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { accessible, ask, device, go, heard, launch } from './browser.mjs';
import { button, key, label, piece, reach, rows, shown } from './changing.mjs';
import { start } from './server.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

test('Ctrl+Z takes back and Ctrl+Shift+Z does again, but for who is writing in a field', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page);
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
  const id = await piece(server, page);
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

test('what is typed and not taken stays, whatever is drawn anew meanwhile', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const id = await piece(server, page);
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
  const id = await piece(server, page);
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
  const id = await piece(server, page);
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
  const id = await piece(server, page);
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
  await piece(server, page);
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
