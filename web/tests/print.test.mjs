// A piece on paper: what it is, its drawing, its yarn, how its warp is wound and every row; nothing that is pressed.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { ask, device, go, launch, printed } from './browser.mjs';
import { start } from './server.mjs';

const SLIT = `schema = 1
name = "Two halves"
use = "sample"
loom = { notches = 40, pitch = "4 mm", turn-to-turn = "24 cm", clear-height = "22 cm" }

[yarn.reed]
colour = "#a88b4c"
size = "275 m per 100 g"
[yarn.slate]
colour = "#2d6f73"
size = "132 m per 100 g"
[yarn.foam]
colour = "#e3e9de"
size = "132 m per 100 g"

[warp]
order = ["20 reed"]
ends = 20

[band.hem]
wefts = ["slate"]
weave = "plain"
rows = 4
[band.one]
wefts = ["slate"]
weave = "plain"
ends = "1 to 9"
rows = 10
[band.other]
wefts = ["foam"]
weave = "plain"
ends = "10 to 20"
rows = 10

[piece]
bands = ["hem", "one", "other", "hem"]
`;

/** The words alone, however they are set in type. */
const plain = (words) => printed(words).replaceAll('\u00a0', ' ');

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

/** What is seen of elements, as words. */
const seen = (page, selector) => page.locator(selector).evaluateAll((all) => all.filter((one) => one.checkVisibility()).map((one) => one.textContent.trim()));

for (const [size, light] of [['desktop', 'light'], ['phone', 'dark']]) {
  test(`a piece that is printed is its sentences, its drawing, its yarn, its winding and its rows (${size})`, async () => {
    const { page, context, wrong } = await device(browser, server, { size, light });
    const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
    await go(page, server, `#/piece/${id}`);
    const { check, yarns, winding, places } = await ask(page, `/api/pieces/${id}`);
    const { before, sections, off_the_loom: off } = await ask(page, `/api/pieces/${id}/rows`);
    await page.waitForSelector('.paper-row', { state: 'attached' });
    assert.deepEqual(await seen(page, '.on-paper'), [], 'on the screen there is no sheet');

    await page.emulateMedia({ media: 'print', colorScheme: light });
    assert.deepEqual(await seen(page, 'button:not(.said button, .basket button), input, select, textarea, summary, [role=separator], .views, .loom'), []);
    for (const words of ['Another yarn', 'Weave it', 'Undo', 'Save as file', 'Put away']) assert.equal(await page.getByText(words, { exact: true }).filter({ visible: true }).count(), 0, words);
    assert.deepEqual((await seen(page, '.asked, .follows')).map(printed), [check.asked, check.follows].map(printed));
    assert.deepEqual(await seen(page, '.basket li'), yarns.map(({ need }) => printed(need.words)));
    assert.deepEqual((await seen(page, '.on-paper ol:first-of-type li')).map(plain), winding.map(plain));
    assert.deepEqual((await seen(page, '.on-paper ol:last-of-type li')).map(plain), off.map(plain));
    const told = sections.flatMap(({ told }) => told);
    const [rows, again] = [told.filter((one) => 'number' in one), told.filter((one) => 'as_others' in one)];
    assert.ok(rows.length + 2 < check.plan.rows && again.length > 1, 'rows that come again are told once');
    const begun = (words) => words[0].toUpperCase() + words.slice(1);
    const lines = rows.map(({ number, words }) => `${number}${words}`);
    assert.deepEqual(await seen(page, '.paper-row'), lines);
    assert.deepEqual((await seen(page, '.paper-again')).map(plain), again.map(({ as_others: words, begins_again: begins }) => `${begun(words)}.${begins ? ` ${begun(begins)}.` : ''}`));
    const steps = told.flatMap((one) => ('number' in one ? [...one.before, ...one.after] : one.at_their_rows)).map(begun);
    assert.deepEqual((await seen(page, '.paper-step')).map(plain), steps.map(plain));
    assert.ok((await seen(page, '.on-paper')).map(plain)[0].includes(plain(before.join(' '))));
    assert.match(before.join(' '), /If it is narrower, .* If it is wider, /, 'what to do where the width is another is told');
    // A number and its unit stay in one line.
    assert.equal((await seen(page, '.on-paper ol li, .paper-step')).filter((line) => /\d (mm|cm|m)\b/.test(line)).length, 0);
    assert.equal((await seen(page, '.on-paper h3')).length, sections.length);
    assert.ok(sections.length < places.length);
    assert.ok((await page.locator('.on-paper svg').first().boundingBox()).height > 150);
    // Ink on white, whatever the screen's light is.
    assert.deepEqual(await page.evaluate(() => [getComputedStyle(document.body).backgroundColor, getComputedStyle(document.body).color]), ['rgb(255, 255, 255)', 'rgb(0, 0, 0)']);
    assert.deepEqual(wrong, []);
    await context.close();
  });
}

