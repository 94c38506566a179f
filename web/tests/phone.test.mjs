// Weave from your phone: opened on the computer, a code, two devices at once, rights, sent away, closed.
import { after, before, beforeEach, test } from 'node:test';
import assert from 'node:assert/strict';
import { connect } from 'node:net';
import { networkInterfaces } from 'node:os';
import { SIZES, accessible, ask, come, device, eventually, go, heard, launch, ready } from './browser.mjs';
import { measure } from './measure.mjs';
import { start } from './server.mjs';
import * as weave from './weave.mjs';

const { reached, said } = weave;

// A real address of this machine where it has one: there browsers are as a phone is, on plain http.
const REAL = Object.values(networkInterfaces()).flat().some(({ family, internal }) => family === 'IPv4' && !internal);
const ADDRESS = REAL ? [] : ['--network', '127.0.0.2'];
const PHONE = 'Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/156.0.0.0 Mobile Safari/537.36';

let server, browser, here, weaving, piece;
before(async () => {
  [server, browser] = [await start({ more: ADDRESS }), await launch()];
  here = (await device(browser, server, { size: 'desktop' })).page;
  piece = (await ask(here, '/api/pieces', { example: 'tideline-mat' })).id;
  weaving = (await ask(here, `/api/pieces/${piece}/weavings`, {})).id;
});
// Also after a test that failed.
beforeEach(alone);
after(async () => {
  await browser.close();
  await server.stop();
});

const post = (path, body = {}) => ask(here, path, body);
const network = () => ask(here, '/api/network');
const done = () => weave.done(here, weaving);
const isDone = (...rows) => weave.isDone(here, weaving, rows);
/** All devices together may try a code once a second. */
const second = () => new Promise((resolve) => setTimeout(resolve, 1100));
// Over plain http browsers say that they pass over one of the headers; that they were refused is what is tested.
const serious = (wrong) => wrong.filter((one) => !/Cross-Origin-Opener-Policy|ERR_CONNECTION_REFUSED/.test(one));

/** A phone that was let in by the link of a code, as a camera opens it. */
async function phone(may, { to = weaving, ...how } = {}) {
  const { open } = await network();
  if (!open) await post('/api/network/open');
  await second();
  const { code } = await post('/api/network/code', to ? { may, weaving: to } : { may });
  const one = await device(browser, server, { enter: false, ...how });
  await one.page.goto(code.link);
  await (to ? come(one.page, '#/weave/') : ready(one.page, '#/'));
  const { devices } = await network();
  return { ...one, origin: new URL(code.link).origin, id: devices.toSorted((a, b) => b.since - a.since)[0].id };
}

/** Sends all devices away, and closes. */
async function alone() {
  for (const { id } of (await network()).devices) await post(`/api/devices/${id}/send-away`);
  await post('/api/network/shut');
}

const answers = (address) => new Promise((resolve) => {
  const { hostname, port } = new URL(address);
  const socket = connect({ host: hostname, port: Number(port) }, () => {
    socket.destroy();
    resolve(true);
  });
  socket.on('error', () => resolve(false));
});

