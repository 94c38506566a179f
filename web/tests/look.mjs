// Takes pictures of every view in every size and light, to be looked at: node look.mjs FOLDER [NAME ...]
import { start } from './server.mjs';
import { launch } from './browser.mjs';

const [folder, ...only] = process.argv.slice(2);
const sizes = { phone: [390, 844], tablet: [834, 1112], desktop: [1440, 900] };
const server = await start();
const second = () => new Promise((resolve) => setTimeout(resolve, 1100));
const browser = await launch();
const made = {};
for (const [size, [width, height]] of Object.entries(sizes)) {
  for (const light of ['light', 'dark']) {
    const context = await browser.newContext({ viewport: { width, height }, colorScheme: light, hasTouch: size !== 'desktop', reducedMotion: 'reduce' });
    const page = await context.newPage();
    page.on('response', (answer) => answer.status() > 399 && answer.status() !== 422 && console.log(size, answer.status(), answer.url()));
    page.on('pageerror', (error) => console.log(size, error.message));
    await page.goto(server.enter);
    await page.waitForSelector('[data-ready]');
    const api = (path, body) => page.evaluate(([path, body]) => fetch(path, body === undefined ? {} : { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) }).then((r) => r.json()), [path, body]);
    if (!made.ready) {
      made.ready = true;
      await page.waitForTimeout(800);
      await shot(page, 'first', size, light);
      for (const name of ['tideline-mat', 'first-try', 'kelp-headband', 'marsh-light-panel']) made[name] = (await api('/api/pieces', { example: name })).id;
      made.weaving = (await api(`/api/pieces/${made['tideline-mat']}/weavings`, {})).id;
      await api(`/api/weavings/${made.weaving}/ticks`, { ticks: Array.from({ length: 6 }, (_, k) => ({ id: k.toString(16).padStart(32, '0'), row: k + 1, done: true, at: Date.now() })) });
      made.measured = (await api(`/api/pieces/${made['tideline-mat']}/weavings`, {})).id;
      await api(`/api/weavings/${made.measured}/ticks`, { ticks: Array.from({ length: 52 }, (_, k) => ({ id: (k + 500).toString(16).padStart(32, '0'), row: k + 1, done: true, at: Date.now() })) });
      made.room = (await api(`/api/pieces/${made['tideline-mat']}/weavings`, {})).id;
      const asked = (await api(`/api/weavings/${made.room}`)).rows.find(({ before }) => before.some((step) => step.do === 'room')).number;
      await api(`/api/weavings/${made.room}/ticks`, { ticks: Array.from({ length: asked - 1 }, (_, k) => ({ id: (k + 900).toString(16).padStart(32, '0'), row: k + 1, done: true, at: Date.now() })) });
      made.long = (await api(`/api/pieces/${made['marsh-light-panel']}/weavings`, {})).id;
      await api(`/api/weavings/${made.long}/ticks`, { ticks: Array.from({ length: 12 }, (_, k) => ({ id: (k + 99).toString(16).padStart(32, '0'), row: k + 1, done: true, at: Date.now() })) });
    }
    const views = {
      pieces: '#/', away: '#/', mat: `#/piece/${made['tideline-mat']}`, 'first-try': `#/piece/${made['first-try']}`, headband: `#/piece/${made['kelp-headband']}`,
      stopped: `#/weave/${made.weaving}`, cross: `#/weave/${made.weaving}`, row: `#/weave/${made.weaving}`, measure: `#/weave/${made.measured}`, room: `#/weave/${made.room}`, begin: `#/weave/${made.long}`, 'long-row': `#/weave/${made.long}`, settings: `#/weave/${made.long}`, text: `#/piece/${made['tideline-mat']}`,
      basket: `#/piece/${made['tideline-mat']}`,
    };
    for (const [name, hash] of Object.entries(views)) {
      if (only.length && !only.includes(name)) continue;
      if (name === 'first') continue;
      if (['cross', 'row', 'measure', 'room', 'long-row', 'settings'].includes(name)) await page.evaluate((all) => all.forEach((w) => sessionStorage.setItem(`fellmark.going.${w}`, '1')), [made.weaving, made.measured, made.room, made.long]);
      else await page.evaluate(() => sessionStorage.clear());
      await page.goto(`${server.url}/${hash}`);
      await page.reload();
      await page.waitForSelector(`[data-ready="${hash}"]`);
      if (name === 'away') {
        await page.click('[data-way=put-away]');
        await page.click('.away summary');
      }
      if (name === 'row') await page.click('.next');
      if (name === 'long-row') for (const row of [13, 14]) await page.keyboard.press('Space', { delay: row });
      if (name === 'settings') await page.click('text=Settings');
      if (name === 'basket') {
        await page.click('[data-ball=slate]');
        await page.click('[data-key$="fold known slate"]');
      }
      if (name === 'text') {
        await page.click('.text summary');
        const area = page.getByLabel('The plan’s text');
        await area.fill((await area.inputValue()).replace('ends = 24', 'ends = "many"'));
        await page.click('text=Save the text');
      }
      await page.waitForTimeout(900);
      await shot(page, name, size, light);
      if (name === 'away') await page.click('[data-way=bring-back]');
    }
    if (!only.length || only.includes('phone')) await phones(page, size, light);
    await context.close();
  }
}
/** Weave from your phone: closed, with a code, the device that comes and follows, sent away. */
async function phones(page, size, light) {
  await page.goto(`${server.url}/#/phone/${made.weaving}`);
  await page.waitForSelector('[data-door=open]');
  await shot(page, 'phone-closed', size, light);
  await page.click('[data-door=open]');
  await page.click('[data-right=follow]');
  await page.waitForSelector('.qr');
  await page.waitForTimeout(400);
  await shot(page, 'phone', size, light);
  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, colorScheme: light, hasTouch: true, reducedMotion: 'reduce' });
  const device = await context.newPage();
  await second();
  await device.goto(await page.getAttribute('.qr', 'alt').then((words) => words.split(' ').at(-1)));
  await device.waitForSelector('.along');
  await device.waitForTimeout(600);
  await shot(device, 'follow', size, light);
  await page.waitForSelector('[data-device]');
  await shot(page, 'phone-devices', size, light);
  await page.click('[data-way=rename]');
  await shot(page, 'phone-rename', size, light);
  await page.keyboard.press('Escape');
  await page.click('[data-way=send-away]');
  await device.waitForSelector('.let-in');
  await shot(device, 'let-in', size, light);
  await page.click('[data-door=shut]');
  await context.close();
}
async function shot(page, name, size, light) {
  const full = !page.url().includes('weave');
  await page.screenshot({ path: `${folder}/${name}-${size}-${light}.png`, fullPage: full });
}
await browser.close();
await server.stop();
