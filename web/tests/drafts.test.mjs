// What was written into a plan's text and not saved: each window keeps its own, however busy it is, and what a closed one
// leaves is found by the next. As on the computer itself, where a browser has locks, and as on plain http, where it has none.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { ask, device, go, heard, launch } from './browser.mjs';
import { start } from './server.mjs';

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

const FOUND = 'What you wrote into the plan’s text is kept, and not saved yet';
const area = (page) => page.getByLabel('The plan’s text');
const written = (page) => area(page).inputValue();
const away = (page) => page.getByRole('button', { name: 'Throw it away' }).click();
const drafts = (page) => page.evaluate(() => Object.keys(localStorage).filter((key) => key.startsWith('fellmark.text')).length);

/** A piece open in a first window. */
async function begin(locks) {
  const { page, context, wrong } = await device(browser, server, { size: 'desktop' });
  if (!locks) await context.addInitScript(() => delete Navigator.prototype.locks);
  const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
  const { text } = await ask(page, `/api/pieces/${id}`);
  /** Until it is known whose what is kept is. */
  const looked = (page) => page.waitForSelector('textarea[data-looked]', { state: 'attached' });
  const reload = async (page) => {
    await page.reload();
    await looked(page);
  };
  const open = async (page) => {
    await page.goto('about:blank');
    await go(page, server, `#/piece/${id}`);
    await looked(page);
    await page.locator('.text').evaluate((text) => {
      text.open = true;
    });
    return page;
  };
  await open(page);
  assert.equal(await page.evaluate(() => 'locks' in navigator), locks);
  return { one: page, context, wrong, text, reload, open };
}

/** Stops a page in the middle of something until the answer is called: it is there, and answers nobody. */
async function busy(page) {
  const session = await page.context().newCDPSession(page);
  await session.send('Debugger.enable');
  const paused = new Promise((resolve) => session.once('Debugger.paused', resolve));
  const stopped = page.evaluate(() => { debugger; });
  await paused;
  return async () => {
    await session.send('Debugger.resume');
    await stopped;
    await session.detach();
  };
}

for (const locks of [true, false]) {
  const where = locks ? 'with locks' : 'without locks';

  test(`two windows have a text each that is not saved; what a closed one leaves is found by the next, ${where}`, async () => {
    const { one, context, wrong, text, reload, open } = await begin(locks);
    await area(one).fill(`${text}# of the first`);
    const other = await open(await context.newPage());
    assert.equal(await written(other), text, 'the other window is there, and its words are its own');
    await area(other).fill(`${text}# of the second`);
    await reload(one);
    assert.equal(await written(one), `${text}# of the first`);
    await away(other);
    await reload(one);
    assert.equal(await written(one), `${text}# of the first`);
    // Closed, it leaves its words to the one that comes next.
    await one.close();
    await other.reload();
    await heard(other, FOUND);
    assert.equal(await written(other), `${text}# of the first`);
    assert.ok(await area(other).isVisible());
    await reload(other);
    assert.equal(await written(other), `${text}# of the first`);
    await away(other);
    assert.equal(await drafts(other), 0, 'thrown away it is thrown away');
    assert.deepEqual(wrong, []);
    await context.close();
  });

  test(`a window that is busy loses its words to nobody, ${where}`, async () => {
    const { one, context, wrong, text, reload, open } = await begin(locks);
    await area(one).fill(`${text}# of the first`);
    const goOn = await busy(one);
    const other = await open(await context.newPage());
    // Without locks nobody knows whether it is there: then its words are copied.
    assert.equal(await written(other), locks ? text : `${text}# of the first`);
    await goOn();
    await reload(one);
    assert.equal(await written(one), `${text}# of the first`);
    // What it wrote since is its own, and stays when the copy is thrown away.
    await area(one).fill(`${text}# of the first, and more`);
    if (!locks) await away(other);
    await reload(one);
    assert.equal(await written(one), `${text}# of the first, and more`);
    assert.deepEqual(wrong, []);
    await context.close();
  });

  test(`a window that shows something else meanwhile loses its words to nobody, ${where}`, async () => {
    const { one, context, wrong, text, open } = await begin(locks);
    const hash = await one.evaluate(() => location.hash);
    await area(one).fill(`${text}# of the first`);
    await one.getByRole('link', { name: 'All pieces' }).click();
    await one.waitForSelector('#yours');
    const other = await open(await context.newPage());
    assert.equal(await written(other), text);
    await one.evaluate((hash) => {
      location.hash = hash;
    }, hash);
    await one.waitForSelector('textarea.plan', { state: 'attached' });
    assert.equal(await written(one), `${text}# of the first`);
    assert.deepEqual(wrong, []);
    await context.close();
  });

  test(`a window that is a copy of another has a text of its own, ${where}`, async () => {
    const { one, context, wrong, text, reload, open } = await begin(locks);
    await area(one).fill(`${text}# of the first`);
    const session = await one.evaluate(() => JSON.stringify({ ...sessionStorage }));
    const other = await context.newPage();
    await other.addInitScript((session) => {
      if (sessionStorage.length === 0) Object.assign(sessionStorage, JSON.parse(session));
    }, session);
    await open(other);
    assert.equal(await written(other), `${text}# of the first`);
    await area(other).fill(`${text}# of the copy`);
    for (const [page, words] of [[one, 'first'], [other, 'copy']]) {
      await reload(page);
      assert.equal(await written(page), `${text}# of the ${words}`);
    }
    assert.deepEqual(wrong, []);
    await context.close();
  });
}