test('from the page to a phone that weaves: opened, scanned, ticked, and closed with one tap', async () => {
  await go(here, server, `#/weave/${weaving}`);
  await here.click('text=Settings');
  await here.click('dialog >> text=Weave from your phone');
  await come(here, '#/phone/');
  assert.equal(await here.locator('dialog').count(), 0);
  assert.match(await here.textContent('.door'), /It is closed: no other device reaches Fellmark/);
  assert.equal((await network()).open, false, 'off until it is switched on');
  await here.click('[data-door=open]');
  await heard(here, 'It is open. Now let a device in.');
  await here.click('[data-right=edit]');
  await here.waitForSelector('.qr');
  const { code, addresses } = await network();
  assert.equal(await here.textContent('p.code'), code.words);
  assert.equal(await here.getAttribute('.qr', 'alt'), `QR code of the address ${code.link}`);
  assert.ok(await here.evaluate(() => document.querySelector('.qr').decode().then(() => document.querySelector('.qr').naturalWidth > 0)), 'it is drawn');

  const { page, context, wrong, hosts } = await device(browser, server, { enter: false, agent: PHONE });
  await page.goto(code.link);
  await come(page, '#/weave/');
  assert.equal(new URL(page.url()).hash, `#/weave/${weaving}`, 'it shows the weaving, and the code is gone from the address');
  await heard(here, 'Android phone is let in.');
  assert.equal(await here.locator('.qr').count(), 0, 'the code is used up');
  await reached(page, 'Before row 1');
  await page.tap('text=The warp is wound');
  await reached(page, 'Before row 1: begin');
  await weave.next(page);
  await reached(page, 'Row 1 of');
  await weave.next(page);
  await reached(page, 'Row 2 of');
  await isDone(1);
  assert.equal(await page.locator('.only-here:visible').count(), 0, 'only the computer opens and closes');
  assert.deepEqual([...hosts], [new URL(addresses[0]).origin]);

  await here.click('[data-door=shut]');
  await heard(here, 'Closed. No other device reaches Fellmark now.');
  assert.equal(await answers(addresses[0]), false);
  await heard(page, 'Closed on the computer: rows done are kept on this phone');
  // Rows done meanwhile are kept, and sent when it is open again.
  await weave.next(page);
  await reached(page, 'Row 3 of');
  assert.deepEqual(await done(), [1]);
  await here.click('[data-door=open]');
  await page.waitForFunction(() => document.querySelector('.kept').textContent === '', null, { timeout: 15_000 });
  await isDone(1, 2);
  assert.deepEqual(serious(wrong), []);
  await alone();
  await context.close();
});

test('who follows goes from the weaving to the piece, reads its text, and is told where it may no longer save', async () => {
  const looker = await phone('follow');
  await looker.page.getByRole('link', { name: 'The piece' }).tap();
  await come(looker.page, '#/piece/');
  await looker.page.tap('.text summary');
  const area = looker.page.getByLabel('The plan’s text');
  assert.equal(await area.getAttribute('readonly'), '');
  const allow = async (may) => {
    await post(`/api/devices/${looker.id}/may`, { may });
    await looker.page.waitForFunction((may) => document.documentElement.dataset.may === may, may);
  };
  await allow('edit');
  assert.equal(await area.getAttribute('readonly'), null);
  const text = await area.inputValue();
  await area.fill(`${text}# at the loom`);
  await allow('follow');
  assert.equal(await area.getAttribute('readonly'), '');
  assert.equal(await area.inputValue(), `${text}# at the loom`);
  assert.equal(await looker.page.textContent('.plan-keep [role=status]'), 'Not saved: this device only follows now. What you wrote is kept on it.');
  assert.ok(await looker.page.locator('.plan-keep [role=status]').isVisible());
  assert.equal(await looker.page.getByRole('button', { name: 'Save the text' }).isVisible(), false);
  await allow('edit');
  assert.match(await looker.page.textContent('.plan-keep [role=status]'), /^Not saved yet; it is kept on this device/);
  assert.ok(await looker.page.getByRole('button', { name: 'Save the text' }).isVisible());
  await looker.page.getByRole('button', { name: 'Throw it away' }).tap();
  assert.deepEqual(serious(looker.wrong), []);
  await alone();
  await looker.context.close();
});

