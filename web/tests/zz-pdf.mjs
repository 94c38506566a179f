import { start } from '/work/pages/web/tests/server.mjs';
import { launch, device, ask, go } from '/work/pages/web/tests/browser.mjs';
const out = process.argv[2];
const server = await start(); const browser = await launch();
const { page } = await device(browser, server, { size: 'desktop' });
for (const n of process.argv.slice(3)) { const { id } = await ask(page, '/api/pieces', { example: n }); await go(page, server, `#/piece/${id}`); await page.waitForSelector('.paper-row', { state: 'attached' }); await page.waitForTimeout(400); await page.pdf({ path: `${out}/${n}.pdf`, format: 'A4' }); }
await browser.close(); await server.stop();
