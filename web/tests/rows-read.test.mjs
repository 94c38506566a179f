// A row's words at arm's length: every shape of row of every example, on every kind of screen, in both prints and for
// either hand. Nothing lies over anything else, nothing is cut off, and the letters are never small.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { SIZES, ask, device, go, launch } from './browser.mjs';
import { start } from './server.mjs';
import { first, woven } from './weave.mjs';

const SCREENS = {
  phone: SIZES.phone, 'a phone with its bars': { width: 390, height: 664 }, 'a small phone': { width: 360, height: 640 },
  'the smallest phone': { width: 320, height: 568 }, 'on its side': { width: 844, height: 390 }, 'a small one on its side': { width: 667, height: 375 }, 'a low one on its side': { width: 740, height: 360 },
  tablet: SIZES.tablet, desktop: SIZES.desktop, 'a phone enlarged to twice its size': { width: 195, height: 422 },
};
// The least that is read an arm away, in pixels: 26 px are 0.4 degrees at 50 cm. (from memory: print is read well from 0.2 degrees)
const LEAST = 26;

// Rows that don't go from edge to edge say over which ends they go.
const SLIT = `schema = 1
name = "Slit band"
use = "sample"
[loom]
notches = 40
pitch = "4 mm"
turn-to-turn = "24 cm"
clear-height = "22 cm"
[yarn.slate]
colour = "#2d6f73"
size = "132 m per 100 g"
fibre = "wool"
[warp]
ends = 20
order = ["1 slate"]
[band.left]
wefts = ["slate"]
weave = "plain"
ends = "1 to 9"
rows = 2
[band.right]
wefts = ["slate"]
weave = "plain"
ends = "10 to 20"
rows = 2
[piece]
bands = ["left", "right"]
`;

let server, browser, helper;
before(async () => {
  [server, browser] = [await start(), await launch()];
  helper = await device(browser, server);
});
after(async () => {
  await browser.close();
  await server.stop();
});

/** What lies over something else, or is not seen whole. Runs in the page. */
async function looked(least) {
  await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  const wrong = [];
  const box = (range) => [...range.getClientRects()].filter(({ width }) => width > 0);
  const letters = [];
  const main = document.querySelector('.along');
  const tight = main.classList.contains('tight');
  for (const element of main.querySelectorAll('header > *, .step .banner p, .done-before, .within, .habits, .then, .run > *, .times, .do, .advice, footer button')) {
    // In a very small window the smaller actions lie below it.
    if (!element.checkVisibility() || (tight && element.closest('.small-actions'))) continue;
    const range = document.createRange();
    range.selectNodeContents(element);
    for (const { left, right, top, bottom } of box(range)) {
      // A line's box is higher than its letters.
      const air = (bottom - top) * 0.2;
      letters.push({ words: element.textContent, of: element, left, right, top: top + air, bottom: bottom - air });
    }
  }
  for (const element of main.querySelectorAll('.again')) {
    const [{ left, top, bottom, width }] = element.querySelector('.times').getClientRects();
    const below = element.closest('.below') !== null;
    letters.push({ words: 'the bracket', of: element, left, right: left + (below ? width : 2), top, bottom: below ? top + 2 : bottom });
  }
  const pictures = [...main.querySelectorAll('.strip svg, .edge-picture svg, .measuring-picture svg, .arrow')].filter((one) => one.checkVisibility());
  for (const of of pictures) {
    const { left, right, top, bottom } = of.getBoundingClientRect();
    letters.push({ words: `the picture ${of.parentElement.className}`, of, left, right, top, bottom });
  }
  const over = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
  // What is said of a step may scroll over its buttons.
  const scrolls = main.classList.contains('scrolls') || main.querySelector('.step').classList.contains('flows');
  const button = main.querySelector('.next').getBoundingClientRect();
  letters.forEach((a, k) => {
    for (const b of letters.slice(k + 1)) {
      if (a.of === b.of || a.of.contains(b.of) || b.of.contains(a.of)) continue;
      // What scrolls goes beneath the buttons.
      if (scrolls && (a.of.closest('footer') !== null) !== (b.of.closest('footer') !== null)) continue;
      if (over(a, b)) wrong.push(`“${a.words}” lies over “${b.words}”`);
    }
    if (a.left < -1 || a.right > innerWidth + 1) wrong.push(`“${a.words}” sticks out at the side`);
    if (!scrolls && (a.bottom > innerHeight + 1 || (!a.of.closest('footer') && a.bottom > button.top + 1))) wrong.push(`“${a.words}” is cut off below`);
  });
  const room = main.querySelector('.fitted');
  const words = room.firstElementChild;
  if (room.scrollHeight > room.clientHeight + 1 || room.scrollWidth > room.clientWidth + 1) wrong.push('the row’s words have too little room');
  if (parseFloat(getComputedStyle(words).fontSize) < least) wrong.push(`the letters are small: ${getComputedStyle(words).fontSize}`);
  // On its side a phone has the row as it lies beside the words, wherever they leave that half empty: it takes about 130 px.
  const drawn = main.querySelector('.strip');
  if (drawn && !drawn.checkVisibility() && innerWidth > innerHeight && innerHeight <= 560) {
    const { left, width, bottom } = document.querySelector('.step').getBoundingClientRect();
    const reach = Math.max(...letters.filter(({ of }) => words.contains(of)).map(({ right }) => right));
    const beside = Math.max(...letters.filter(({ of }) => of.closest('.step') && !words.contains(of)).map((one) => one.bottom));
    if (reach < left + width * 0.52 && beside + 130 < bottom) wrong.push('half the screen is empty, and the row is not drawn there');
  }
  if (document.documentElement.scrollWidth > innerWidth) wrong.push('the page is wider than its window');
  if (!document.fonts.check('20px "Atkinson Hyperlegible Next"')) wrong.push('the letters are not the page’s own');
  if (tight && document.documentElement.dataset.print !== 'large' && innerWidth >= 390 && innerHeight >= 664) wrong.push('the smaller actions lie below a window that has the room');
  return wrong;
}

