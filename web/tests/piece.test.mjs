// A piece: what there is to mend is mended by touch and by keyboard alone, taken back, and seen on other devices; the
// plan's text says where it can't be read.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { SIZES, accessible, ask, device, eventually, go, heard, launch, printed, ready } from './browser.mjs';
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

/** The example with findings, made anew. */
async function firstTry(page) {
  const { id } = await ask(page, '/api/pieces', { example: 'first-try' });
  await go(page, server, `#/piece/${id}`);
  return id;
}

const kinds = (page) => page.locator('.finding').evaluateAll((all) => all.map((one) => `${one.dataset.kind} ${one.className}`));

test('a remedy is one tap; undo and redo follow', async () => {
  const { page, wrong, context } = await device(browser, server);
  const id = await firstTry(page);
  const before = await kinds(page);
  const asked = await page.textContent('.asked');
  assert.ok(before.length > 0);
  // What the server says is what is shown, in the same order.
  const { check } = await ask(page, `/api/pieces/${id}`);
  assert.deepEqual(await page.locator('.finding .words').allTextContents(), check.findings.map(({ words }) => printed(words)));
  assert.equal(asked, printed(check.asked));

  const remedy = page.getByRole('button', { name: 'Take 27 ends' });
  await remedy.tap();
  await heard(page, 'Took 27 ends.');
  assert.match(await page.textContent('.asked'), /27 ends/);
  assert.equal(await page.evaluate(() => document.activeElement?.id), 'findings-title', 'the focus is not lost');

  await page.getByRole('button', { name: 'Undo' }).tap();
  await heard(page, 'Taken back.');
  assert.equal(await page.textContent('.asked'), asked);
  assert.deepEqual(await kinds(page), before);
  await page.getByRole('button', { name: 'Redo' }).tap();
  await heard(page, 'Done again.');
  assert.match(await page.textContent('.asked'), /27 ends/);
  assert.deepEqual(wrong, []);
  await page.getByRole('button', { name: 'Undo' }).tap();
  await heard(page, 'Taken back.');
  await context.close();
});

test('a remedy is taken and taken back by keyboard alone', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  await firstTry(page);
  // What takes a finding away comes later than what there is to find: what comes after one has passed is passed over.
  await page.waitForSelector('.finding .remedy');
  const asked = await page.textContent('.asked');
  const reach = async (name) => {
    for (let presses = 0; presses < 80; presses += 1) {
      await page.keyboard.press('Tab');
      const at = await page.evaluate(() => document.activeElement?.textContent);
      if (at === name) {
        const ring = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
        assert.equal(ring, 'solid', 'the focus is seen');
        return;
      }
    }
    assert.fail(`${name} is not reached`);
  };
  await reach('Take 27 ends');
  await page.keyboard.press('Enter');
  await heard(page, 'Took 27 ends.');
  assert.match(await page.textContent('.asked'), /27 ends/);
  await reach('Undo');
  await page.keyboard.press('Space');
  await heard(page, 'Taken back.');
  assert.equal(await page.textContent('.asked'), asked);
  await context.close();
});

test('findings are pinned to their rows, and a pin leads to its finding', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  await firstTry(page);
  await page.waitForSelector('.pin');
  const count = (await kinds(page)).length;
  assert.equal(await page.locator('.pin').count(), count);
  await page.getByRole('button', { name: /^Finding 2: / }).click();
  assert.equal(await page.evaluate(() => document.activeElement?.dataset.finding), '2');
  await context.close();
});

test('bands are named at the height at which they lie', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  await go(page, server, `#/piece/${id}`);
  await page.waitForSelector('.loom-bands li');
  // The lines show each row as a path of its own; the cloth has the same names at the same heights.
  await page.getByText('lines', { exact: true }).click();
  await page.waitForSelector('.loom .rows-over');
  const { places } = await ask(page, `/api/pieces/${id}`);
  const names = await page.locator('.loom-bands .band-name').allTextContents();
  assert.deepEqual(names, places.map(({ name }) => name).reverse(), 'the uppermost first');
  // The tall band's name stands beside its middle.
  const tall = places.find(({ name }) => name === 'rising-tide');
  const [name, top, bottom] = await page.evaluate(([first, last]) => {
    const middle = (box) => box.top + box.height / 2;
    const label = [...document.querySelectorAll('.loom-bands li')].find((one) => one.textContent.includes('rising-tide'));
    const row = (number) => document.querySelector(`.loom .rows-over [data-row="${number}"]`).getBoundingClientRect();
    return [middle(label.getBoundingClientRect()), row(last).top, row(first).bottom];
  }, [tall.first_row, tall.first_row + tall.rows - 1]);
  assert.ok(Math.abs(name - (top + bottom) / 2) < 3, `${name} between ${top} and ${bottom}`);
  await page.click('.loom-bands button >> text=shoals');
  await heard(page, 'foam under slate');
  await context.close();
});