test('two devices at once: one weaves, one follows and can’t tick, in the page or past it', async () => {
  const weaver = await phone('edit');
  const looker = await phone('follow');
  const row = (await done()).length + 1;
  await looker.page.waitForFunction((row) => document.querySelector('#row-said').textContent.startsWith(`Row ${row} of`), row);
  assert.match(await looker.page.textContent('.kept'), /This device follows: it sees everything and changes nothing/);
  for (const way of ['.next', 'text=Back', 'text=Stop here']) assert.equal(await looker.page.locator(way).isVisible(), false, way);
  for (const key of ['Space', 'Enter', 'ArrowRight', 'Backspace']) await looker.page.keyboard.press(key);
  await weave.next(weaver.page);
  await reached(looker.page, `Row ${row + 1} of`);
  await eventually(async () => assert.equal((await done()).length, row, 'the one row that was ticked by the one who may'));
  const raw = await looker.page.evaluate(async (path) => {
    const body = JSON.stringify({ ticks: [{ id: 'a'.repeat(32), row: 50, done: true }] });
    const answer = await fetch(path, { method: 'POST', headers: { 'content-type': 'application/json' }, body });
    return [answer.status, (await answer.json()).message];
  }, `/api/weavings/${weaving}/ticks`);
  assert.deepEqual(raw, [403, 'This device may follow: it sees everything and changes nothing.']);
  assert.equal((await done()).length, row);
  // Nothing that changes a piece is offered to it.
  await looker.page.goto(`${looker.origin}/#/piece/${piece}`);
  await come(looker.page, '#/piece/');
  for (const way of ['text=Undo', 'text=Weave another', '.plan-keep', '.remedies', '.asked .phrase', 'text=Another yarn', '.basket button']) assert.equal(await looker.page.locator(way).first().isVisible().catch(() => false), false, way);
  assert.match(await looker.page.textContent('.weave-it'), /Follow row/);
  await looker.page.locator('.loom-bands li:not(.unnamed) button').first().tap();
  assert.equal(await looker.page.locator('.band-panel').isVisible(), false);
  assert.notEqual(await looker.page.textContent('.band-said'), '', 'what a band is can be seen');
  await looker.page.locator('.follows .phrase').first().tap();
  assert.ok(await looker.page.locator('.why li').count() > 0, 'and so can reasons');
  assert.equal(await looker.page.locator('.opened button').count(), 0);

  // On the computer it is allowed to edit; the phone has it at once.
  await looker.page.goto(`${looker.origin}/#/weave/${weaving}`);
  await come(looker.page, '#/weave/');
  await go(here, server, '#/phone');
  await here.locator(`[data-device="${looker.id}"]`).getByText('may edit').click();
  await heard(here, 'may edit now.');
  await looker.page.waitForSelector('.next', { state: 'visible' });
  const before = await said(looker.page);
  await weave.next(looker.page);
  await looker.page.waitForFunction((before) => document.querySelector('#row-said').textContent !== before, before);
  assert.deepEqual([...serious(weaver.wrong), ...serious(looker.wrong)], []);
  await alone();
  await weaver.context.close();
  await looker.context.close();
});

test('a device that is sent away is told so at once, and comes back with a new code', async () => {
  const { page, context, id } = await phone('edit');
  await go(here, server, '#/phone');
  await here.locator(`[data-device="${id}"]`).getByText('Send away').click();
  await heard(here, 'is sent away.');
  await page.waitForSelector('.let-in');
  assert.equal(await page.textContent('h1'), 'This device is no longer let in.');
  assert.match(await page.textContent('.let-in'), /sent away on the computer/);
  assert.equal(await page.textContent('#news'), '');
  assert.equal((await page.evaluate(() => fetch('/api/pieces').then(({ status }) => status))), 401);
  await second();
  const { code } = await post('/api/network/code', { may: 'follow' });
  await page.fill('#code', code.words.toLowerCase());
  await page.keyboard.press('Enter');
  await ready(page, '#/');
  await page.waitForSelector('#yours');
  assert.match(await page.textContent('.only-follows'), /This device follows/);
  await alone();
  await context.close();
});

test('wrong codes are limited, and what is wrong with a code is said', async () => {
  await post('/api/network/open');
  const { code, addresses: [address] } = await post('/api/network/code', { may: 'edit' });
  await go(here, server, '#/phone');
  const { page, context } = await device(browser, server, { enter: false });
  await page.goto(address);
  await page.waitForSelector('.let-in');
  assert.equal(await page.textContent('h1'), 'This device has not been let in.');
  const wrong = [...code.words.replace(' ', '')].map((sign) => (sign === '7' ? '8' : '7')).join('');
  const type = async (typed) => {
    await page.fill('#code', typed);
    await page.tap('.let-in button');
  };
  await second();
  // What has not as many signs is a slip, and uses up no try.
  await type(wrong.slice(0, 3));
  await heard(page, 'A code has six signs.');
  await type(wrong);
  await heard(page, 'That is another code than the one on the computer.');
  await second();
  // One right after the other, from within the page: who drives it may take longer than a second.
  await page.evaluate(async ([wrong, right]) => {
    await fetch('/api/pair', { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify({ code: wrong }) });
    document.querySelector('#code').value = right;
    document.querySelector('.let-in form').requestSubmit();
  }, [wrong, code.words]);
  await heard(page, 'Wait a second, then try again.');
  for (const left of ['2 more tries', 'One more try']) {
    await second();
    await type(wrong);
    await heard(page, left);
  }
  await second();
  await type(wrong);
  await heard(page, 'There is no code to let a device in now.');
  await heard(here, 'Five tries were wrong, so the code is void.');
  await second();
  await type(code.words);
  await heard(page, 'Ask for a new one on the computer');
  assert.deepEqual((await network()).devices, []);
  await alone();
  await context.close();
});