/** Rows that are read: one of each shape, each in a weaving of its own that has come as far as that row. */
async function every() {
  const { examples } = await ask(helper.page, '/api/pieces');
  assert.ok(examples.length >= 7);
  const seen = new Set();
  const some = [];
  for (const { name, plan } of [...examples, { name: 'slit', plan: SLIT }]) {
    const { id: piece } = await ask(helper.page, '/api/pieces', plan ? { text: plan } : { example: name });
    const begin = async () => (await ask(helper.page, `/api/pieces/${piece}/weavings`, {})).id;
    const { rows } = await ask(helper.page, `/api/weavings/${await begin()}`);
    // Rows are of one shape that have as many lines of as many digits, in the same brackets, after a step or none, joined or not.
    const shape = ({ phrases, before }) => JSON.stringify([phrases.map(({ runs, times_words: times }) => [runs.map(({ ends }) => String(ends).length), times]), before.some(({ routine }) => !routine), before.some((step) => step.do === 'join')]);
    // The first row last: its weaving has no row done, and would be taken again for the next.
    for (const { number, before } of rows.filter((row) => !seen.has(shape(row)) && seen.add(shape(row))).toSorted((a, b) => b.number - a.number)) {
      const id = await begin();
      await woven(helper.page, id, first(number - 1));
      some.push({ name, number, id, steps: before.filter(({ routine, do: what }) => !routine && what !== 'join').length });
    }
  }
  return some;
}

/** What is wrong with one row, and with the steps before it, on every screen. */
async function read(page, { name, number, id, steps }) {
  const found = [];
  // It goes on, past the winding: also before the first row.
  await page.evaluate((id) => ['going', 'wound'].forEach((what) => sessionStorage.setItem(`fellmark.${what}.${id}`, '1')), id);
  await go(page, server, '#/');
  await go(page, server, `#/weave/${id}`);
  for (let k = steps; k >= 0; k -= 1) {
    // It is the row that is meant, or a step of its own before it.
    const said = await page.textContent('#row-said');
    assert.ok(said.startsWith(k > 0 ? `Before row ${number}: ` : `Row ${number} of `), `${name}, ${number}, ${k} steps before it: ${said}`);
    for (const [screen, size] of Object.entries(SCREENS)) {
      await page.setViewportSize(size);
      for (const [print, hand] of [['usual', 'right'], ['large', 'right'], ['usual', 'left'], ['large', 'left']]) {
        await page.evaluate(([print, hand]) => {
          Object.assign(document.documentElement.dataset, { print, hand });
          window.dispatchEvent(new Event('resize'));
        }, [print, hand]);
        for (const one of await page.evaluate(looked, LEAST)) found.push(`${name}, ${number}, ${screen}, ${print}, ${hand} hand: ${one}`);
      }
    }
    await page.setViewportSize(SIZES.phone);
    if (k > 0) await page.evaluate(() => document.querySelector('.next').click());
  }
  return found;
}

test('every row of every example is read whole on every screen, in both prints, for either hand', { timeout: 600_000 }, async () => {
  const left = await every();
  const shapes = left.reduce((sum, { steps }) => sum + steps + 1, 0);
  assert.ok(shapes >= 24, `${shapes} shapes of rows and steps`);
  // Most of the time goes by in waiting for the next frame: several pages wait together.
  const found = await Promise.all([1, 2, 3, 4].map(async () => {
    const { page, wrong, context } = await device(browser, server);
    // The fell beside the words needs no picture for this.
    await page.route('**/fell?**', (route) => route.abort());
    const found = [];
    while (left.length > 0) found.push(...await read(page, left.pop()));
    await context.close();
    return [...found, ...wrong];
  }));
  assert.deepEqual(found.flat(), []);
});
