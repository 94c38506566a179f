// Rows that the server doesn't know yet are kept on the device, and none is lost: with the line cut, with the page closed,
// in several windows, and where the server says no.
import { test } from 'node:test';
import assert from 'node:assert/strict';
import { accessible, ask, device, eventually, go, heard, ready } from './browser.mjs';
import { measure } from './measure.mjs';
import { at, browser, done, helper, isDone, server, weaving } from './on-the-mat.mjs';
import * as weave from './weave.mjs';

const { kept, next, noneKept, reached, said, until } = weave;

const told = (page) => page.textContent('.kept');
/** Answers what is ticked in the server's stead, where there is something to answer. */
const refused = (page, how) => page.route('**/ticks', async (route) => {
  const answer = how(JSON.parse(route.request().postData()).ticks.map(({ row }) => row));
  if (answer === 'cut') return route.abort();
  return answer ? route.fulfill({ contentType: 'application/json', ...answer, body: JSON.stringify(answer.body) }) : route.continue();
});
/** A second window of the same browser, at the same weaving. */
const another = async (context) => {
  const page = await context.newPage();
  await at(page);
  return page;
};

test('with the line lost it goes on and keeps the rows; on return they are sent', async () => {
  const { page, wrong, context } = await device(browser, server);
  await at(page);
  await until(page, 'Row 2 of');
  await isDone(1);
  await context.setOffline(true);
  await next(page);
  await reached(page, 'Row 3 of');
  await heard(page, 'kept on this phone');
  await next(page);
  await reached(page, 'Row 4 of');
  assert.deepEqual(await done(), [1], 'nothing has come yet');
  const rows = await kept(page, weaving);
  assert.deepEqual(rows.map(({ row, done }) => [row, done]), [[2, true], [3, true]]);
  assert.equal(new Set(rows.map(({ id }) => id)).size, 2);
  await context.setOffline(false);
  await page.waitForFunction(() => document.querySelector('.kept').textContent === '');
  await isDone(1, 2, 3);
  await noneKept(page, weaving);
  assert.match(await said(page), /^Row 4 of/, 'the place is where it was');
  assert.deepEqual(wrong.filter((one) => !one.includes('ERR_INTERNET_DISCONNECTED')), []);
  await context.close();
});

test('an answer that is late lets the weaver go on, and nothing counts twice', async () => {
  const { page, context } = await device(browser, server);
  await at(page);
  await until(page, 'Row 1 of');
  // There is no answer before the weaver has gone on.
  let answer;
  const held = new Promise((resolve) => {
    answer = resolve;
  });
  await page.route('**/ticks', async (route) => {
    await held;
    await route.continue();
  });
  await next(page);
  await reached(page, 'Row 2 of');
  await heard(page, 'kept on this phone');
  answer();
  await page.waitForFunction(() => document.querySelector('.kept').textContent === '');
  await isDone(1);
  assert.match(await said(page), /^Row 2 of/);
  await context.close();
});

test('rows kept through a closed page are sent when it opens again', async () => {
  const { page, context } = await device(browser, server);
  await at(page);
  await until(page, 'Row 2 of');
  await isDone(1);
  await page.route('**/ticks', (route) => route.abort());
  await next(page);
  await reached(page, 'Row 3 of');
  await page.goto('about:blank');
  await page.unroute('**/ticks');
  assert.deepEqual(await done(), [1]);
  await at(page);
  await noneKept(page, weaving);
  await isDone(1, 2);
  await context.close();
});

test('rows that an earlier page kept all in one are sent once', async () => {
  const { page, context } = await device(browser, server);
  const former = [1, 2].map((row) => ({ id: row.toString(16).padStart(32, 'f'), row, done: true, at: 1000 + row }));
  await page.evaluate(([weaving, former]) => localStorage.setItem(`fellmark.ticks.${weaving}`, JSON.stringify(former)), [weaving, former]);
  const sent = [];
  page.on('request', (request) => /ticks$/.test(request.url()) && sent.push(...JSON.parse(request.postData()).ticks));
  await go(page, server, `#/weave/${weaving}`);
  await noneKept(page, weaving);
  await isDone(1, 2);
  assert.deepEqual(sent.map(({ id }) => id), former.map(({ id }) => id));
  await context.close();
});