test('a row over some of the ends says on paper which', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { text: SLIT });
  await go(page, server, `#/piece/${id}`);
  await page.waitForSelector('.paper-row', { state: 'attached' });
  await page.emulateMedia({ media: 'print' });
  const { sections } = await ask(page, `/api/pieces/${id}/rows`);
  const rows = sections.flatMap(({ told }) => told);
  const { number, words } = rows.find(({ words }) => words?.includes(': ends 10 to 20: '));
  assert.ok((await seen(page, '.paper-row')).includes(`${number}${words}`));
  await context.close();
});

const A4 = 680; // pixels: 180 mm between the margins
const POINT = 96 / 72;

for (const [example, most] of [['kelp-headband', 5], ['tideline-bookmark', 3], ['tideline-mat', 4], ['marsh-light-panel', 5]]) {
  test(`${example}: a sheet is short, and what is drawn on it can be read`, async () => {
    const { page, context } = await device(browser, server, { size: 'desktop' });
    const { id } = await ask(page, '/api/pieces', { example });
    await go(page, server, `#/piece/${id}`);
    await page.waitForSelector('.paper-row', { state: 'attached' });
    const pdf = (await page.pdf({ format: 'A4' })).toString('latin1');
    const pages = pdf.match(/\/Type\s*\/Page\b/g).length;
    assert.ok(pages <= most, `${pages} pages`);
    await page.setViewportSize({ width: A4, height: 1000 });
    await page.emulateMedia({ media: 'print' });
    // Letters of 7 points are the smallest that are read in print without effort (common practice, no source).
    const letters = await page.locator('.on-paper svg :is(text, tspan):not(:has(*))').evaluateAll((all) => all.map((one) => parseFloat(getComputedStyle(one).fontSize) * one.getScreenCTM().d));
    assert.ok(letters.length > 3);
    // A cloth wider than the page is as large as the page lets it be.
    const across = await page.locator('.on-paper figure:not(.wound) svg').evaluateAll((all) => all.map((one) => one.getBoundingClientRect().width));
    assert.ok(Math.min(...letters) >= 7 * POINT - 0.05 || (example === 'marsh-light-panel' && across.every((one) => one > A4 - 2)), `${Math.min(...letters) / POINT} points, ${across} pixels wide`);
    // A heading goes with the first line below it.
    for (const head of await page.locator('.paper-head').all()) assert.equal(await head.evaluate((one) => one.children.length > 1 && getComputedStyle(one).breakInside), 'avoid');
    await context.close();
  });
}

test('what there is to mend is numbered in ink', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop', light: 'dark' });
  const { id } = await ask(page, '/api/pieces', { example: 'first-try' });
  await go(page, server, `#/piece/${id}`);
  await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
  const looks = await page.locator('.pin-number').evaluateAll((all) => all.map((one) => [getComputedStyle(one).color, getComputedStyle(one).backgroundColor].join()));
  assert.ok(looks.length > 1);
  assert.deepEqual([...new Set(looks)], ['rgb(0, 0, 0),rgba(0, 0, 0, 0)']);
  await context.close();
});

test('what has only just been changed is not printed as it was before', async () => {
  const { page, context } = await device(browser, server, { size: 'desktop' });
  const { id } = await ask(page, '/api/pieces', { example: 'first-try' });
  await go(page, server, `#/piece/${id}`);
  await page.waitForSelector('.paper-row', { state: 'attached' });
  await page.getByRole('button', { name: 'Take 27 ends' }).click();
  await page.waitForFunction(() => /27 ends/.test(document.querySelector('.asked').textContent));
  await page.evaluate(() => window.dispatchEvent(new Event('beforeprint')));
  assert.match(await page.locator('.on-paper').textContent(), /Print it once more/);
  await page.waitForSelector('.paper-row', { state: 'attached' });
  assert.match(await page.locator('.on-paper ol').first().textContent(), /27 ends/);
  await context.close();
});