test('how the warp is wound is told where the piece is, and goes with what is changed', async () => {
  const { page, context, wrong } = await device(browser, server);
  const id = await firstTry(page);
  const lines = () => page.locator('.winding li').allTextContents();
  const told = async () => (await ask(page, `/api/pieces/${id}`)).winding.map(printed);
  assert.equal(await page.locator('.winding li').first().isVisible(), false, 'it is folded away');
  await page.locator('.winding summary').tap();
  assert.deepEqual(await lines(), await told());
  assert.match((await lines()).join(' '), /^26 ends on 26 of 40 notches.* cut /i);
  await page.getByRole('button', { name: 'Take 27 ends' }).tap();
  await page.waitForFunction(() => document.querySelector('.winding li').textContent.startsWith('27 ends'));
  assert.deepEqual(await lines(), await told());
  assert.ok(await page.locator('.winding li').first().isVisible(), 'it stays open');
  await page.locator('.wound svg .yarn').first().waitFor();
  assert.equal(await page.locator('.wound svg .tied').count(), 2, 'where it starts and where it ends');
  await accessible(page, 'the winding');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('what would come of a remedy is told before it is taken, by mouse and by keyboard', async () => {
  const { page, context, wrong } = await device(browser, server, { size: 'desktop' });
  const id = await firstTry(page);
  const { check } = await ask(page, `/api/pieces/${id}`);
  const offered = (await ask(page, `/api/pieces/${id}/remedies`)).findings;
  const remedies = page.locator('.finding .remedy');
  const told = () => page.locator('.finding .foretold:not(:empty)').allTextContents();
  await remedies.first().hover();
  await page.waitForSelector('.finding .foretold:not(:empty)');
  const { edit, words } = offered.flat()[0];
  const would = await ask(page, `/api/pieces/${id}/preview`, { base: (await ask(page, `/api/pieces/${id}`)).head, edit });

  assert.deepEqual(await told(), [printed(`${words[0].toUpperCase()}${words.slice(1)}. ${would.check.follows}`)]);
  await page.mouse.move(2, 2);
  await page.waitForFunction(() => !document.querySelector('.finding .foretold:not(:empty)'));
  await remedies.nth(1).focus();
  await page.keyboard.press('Shift+Tab');
  await page.waitForSelector('.finding .foretold:not(:empty)');
  assert.equal((await ask(page, `/api/pieces/${id}`)).check.follows, check.follows, 'nothing is changed');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('what takes a finding away comes after the picture; until it does, what it had stays and waits', async () => {
  const { page, context, wrong } = await device(browser, server);
  const id = await firstTry(page);
  await page.waitForSelector('.finding .remedy');
  const offered = () => page.locator('.finding .remedy').allTextContents();
  const before = await offered();
  let go = () => {};
  const held = new Promise((resolve) => {
    go = resolve;
  });
  const asked = [];
  await page.route('**/remedies?*', async (route) => {
    asked.push(await page.locator('.loom').getAttribute('data-shown'));
    await held;
    await route.continue();
  });
  const piece = await ask(page, `/api/pieces/${id}`);
  // Changed elsewhere, in what no remedy is about.
  const { head } = await ask(page, `/api/pieces/${id}/edit`, { base: piece.head, edit: { edit: 'name', name: 'Second try' } });
  await page.waitForFunction(() => document.querySelector('h1').textContent === 'Second try');
  await page.waitForFunction((head) => document.querySelector('.loom').dataset.shown === head, head);
  assert.deepEqual(await offered(), before);
  const kept = await page.evaluateHandle(() => document.querySelector('.finding .remedy'));
  await page.getByRole('button', { name: 'Take 27 ends' }).tap();
  await eventually(() => assert.equal(asked.length, 1));
  assert.equal((await ask(page, `/api/pieces/${id}`)).head, head, 'it is not taken before it was tried out');
  assert.deepEqual(asked, [head], 'it is asked for once, when the picture is there');
  assert.ok(await kept.evaluate((button) => button.isConnected), 'it is the same button');
  go();
  await heard(page, 'Took 27 ends.');
  assert.equal((await ask(page, `/api/pieces/${id}`)).check.plan.name, 'Second try');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a remedy that can’t be tried out says why when it is pressed', async () => {
  const { page, context, wrong } = await device(browser, server);
  const id = await firstTry(page);
  await page.waitForSelector('.finding .remedy');
  const { head: before } = await ask(page, `/api/pieces/${id}`);
  const why = { message: 'The disk is full.', help: 'Make room on it.' };
  await page.route('**/remedies?*', (route) => route.fulfill({ status: 503, contentType: 'application/json', body: JSON.stringify(why) }));
  const { head } = await ask(page, `/api/pieces/${id}/edit`, { base: before, edit: { edit: 'name', name: 'Second try' } });
  await page.waitForFunction((head) => document.querySelector('.loom').dataset.shown === head, head);
  await page.getByRole('button', { name: 'Take 27 ends' }).tap();
  await heard(page, 'The disk is full. Make room on it.');
  assert.equal((await ask(page, `/api/pieces/${id}`)).head, head);
  // Asked for again it comes.
  await page.unroute('**/remedies?*');
  await page.getByRole('button', { name: 'Take 27 ends' }).tap();
  await heard(page, 'Took 27 ends.');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a change on one device is seen on the other', async () => {
  const one = await device(browser, server);
  const other = await device(browser, server);
  const id = await firstTry(one.page);
  await go(other.page, server, `#/piece/${id}`);
  await one.page.getByRole('button', { name: 'Take 27 ends' }).tap();
  await other.page.waitForFunction(() => document.querySelector('.asked').textContent.includes('27 ends'));
  await heard(other.page, 'The piece was changed elsewhere.');
  await one.page.getByRole('button', { name: 'Undo' }).tap();
  await other.page.waitForFunction(() => document.querySelector('.asked').textContent.includes('26 ends'));
  await one.context.close();
  await other.context.close();
});

test('rows that are done on another device are done on the piece’s page, and so is what is begun there', async () => {
  const { page, context, wrong } = await device(browser, server, { size: 'desktop' });
  const id = await firstTry(page);
  const one = await ask(page, `/api/pieces/${id}/weavings`, {});
  const tick = (weaving, row, done = true) => ask(page, `/api/weavings/${weaving}/ticks`, { ticks: [{ id: crypto.randomUUID(), row, done }] });
  const first = () => page.locator('.weave-it .needle').first().textContent();
  const reached = (words) => page.waitForFunction((words) => document.querySelector('.weave-it .needle')?.innerText.replaceAll(/\s+/g, ' ').includes(words), words);
  assert.equal(await first(), 'Weave it');
  await tick(one.id, 1);
  await reached('Go on with row 2');
  await page.locator('.weave-it .needle').focus();
  await tick(one.id, 2);
  await reached('Go on with row 3');
  assert.equal(await page.evaluate(() => document.activeElement.dataset.key), `weaving ${one.id}`, 'the focus stays');
  await tick(one.id, 2, false);
  await reached('Go on with row 2');
  const other = await ask(page, `/api/pieces/${id}/weavings`, { mirrored: true });
  await tick(other.id, 1);
  await page.waitForSelector('.weave-it .others');
  await page.locator('.weave-it .others summary').click();
  await tick(other.id, 2);
  await reached('Go on with row 3');
  assert.ok(await page.locator('.weave-it .others li').first().isVisible(), 'what is unfolded stays so');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('centimetres become inches, in the sentences and on the ruler, and the front becomes the back', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  await go(page, server, `#/piece/${id}`);
  assert.match(await page.textContent('.follows'), /\bcm\b/);
  await page.getByText('inches', { exact: true }).click();
  await page.waitForFunction(() => /\sin\b|inch/.test(document.querySelector('.follows').textContent));
  assert.doesNotMatch(await page.textContent('.follows'), /\bcm\b/);
  await page.waitForFunction(() => !document.querySelector('.loom-ruler').textContent.includes('cm'));
  await page.getByText('lines', { exact: true }).click();
  await page.waitForSelector('.loom .rows-over');
  const ends = () => page.getAttribute('.loom .rows-over [data-row="5"]', 'data-ends');
  const front = await ends();
  await page.getByText('the back', { exact: true }).click();
  await page.waitForFunction((front) => document.querySelector('.loom .rows-over [data-row="5"]')?.getAttribute('data-ends') !== front, front);
  assert.match(await page.getAttribute('.loom-picture', 'aria-label'), /from the back/);
  await context.close();
});

test('a text that can’t be read is told by line and column, and nothing is saved; mended, it is', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  await go(page, server, `#/piece/${id}`);
  const { text } = await ask(page, `/api/pieces/${id}`);
  await page.click('.text summary');
  const area = page.getByLabel('The plan’s text');
  assert.equal(await area.inputValue(), text);
  await area.fill(text.replace('ends = 24', 'ends = "many"'));
  await page.getByRole('button', { name: 'Save the text' }).click();
  const line = text.split('\n').findIndex((one) => one.startsWith('ends = 24')) + 1;
  await heard(page, `Line ${line}, column 8: `);
  assert.equal(await page.textContent('.problem pre'), 'ends = "many"\n       ^');
  assert.equal((await ask(page, `/api/pieces/${id}`)).text, text, 'nothing is saved');
  await page.getByRole('button', { name: `Go to line ${line}` }).click();
  assert.equal(await area.evaluate((one) => one.value.slice(one.selectionStart, one.selectionEnd)), '"many"');

  await area.fill(text.replace('ends = 24', 'ends = 23'));
  await page.keyboard.press('Control+s');
  await heard(page, 'The text is saved.');
  assert.match(await page.textContent('.asked'), /23 ends/);
  assert.equal(await page.textContent('.problem'), '');
  await page.getByRole('button', { name: 'Undo' }).click();
  await heard(page, 'Taken back.');
  assert.equal(await area.inputValue(), text, 'the text follows');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('the file that is saved is the plan', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'lichen-coaster' });
  await go(page, server, `#/piece/${id}`);
  const { text } = await ask(page, `/api/pieces/${id}`);
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByText('Save as file').click()]);
  assert.equal(download.suggestedFilename(), 'lichen-coaster.toml', 'as the server names it');
  const chunks = [];
  for await (const chunk of await download.createReadStream()) chunks.push(chunk);
  assert.equal(Buffer.concat(chunks).toString(), text);
  await context.close();
});

test('a phrase of the second sentence opens what it is made of, by pointer and by key', async () => {
  const { page, wrong, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  await go(page, server, `#/piece/${id}`);
  const { check } = await ask(page, `/api/pieces/${id}?units=cm`);
  assert.equal(await page.textContent('.follows'), printed(check.follows), 'the phrases are the sentence');
  for (const about of ['holds', 'size', 'need']) {
    await page.locator(`.follows [data-about=${about}]`).first().click();
    assert.deepEqual(await page.locator('.why li').allTextContents(), check.why[about].map(printed));
    assert.equal(await page.locator('.phrase[aria-expanded=true]').count(), 1);
  }
  // Closed and opened by keys; the focus stays on the phrase.
  await page.keyboard.press('Enter');
  assert.equal(await page.locator('.why').count(), 0);
  await page.keyboard.press(' ');
  assert.deepEqual(await page.locator('.why li').allTextContents(), check.why.need.map(printed));
  assert.deepEqual(wrong, []);
  await context.close();
});

test('on a phone the cloth is in sight beside the two sentences, and a band beside its panel', async () => {
  const { page, context, wrong } = await device(browser, server);
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  await go(page, server, `#/piece/${id}`);
  await page.waitForSelector('.loom[data-shown]');
  const box = (selector) => page.evaluate((selector) => {
    const { top, bottom, height } = document.querySelector(selector).getBoundingClientRect();
    return { top, bottom, height };
  }, selector);
  const high = SIZES.phone.height;
  const [asked, follows, cloth] = [await box('.asked'), await box('.follows'), await box('.loom-picture')];
  assert.ok(asked.top >= 0 && follows.bottom < cloth.top, 'the sentences come first');
  assert.ok(high - cloth.top >= 250, `${high - cloth.top} pixels of the cloth are seen`);

  for (const index of [5, 2, 0]) {
    const name = page.locator(`.loom-bands [data-band="${index}"]`);
    await name.evaluate((button) => button.click());
    await page.waitForSelector('.band-panel:not([hidden])');
    const [panel, lit] = [await box('.band-panel'), await box('.loom-lines .lit')];
    assert.ok(lit.top >= 0 && lit.top < panel.top, `the band's upper border, at ${lit.top}, is above the panel, at ${panel.top}`);
    assert.ok(panel.top > high * 0.4 && panel.bottom === high, 'the panel has the lower half');
    assert.equal(await page.evaluate(() => document.activeElement.id), 'band-title');
    assert.equal((await page.evaluate(() => document.activeElement.textContent)).split(/[, ]/)[0].toLowerCase(), (await name.textContent()).split(' ')[0]);
  }
  await accessible(page, 'a band and its panel');
  assert.deepEqual(await measure(page), []);
  // A change is made in the panel and seen above it; what was done and its undo stand below.
  await page.getByRole('button', { name: 'One row more' }).tap();
  await page.waitForFunction(() => document.querySelector('.told').textContent !== '');
  assert.ok((await box('.done')).bottom <= high && (await box('.done')).top > (await box('.band-panel')).top);
  await page.locator('.band-panel').getByRole('button', { name: 'Close' }).tap();
  assert.equal(await page.locator('.band-panel').isVisible(), false);
  assert.equal(await page.evaluate(() => document.activeElement.dataset.key), 'name 0');
  // Turned on its side, or wider, it stands where it stood.
  const stands = (parts) => page.waitForFunction((parts) => [...document.querySelector('main').children].map((one) => one.className.split(' ')[0]).join(' ') === parts, parts);
  await page.setViewportSize(SIZES.tablet);
  await stands('said weave-it basket bench text on-paper');
  await page.setViewportSize(SIZES.phone);
  await stands('said bench text on-paper');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('on a phone what goes on from here is in the first view, and so are the sentences and the cloth', async () => {
  for (const [width, height] of [[390, 844], [360, 640]]) {
    for (const light of ['light', 'dark']) {
      const { page, wrong, context } = await device(browser, server, { light });
      await page.setViewportSize({ width, height });
      for (const example of ['tideline-mat', 'kelp-headband', 'first-try']) {
        const { id: theirs } = await ask(page, '/api/pieces', { example });
        // One of its own, that nobody weaves.
        const { text } = await ask(page, `/api/pieces/${theirs}`);
        const { id } = await ask(page, '/api/pieces', { text: `${text}# seen at ${width} in the ${light}\n` });
        await go(page, server, `#/piece/${id}`);
        await page.waitForSelector('.loom[data-shown]');
        const boxes = () => page.evaluate(() => ['.weave-it .needle', '.said', '.loom-picture'].map((one) => document.querySelector(one).getBoundingClientRect().toJSON()));
        const [needle, said, cloth] = await boxes();
        assert.ok(needle.bottom <= said.bottom && needle.right <= width, `${example}, ${width}: ${needle.bottom}`);
        assert.ok(needle.height >= 44 && said.bottom <= height, `${example}, ${width}: ${said.bottom}`);
        assert.ok(cloth.top < height, `${example}, ${width}: ${cloth.top}`);
        // In the order in which they are seen for those who tab or listen.
        assert.equal(await page.evaluate(() => document.querySelector('.asked').compareDocumentPosition(document.querySelector('.weave-it .needle'))), 2);
      }
      assert.deepEqual(await measure(page), []);
      assert.deepEqual(wrong, []);
      await context.close();
    }
  }
  // One that is on its way goes on from there as well, and another may be begun after the cloth.
  const { page, wrong, context } = await device(browser, server);
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  const { id: weaving } = await ask(page, `/api/pieces/${id}/weavings`, {});
  await ask(page, `/api/weavings/${weaving}/ticks`, { ticks: [{ id: crypto.randomUUID().replaceAll('-', ''), row: 1, done: true, at: 0 }] });
  await go(page, server, `#/piece/${id}`);
  await page.waitForSelector('.loom[data-shown]');
  const going = page.locator('.titled .needle');
  assert.match(await going.textContent(), /^Go on with row/);
  const { y, height } = await going.boundingBox();
  assert.ok(y + height < SIZES.phone.height / 2);
  assert.equal(await page.locator('.middle .weave-it').getByRole('button', { name: 'Weave another', exact: true }).count(), 1);
  await accessible(page, 'a piece that is on the loom, on a phone');
  await going.tap();
  await page.waitForURL(/#\/weave\//);
  assert.deepEqual(wrong, []);
  await context.close();
});
