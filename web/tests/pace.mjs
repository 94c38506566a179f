// How soon a touched crossing is there in full, from the pointer's going up to the frame in which the changed picture is
// painted: cargo build --release -p fellmark && FELLMARK=target/release/fellmark node web/tests/pace.mjs [TIMES]
import { resolve } from 'node:path';
if (process.env.FELLMARK) process.env.FELLMARK = resolve(process.env.FELLMARK);
const { start } = await import('./server.mjs');
const { ask, device, go, launch } = await import('./browser.mjs');

const times = Number(process.argv[2] ?? 200);
const [server, browser] = [await start(), await launch()];
const { page } = await device(browser, server, { size: 'desktop' });
const { id } = await ask(page, '/api/pieces', { example: 'tideline-mat' });
await go(page, server, `#/piece/${id}`);
await page.waitForSelector('.loom[data-shown]');
await page.getByText('changes this row', { exact: true }).click();
await page.locator('.loom-picture').scrollIntoViewIfNeeded();
const [{ lies }, map] = [await ask(page, `/api/pieces/${id}`), await ask(page, `/api/pieces/${id}/map`)];
const taken = [];
for (let k = 0; k < times; k += 1) {
  const end = 2 + ((k * 7) % 20);
  const here = map.ends[end - 1].lies;
  const height = here[(k * 13) % here.length][1] / 100;
  const spot = await page.evaluate(([side, end, height]) => {
    const canvas = document.querySelector('canvas.cloth').getBoundingClientRect();
    const scale = canvas.width / side.width;
    return [canvas.left + (side.first_end + (end - 1) * side.end_to_end) * scale, canvas.top + (side.foot - height * side.up) * scale];
  }, [lies.front, end, height]);
  const done = page.evaluate(() => new Promise((resolve) => {
    let up = 0;
    const loom = document.querySelector('.loom');
    window.addEventListener('pointerup', () => { up = performance.now(); }, { capture: true, once: true });
    const watch = new MutationObserver(() => {
      watch.disconnect();
      // A message that is sent before a frame is painted comes when it has been.
      requestAnimationFrame(() => {
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = () => resolve(performance.now() - up);
        port2.postMessage(0);
      });
    });
    watch.observe(loom, { attributeFilter: ['data-shown'] });
  }));
  await page.mouse.move(...spot);
  await page.mouse.down();
  await page.mouse.up();
  taken.push(await done);
  const undone = page.evaluate(() => new Promise((resolve) => {
    const watch = new MutationObserver(() => { watch.disconnect(); resolve(0); });
    watch.observe(document.querySelector('.loom'), { attributeFilter: ['data-shown'] });
  }));
  await page.getByRole('button', { name: 'Undo' }).click();
  await undone;
}
taken.sort((a, b) => a - b);
const at = (part) => taken[Math.min(Math.floor(taken.length * part), taken.length - 1)].toFixed(1);
console.log(`${taken.length} touches, pointer up to painted, in ms: p50 ${at(0.5)}, p95 ${at(0.95)}, most ${at(1)}`);
await browser.close();
await server.stop();
