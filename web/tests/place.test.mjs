// Where a weaving is: what a device works out while no answer comes is what the server says.
import { after, before, test } from 'node:test';
import assert from 'node:assert/strict';
import { placeOf } from '../js/place.js';
import { ask, device, launch } from './browser.mjs';
import { start } from './server.mjs';

/** Numbers that look like chance, the same each time (a linear congruence, Numerical Recipes; from memory). */
function chance(seed) {
  let state = seed;
  return (below) => {
    state = (state * 1664525 + 1013904223) % 2 ** 32;
    return Math.floor((state / 2 ** 32) * below);
  };
}

let server, browser;
before(async () => {
  [server, browser] = [await start(), await launch()];
});
after(async () => {
  await browser.close();
  await server.stop();
});

test('whatever rows are done, the next one and the needles that wait are those that the server says', async () => {
  const { page } = await device(browser, server, { size: 'desktop' });
  const draw = chance(7);
  let compared = 0;
  for (const [example, mirrored] of [['tideline-mat', false], ['tideline-mat', true], ['sandpiper-earrings', false], ['marsh-light-panel', false]]) {
    const { id: piece } = await ask(page, '/api/pieces', { example });
    const { id } = await ask(page, `/api/pieces/${piece}/weavings`, { mirrored });
    const { rows } = await ask(page, `/api/weavings/${id}`);
    const done = new Set();
    for (let time = 0; time < 12; time += 1) {
      // Rows one after the other, some ahead, and some that are taken back; at last all.
      const ticks = time === 11 ? rows.map(({ number }) => [number, true]) : [
        ...Array.from({ length: draw(12) }, (_, k) => [(placeOf(rows, done).next?.number ?? 1) + k, true]),
        ...Array.from({ length: draw(3) }, () => [1 + draw(rows.length), draw(2) === 0]),
      ].filter(([row]) => row <= rows.length);
      // Of each row the last of these facts.
      const facts = new Map(ticks.map(([row, isDone]) => [row, { id: Array.from({ length: 32 }, () => draw(16).toString(16)).join(''), row, done: isDone }]));
      for (const { row, done: isDone } of facts.values()) {
        if (isDone) done.add(row);
        else done.delete(row);
      }
      const answer = await ask(page, `/api/weavings/${id}/ticks`, { ticks: [...facts.values()] });
      assert.ok(Array.isArray(answer.done), answer.message);
      const told = await ask(page, `/api/weavings/${id}`);
      const here = placeOf(rows, done);
      assert.deepEqual([...done].sort((a, b) => a - b), told.done);
      assert.equal(here.next?.number ?? null, told.next_row);
      assert.equal(here.before?.number ?? 0, (told.next_row ?? rows.length + 1) - 1);
      // The server says it of all needles; where one has nothing more to weave it lies anywhere.
      for (const { weft, side } of here.needles) {
        assert.equal(side, told.needles.find((needle) => needle.weft === weft)?.side);
        compared += 1;
      }
    }
    assert.equal(placeOf(rows, done).next, null);
    assert.deepEqual(placeOf(rows, done).needles, []);
  }
  assert.ok(compared > 40, `${compared}`);
});