test('a code that is used or too old says so on the phone', async () => {
  const brief = await start({ more: ['--code-lasts', '2', ...ADDRESS] });
  const home = await device(browser, brief, { size: 'desktop' });
  await ask(home.page, '/api/network/open', {});
  await go(home.page, brief, '#/phone');
  const [answer] = await Promise.all([home.page.waitForResponse('**/api/network/code'), home.page.click('[data-right=edit]')]);
  const { code } = await answer.json();
  await heard(home.page, 'The code’s time is over. Ask for another.');
  assert.equal(await home.page.locator('.qr').count(), 0);
  const { page, context } = await device(browser, brief, { enter: false });
  await page.goto(code.link);
  await heard(page, 'There is no code to let a device in now.');
  await heard(page, 'A code works once, for a few minutes');
  assert.equal(new URL(page.url()).hash, '#/let-in');
  await context.close();
  await home.context.close();
  await brief.stop();

  const first = await phone('edit', { to: null });
  await second();
  const { code: used } = await post('/api/network/code', { may: 'edit' });
  await first.page.goto('about:blank');
  await first.page.goto(used.link);
  await ready(first.page, '#/');
  assert.equal((await network()).devices.length, 1, 'a phone that scans again stands in the list once');
  const late = await device(browser, server, { enter: false });
  await second();
  await late.page.goto(used.link);
  await heard(late.page, 'Ask for a new one on the computer');
  await alone();
  await first.context.close();
  await late.context.close();
});

test('a device can’t open, close or let others in', async () => {
  const { page, context, origin } = await phone('edit');
  await page.goto(`${origin}/#/phone`);
  await page.waitForSelector('.trouble');
  assert.match(await page.textContent('.trouble'), /only on the computer that Fellmark runs on/);
  const status = (path, body) => page.evaluate(async ([path, body]) => (await fetch(path, body ? { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) } : {})).status, [path, body]);
  for (const [path, body] of [['/api/network'], ['/api/network/code.svg'], ['/api/network/open', {}], ['/api/network/shut', {}], ['/api/network/code', { may: 'edit' }], ['/api/enter', { token: new URL(server.enter).hash.slice(1) }]]) {
    assert.equal(await status(path, body), 403, path);
  }
  await alone();
  await context.close();
});

test('all of it goes by keys, and the focus goes where it goes on', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const focused = () => page.evaluate(() => document.activeElement.id || document.activeElement.textContent);
  await page.focus('text=Weave from your phone');
  await page.keyboard.press('Enter');
  await ready(page, '#/phone');
  await page.focus('[data-door=open]');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.activeElement.id === 'letting');
  await page.keyboard.press('Tab');
  assert.equal(await focused(), 'One that may edit');
  await page.keyboard.press('Tab');
  assert.equal(await focused(), 'One that may follow');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.activeElement.id === 'code-title');
  const { code } = await network();
  const tablet = await device(browser, server, { enter: false, size: 'tablet' });
  await second();
  await tablet.page.goto(code.link);
  await ready(tablet.page, '#/');
  await page.waitForSelector('[data-device]');
  await page.focus('[data-device] input:checked');
  await page.keyboard.press('ArrowLeft');
  await heard(page, 'may edit now.');
  assert.equal((await network()).devices[0].may, 'edit');
  await page.waitForFunction(() => document.activeElement.matches('[data-device] input:checked'));
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.activeElement.id === 'devices');
  assert.deepEqual((await network()).devices, []);
  await page.focus('[data-door=shut]');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.activeElement.dataset.door === 'open');
  await tablet.context.close();
  await context.close();
});