test('two windows of one weaving: what one keeps the other neither writes over nor forgets', async () => {
  const { page: one, wrong, context } = await device(browser, server);
  await at(one);
  await until(one, 'Row 1 of');
  const other = await another(context);
  await until(other, 'Row 1 of');
  await one.route('**/ticks', (route) => route.abort());
  await other.route('**/ticks', (route) => route.abort());
  await one.bringToFront();
  for (const row of [2, 3]) {
    await next(one);
    await reached(one, `Row ${row} of`);
  }
  assert.deepEqual((await kept(one, weaving)).map(({ row }) => row), [1, 2]);
  // The other window is where the first is, and goes on from there; it keeps its row beside theirs.
  await other.bringToFront();
  await reached(other, 'Row 3 of');
  await next(other);
  await reached(other, 'Row 4 of');
  // What one window keeps the other has a moment later.
  await eventually(async () => assert.deepEqual((await kept(one, weaving)).map(({ row }) => row), [1, 2, 3]));
  assert.deepEqual(await done(), []);
  // The first is closed before its line comes back: the other sends all of them.
  await one.close();
  await other.unroute('**/ticks');
  await isDone(1, 2, 3);
  await noneKept(other, weaving);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a tick that was kept while another was on its way is not forgotten with it', async () => {
  const { page: one, context } = await device(browser, server);
  await at(one);
  await until(one, 'Row 1 of');
  const other = await another(context);
  await until(other, 'Row 1 of');
  let answer;
  const held = new Promise((resolve) => {
    answer = resolve;
  });
  // The first window's row is on its way; meanwhile the second, whose line is cut, keeps another; then the first is answered.
  await one.route('**/ticks', async (route) => {
    const body = JSON.parse(route.request().postData());
    if (body.ticks.some(({ row }) => row > 1)) return route.abort();
    await held;
    return route.continue();
  });
  await other.route('**/ticks', (route) => route.abort());
  await one.bringToFront();
  await next(one);
  await reached(one, 'Row 2 of');
  await other.bringToFront();
  await reached(other, 'Row 2 of');
  await next(other);
  await reached(other, 'Row 3 of');
  answer();
  await isDone(1);
  await one.waitForFunction((weaving) => Object.keys(localStorage).filter((key) => key.startsWith(`fellmark.ticks.${weaving}`)).length === 1, weaving);
  await eventually(async () => assert.deepEqual((await kept(one, weaving)).map(({ row }) => row), [2]));
  await other.close();
  await one.close();
  const later = await another(context);
  await isDone(1, 2);
  await noneKept(later, weaving);
  await context.close();
});

