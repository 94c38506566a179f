// Many windows of one browser: a browser gives a host six connections, and no number of windows uses them up. As on the
// computer itself, where a browser has locks, and as on plain http, where it has none.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { ask, device, go, launch, ready } from './browser.mjs';
import { start } from './server.mjs';

const MANY = 8;

let server, browser, helper;
before(async () => {
  [server, browser] = [await start(), await launch()];
  helper = await device(browser, server);
});
after(async () => {
  await browser.close();
  await server.stop();
});

const names = (page) => page.locator('section:has(#yours) .name').allTextContents();
/** Something is begun on another device. */
const begin = async (name) => {
  const { text } = await ask(helper.page, `/api/pieces/${(await ask(helper.page, '/api/pieces', { start: 'plain' })).id}`);
  await ask(helper.page, '/api/pieces', { text: text.replace(/^name( *)= ".*"$/m, `name$1= "${name}"`) });
};
const has = (page, name) => page.locator('section:has(#yours) .name', { hasText: name }).waitFor();

/** Windows of one browser, all at the list, and how many streams they have open. */
async function many({ prepare = () => {} } = {}) {
  const context = await browser.newContext({ locale: 'en-GB' });
  const open = new Set();
  const isStream = (request) => new URL(request.url()).pathname === '/api/events';
  context.on('request', (request) => isStream(request) && open.add(request));
  for (const end of ['requestfinished', 'requestfailed']) context.on(end, (request) => open.delete(request));
  const pages = [];
  const wrong = [];
  await context.addInitScript(prepare);
  for (let k = 0; k < MANY; k += 1) {
    const page = await context.newPage();
    page.on('pageerror', (error) => wrong.push(error.message));
    page.on('close', () => open.forEach((request) => request.frame().page() === page && open.delete(request)));
    pages.push(page);
  }
  return { context, pages, wrong, open };
}

/** Waits for a condition of the test's own. */
async function until(what, is) {
  const end = Date.now() + 30_000;
  while (!is()) {
    assert.ok(Date.now() < end, what);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

test('eight windows are loaded, ask and are told of every change; one of them has the stream, and another when that is closed', async () => {
  const { context, pages, wrong, open } = await many();
  await pages[0].goto(server.enter);
  await ready(pages[0], '#/');
  for (const page of pages.slice(1)) await go(page, server, '#/');
  for (const page of pages) assert.equal((await ask(page, '/api/me')).may, 'edit');
  await until('one stream', () => open.size === 1);
  await begin('Told to all');
  for (const page of pages) await has(page, 'Told to all');
  // The window that has the stream goes; what changes before another has it is not missed.
  const [first] = open;
  const leader = first.frame().page();
  assert.equal(leader, pages[0]);
  await leader.close();
  await begin('Told in between');
  for (const page of pages.slice(1)) await has(page, 'Told in between');
  await until('one stream again', () => open.size === 1);
  assert.ok(pages.includes([...open][0].frame().page()));
  await begin('Told by another');
  for (const page of pages.slice(1)) await has(page, 'Told by another');
  assert.deepEqual(wrong, []);
  await context.close();
});

test('where there are no locks, a window that isn’t seen has no stream, and knows all when it is seen again', async () => {
  const { context, pages, wrong, open } = await many({ prepare: () => {
    delete Navigator.prototype.locks;
    let seen = true;
    Object.defineProperty(Document.prototype, 'visibilityState', { get: () => (seen ? 'visible' : 'hidden') });
    globalThis.see = (now) => {
      seen = now;
      document.dispatchEvent(new Event('visibilitychange'));
    };
  } });
  await pages[0].goto(server.enter);
  await ready(pages[0], '#/');
  for (const [k, page] of pages.entries()) {
    if (k > 0) await go(page, server, '#/');
    await until('its own stream', () => [...open].some((request) => request.frame().page() === page));
    // Another is looked at.
    if (k < MANY - 1) await page.evaluate(() => globalThis.see(false));
    await until('one stream', () => open.size === 1 || k === MANY - 1);
  }
  for (const page of pages) assert.equal((await ask(page, '/api/me')).may, 'edit');
  await begin('Told when seen');
  await has(pages.at(-1), 'Told when seen');
  assert.ok(!(await names(pages[0])).includes('Told when seen'));
  await pages.at(-1).evaluate(() => globalThis.see(false));
  await pages[0].evaluate(() => globalThis.see(true));
  await has(pages[0], 'Told when seen');
  assert.deepEqual(wrong, []);
  await context.close();
});