test('a device is called otherwise from the computer, by keys or by tap, and a name that is taken is refused', async () => {
  const [one, other] = [await phone('edit', { agent: PHONE }), await phone('follow', { agent: PHONE })];
  const { page, context, wrong } = await device(browser, server, { size: 'desktop' });
  await go(page, server, '#/phone');
  const names = async () => (await network()).devices.map(({ name }) => name).sort();
  assert.deepEqual(await names(), ['Android phone', 'Android phone 2']);
  const line = (id) => page.locator(`[data-device="${id}"]`);
  await line(one.id).locator('[data-way=rename]').focus();
  await page.keyboard.press('Enter');
  assert.equal(await page.evaluate(() => document.activeElement.value), 'Android phone');
  await page.keyboard.type('At the loom');
  // The list comes anew while the name is typed: what was typed stays, and so does the place in it.
  await post(`/api/devices/${other.id}/may`, { may: 'edit' });
  await page.waitForFunction((id) => document.querySelector(`[data-device="${id}"] input:checked`)?.value === 'edit', other.id);
  await page.keyboard.type(', left');
  assert.equal(await page.evaluate(() => document.activeElement.value), 'At the loom, left');
  await accessible(page, 'renaming');
  await page.keyboard.press('Enter');
  await heard(page, 'It has its new name.');
  assert.deepEqual(await names(), ['Android phone 2', 'At the loom, left']);
  await page.waitForFunction((id) => document.activeElement.matches(`[data-device="${id}"] [data-way=rename]`), one.id);
  assert.equal((await ask(one.page, '/api/me')).name, 'At the loom, left');

  await line(other.id).locator('[data-way=rename]').click();
  await page.keyboard.type('At the loom, left');
  await page.click('text=Keep this name');
  await heard(page, 'Another device is called At the loom, left. Choose a name that tells them apart.');
  assert.equal(await page.evaluate(() => document.activeElement.value), 'At the loom, left', 'it is there to be mended');
  await page.keyboard.press('Escape');
  await page.waitForFunction(() => !document.querySelector('.renaming'));
  assert.deepEqual(await names(), ['Android phone 2', 'At the loom, left']);
  assert.deepEqual(serious(wrong), []);
  for (const each of [one, other, { context }]) await each.context.close();
});

test('every new view: nothing to find for axe-core, nothing too small, nothing that sticks out', async (t) => {
  const check = async (page, name) => {
    await accessible(page, name);
    assert.deepEqual(await measure(page), [], name);
  };
  for (const size of Object.keys(SIZES)) for (const light of ['light', 'dark']) await t.test(`${size}, ${light}`, async () => {
    await alone();
    const { page, context, wrong } = await device(browser, server, { size, light });
    await go(page, server, `#/phone/${weaving}`);
    await check(page, 'closed');
    await page.click('[data-door=open]');
    await page.click('[data-right=follow]');
    await page.waitForSelector('.qr');
    await check(page, 'with a code');
    const { addresses: [address] } = await network();
    const looker = await device(browser, server, { size, light, enter: false });
    await looker.page.goto(address);
    await looker.page.waitForSelector('.let-in');
    await check(looker.page, 'to be let in');
    await second();
    await looker.page.fill('#code', '777777');
    await looker.page.click('.let-in button');
    await heard(looker.page, '4 more tries');
    await check(looker.page, 'a wrong code');
    await second();
    await looker.page.fill('#code', await page.textContent('p.code'));
    await looker.page.click('.let-in button');
    await come(looker.page, '#/weave/');
    await check(looker.page, 'following a weaving');
    await page.waitForSelector('[data-device]');
    await check(page, 'with a device');
    await page.click('[data-way=rename]');
    await check(page, 'giving a device another name');
    await go(page, server, '#/');
    await check(page, 'all pieces, open');
    for (const hash of [`#/piece/${piece}`, '#/']) {
      await looker.page.goto(`${new URL(address).origin}/${hash}`);
      await ready(looker.page, hash);
      await check(looker.page, `following: ${hash}`);
    }
    await post('/api/network/shut');
    await heard(looker.page, 'Closed on the computer. This comes back');
    await check(looker.page, 'closed on the computer');
    await alone();
    await post('/api/network/open');
    await looker.page.waitForSelector('.let-in', { timeout: 15_000 });
    await check(looker.page, 'sent away');
    await alone();
    assert.deepEqual([...serious(wrong), ...serious(looker.wrong)], []);
    await looker.context.close();
    await context.close();
  });
});