test('where the server can’t keep a row it is told in the server’s words, and tried again with growing pauses', async () => {
  const { page, wrong, context } = await device(browser, server);
  await page.clock.install();
  await at(page);
  await until(page, 'Row 1 of');
  let [full, posts] = [true, 0];
  await refused(page, () => {
    posts += 1;
    return full ? { status: 503, body: { message: 'The disk is full. This change isn’t saved.', help: 'Make room on it.' } } : null;
  });
  await next(page);
  await reached(page, 'Row 2 of');
  assert.equal(await told(page), 'The disk is full. This change isn’t saved. Make room on it. What was ticked is kept on this phone.');
  assert.equal(posts, 1);
  // 2, 4, 8, 16 and 32 seconds: five more in what were thirty-one.
  for (const [pause, sent] of [[1500, 1], [1000, 2], [3000, 2], [1500, 3], [7000, 3], [1500, 4]]) {
    const again = sent > posts ? page.waitForResponse('**/ticks') : null;
    await page.clock.runFor(pause);
    await again;
    assert.equal(posts, sent, `after ${pause} ms more`);
  }
  full = false;
  const sent = page.waitForResponse('**/ticks');
  await page.clock.runFor(17_000);
  await sent;
  await page.waitForFunction(() => document.querySelector('.kept').textContent === '');
  await isDone(1);
  await noneKept(page, weaving);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a row that the server refuses for good is told, and stands in no other’s way', async () => {
  const { page, wrong, context } = await device(browser, server);
  await at(page);
  await until(page, 'Row 1 of');
  await page.route('**/ticks', (route) => route.abort());
  for (const row of [2, 3, 4]) {
    await next(page);
    await reached(page, `Row ${row} of`);
  }
  await page.unroute('**/ticks');
  const why = { message: 'Row 2 was woven otherwise.', help: 'Look at it on the loom.' };
  await refused(page, (rows) => (rows.includes(2) ? { status: 422, body: why } : null));
  await isDone(1, 3);
  await noneKept(page, weaving);
  await reached(page, 'Row 2 of');
  assert.equal(await told(page), '');
  assert.equal(await page.textContent('.aside p'), 'Row 2: Row 2 was woven otherwise. Look at it on the loom.');
  await accessible(page, 'a row that was refused');
  assert.deepEqual(await measure(page), []);
  // It is told again where the page is opened again, and until it is read or the row is taken.
  await page.unroute('**/ticks');
  await page.reload();
  await ready(page, `#/weave/${weaving}`);
  await page.waitForSelector('.aside p');
  await next(page); // goes on where it rests
  await reached(page, 'Row 2 of');
  await next(page);
  await reached(page, 'Row 4 of');
  await page.waitForFunction(() => document.querySelector('.aside').textContent === '');
  await isDone(1, 2, 3);

  // Refused as it is made, the row stays before the weaver.
  await refused(page, () => ({ status: 404, body: { message: 'There is no such revision.', help: 'Load the weaving again.' } }));
  await next(page);
  await page.waitForSelector('.aside p');
  assert.match(await said(page), /^Row 4 of/);
  await page.tap('text=I have read it');
  await page.waitForFunction(() => document.querySelector('.aside').textContent === '');
  assert.equal(await page.evaluate(() => Object.keys(localStorage).some((key) => key.startsWith('fellmark.aside'))), false);
  await page.unroute('**/ticks');
  await next(page);
  await reached(page, 'Row 5 of');
  await isDone(1, 2, 3, 4);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('an answer that is no place acknowledges nothing, and the weaver can go on', async () => {
  const { page, wrong, context } = await device(browser, server);
  await at(page);
  await until(page, 'Row 1 of');
  await refused(page, () => ({ status: 200, body: null }));
  await next(page);
  await reached(page, 'Row 2 of');
  assert.equal(await told(page), 'No answer: kept on this phone.');
  await next(page);
  await reached(page, 'Row 3 of');
  await page.unroute('**/ticks');
  await isDone(1, 2);
  assert.deepEqual(wrong, []);
  await context.close();
});

test('a device whose clock is behind or ahead takes back what another ticked, and ticks it again', async () => {
  for (const off of [-3_600_000, 3_600_000]) {
    const { page, wrong, context } = await device(browser, server);
    await page.clock.install({ time: Date.now() + off });
    await weave.woven(helper.page, weaving, [1]);
    await at(page);
    await page.evaluate((id) => sessionStorage.setItem(`fellmark.going.${id}`, '1'), weaving);
    await page.reload();
    await reached(page, 'Row 2 of');
    await page.tap('text=Back');
    await isDone();
    await reached(page, 'Row 1 of');
    await next(page);
    await isDone(1);
    // And the other takes it back again.
    await ask(helper.page, `/api/weavings/${weaving}/ticks`, { ticks: [{ id: crypto.randomUUID(), row: 1, done: false, at: Date.now() }] });
    await isDone();
    assert.deepEqual(wrong, []);
    await context.close();
  }
});
