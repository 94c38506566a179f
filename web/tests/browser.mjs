// The browser that the tests drive, and what they ask of every page.
import { createRequire } from 'node:module';
import { existsSync, readFileSync } from 'node:fs';
import assert from 'node:assert/strict';
import { chromium } from 'playwright-core';

const CHROMIUM = process.env.FELLMARK_CHROMIUM ?? '/usr/bin/chromium';
const FLAGS = [
  '--no-sandbox', '--headless', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
  '--disable-component-update', '--disable-sync',
];
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

export const SIZES = { phone: { width: 390, height: 844 }, tablet: { width: 834, height: 1112 }, desktop: { width: 1440, height: 900 } };

export async function launch() {
  if (!existsSync(CHROMIUM)) throw new Error(`There is no ${CHROMIUM}. Type: apt-get install chromium, or name one in FELLMARK_CHROMIUM`);
  return chromium.launch({ executablePath: CHROMIUM, args: FLAGS });
}

/**
 * A device of its own: nothing is shared with another but the server. What goes wrong on its page is kept in `wrong`.
 */
export async function device(browser, server, { size = 'phone', light = 'light', enter = true, agent = undefined } = {}) {
  const context = await browser.newContext({ userAgent: agent, viewport: SIZES[size], colorScheme: light, hasTouch: size !== 'desktop', reducedMotion: 'reduce', locale: 'en-GB' });
  const page = await context.newPage();
  const wrong = [];
  const hosts = new Set();
  page.on('pageerror', (error) => wrong.push(error.message));
  page.on('console', (message) => {
    // Answers that say no are tested where they are expected; a browser reports them too.
    if (message.type() === 'error' && !/Failed to load resource/.test(message.text())) wrong.push(message.text());
  });
  page.on('request', (request) => hosts.add(new URL(request.url()).origin));
  if (enter) {
    await page.goto(server.enter);
    await ready(page, '#/');
  }
  return { context, page, wrong, hosts };
}

/** Waits until the view of an address is shown whole. */
export async function ready(page, hash) {
  await page.waitForSelector(`#view[data-ready="${hash}"]`);
}

/** Waits until a view is shown whole whose address begins so: which piece it is of is for the page to say. */
export async function come(page, begins) {
  await page.waitForSelector(`#view[data-ready^="${begins}"]`);
}

/** Goes to a view by its address. */
export async function go(page, server, hash) {
  await page.goto(`${server.url}/${hash}`);
  await ready(page, hash);
}

/** Asks the server from within the page. */
export async function ask(page, path, body) {
  return page.evaluate(async ([path, body]) => {
    const how = body === undefined ? {} : { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) };
    const response = await fetch(path, how);
    return response.json();
  }, [path, body]);
}

/** Asserts that axe-core finds nothing. */
export async function accessible(page, what) {
  await page.evaluate(AXE);
  const found = await page.evaluate(() => globalThis.axe.run());
  const said = found.violations.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map(({ html, failureSummary }) => `${html}\n${failureSummary}`).join('\n')}`);
  assert.deepEqual(said, [], what);
}

/** The program's words as the page sets them: with the apostrophe of print, and no number parted from its unit. */
export const printed = (words) => words.replaceAll(/([a-z])'([a-z])/gi, '$1’$2').replaceAll(/(\d) (?=(%|mm|cm|m|in|ft|yd|g|kg|oz|h|tex)\b|%)/g, '$1\u00a0').replaceAll(/(\d) (?=\d+\/\d)/g, '$1\u00a0').replaceAll(/(\d) ([x/]) (?=\w)/g, '$1\u00a0$2\u00a0');

/** The words in the page's live regions. */
export const live = (page) => page.evaluate(() => [...document.querySelectorAll('[role=status]')].map((one) => one.textContent).join(' '));

/** Waits for words in a live region. */
export async function heard(page, words) {
  await page.waitForFunction((words) => [...document.querySelectorAll('[role=status], [role=alert]')].some((one) => one.textContent.replaceAll('\u00a0', ' ').includes(words)), words);
}

/** Checks until it holds, or says what does not. */
export async function eventually(check, patience = 20_000) {
  const end = Date.now() + patience;
  for (;;) {
    try {
      return await check();
    } catch (error) {
      if (Date.now() > end) throw error;
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
  }
}

/** A door that stays shut until the test opens it: what an answer waits for. */
export function door() {
  let open;
  const opened = new Promise((resolve) => {
    open = resolve;
  });
  return { open, opened };
}
