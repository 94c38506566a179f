// What is heard while weaving, at the reader's own pace, and which button a pedal presses.
import { test } from 'node:test';
import assert from 'node:assert/strict';
import { device } from './browser.mjs';
import { at, browser, isDone, server, weaving } from './on-the-mat.mjs';
import * as weave from './weave.mjs';

const { next, reached, until } = weave;

test('reading aloud takes part after part and marks it', async () => {
  const { page, context } = await device(browser, server);
  await page.addInitScript(() => {
    const heard = [];
    Object.defineProperty(globalThis, 'heard', { value: heard });
    Object.defineProperty(globalThis, 'SpeechSynthesisUtterance', { value: class { constructor(words) { this.words = words; } } });
    Object.defineProperty(globalThis, 'speechSynthesis', { value: { cancel() {}, speak(one) {
      heard.push([one.words, document.querySelectorAll('.spoken').length]);
      setTimeout(() => one.onend(), 5);
    } } });
  });
  await at(page);
  await page.reload();
  await reached(page, 'Before row 1');
  await next(page);
  await page.tap('text=Read aloud');
  await page.waitForFunction(() => globalThis.heard.length === 2);
  assert.deepEqual(await page.evaluate(() => globalThis.heard), [['Row 1: slate from the right', 1], ['under 1, over 1 twelve times', 1]]);
  await context.close();
});

/** What would be heard of a weaving where the reader has chosen how it is read. */
async function listening(settings) {
  const { page, context } = await device(browser, server);
  await page.addInitScript((kept) => {
    localStorage.setItem('fellmark.settings', JSON.stringify(kept));
    const heard = [];
    Object.defineProperty(globalThis, 'heard', { value: heard });
    Object.defineProperty(globalThis, 'SpeechSynthesisUtterance', { value: class { constructor(words) { this.words = words; } } });
    Object.defineProperty(globalThis, 'speechSynthesis', { value: { cancel() {}, speak(one) {
      heard.push({ words: one.words, rate: one.rate });
      setTimeout(() => one.onend(), 5);
    } } });
  }, settings);
  await at(page);
  await page.reload();
  await reached(page, 'Before row 1');
  return { page, context, heard: () => page.evaluate(() => globalThis.heard.map(({ words }) => words)) };
}

test('who has each row read hears every step and every row, each once and with its number', async () => {
  const { page, context, heard } = await listening({ aloud: 'row', pace: 'slow' });
  const shown = [];
  for (let k = 0; k < 14; k += 1) {
    await page.waitForFunction((many) => globalThis.heard.length > many, k === 0 ? 0 : shown.at(-1).from);
    const from = (await heard()).length;
    shown.push({ count: (await page.textContent('.count')).replace(/ of .*/, ''), from });
    await next(page);
    // The row's acknowledgement and its notice draw it again.
    await page.waitForTimeout(120);
  }
  const all = await heard();
  for (const { count } of shown) {
    const said = all.filter((words) => words.startsWith(`${count}: `));
    const times = shown.filter((one) => one.count === count).length;
    assert.equal(said.length, times, `${count}: ${JSON.stringify(all)}`);
    assert.equal(new Set(said).size, said.length, 'each once');
  }
  assert.ok(all.some((words) => /^Before row \d+: cross at the /.test(words)), JSON.stringify(all));
  const rates = await page.evaluate(() => [...new Set(globalThis.heard.map(({ rate }) => rate))]);
  assert.deepEqual(rates, [0.65], 'as slowly as was chosen');
  await context.close();
});

test('part by part the first part of a row comes by itself, and the others one by one', async () => {
  const { page, context, heard } = await listening({ aloud: 'part' });
  await next(page);
  await reached(page, 'Row 1');
  const from = (await heard()).length;
  assert.equal((await heard()).at(-1), 'Row 1: slate from the right');
  await page.waitForTimeout(100);
  assert.equal((await heard()).length, from, 'no further part before it is asked for');
  await page.tap('text=Read on');
  await page.waitForFunction((many) => globalThis.heard.length === many + 1, from);
  assert.equal((await heard()).at(-1), 'under 1, over 1 twelve times');
  await context.close();
});

test('a pedal goes on with the rows after a finger has pressed another button', async () => {
  const { page, context } = await device(browser, server);
  await at(page);
  await reached(page, 'Before row 1');
  await until(page, 'Row 3 of');
  await page.tap('text=Back');
  await reached(page, 'Row 2');
  await page.keyboard.press('Space');
  await reached(page, 'Row 3');
  await page.tap('text=Settings');
  await page.tap('dialog .needle');
  await page.waitForFunction(() => !document.querySelector('dialog'));
  await page.keyboard.press('Space');
  await reached(page, 'Row 4');
  await page.tap('text=Read aloud');
  await page.keyboard.press('Space');
  await reached(page, 'Row 5');
  // Who goes by keyboard has the button that has the focus.
  await page.focus('text=Back');
  await page.keyboard.press('Space');
  await reached(page, 'Row 4');
  await context.close();
});

test('a spoken word weaves on, takes back and reads again; what the page reads itself is no such word', async () => {
  const { page, context } = await device(browser, server);
  await page.addInitScript(() => {
    const voice = { heard: [], speaking: false, ear: null };
    Object.defineProperty(globalThis, 'voice', { value: voice });
    Object.defineProperty(globalThis, 'SpeechSynthesisUtterance', { value: class { constructor(words) { this.words = words; } } });
    Object.defineProperty(globalThis, 'speechSynthesis', { value: {
      get speaking() { return voice.speaking; },
      cancel() {},
      speak(one) {
        voice.heard.push(one.words);
        voice.speaking = true;
        voice.end = () => {
          voice.speaking = false;
          one.onend();
        };
      },
    } });
    Object.defineProperty(globalThis, 'SpeechRecognition', { value: class {
      constructor() { voice.ear = this; }
      start() { this.open = true; }
      stop() { this.open = false; }
      abort() {
        this.open = false;
        setTimeout(() => this.onend(), 0);
      }
    } });
  });
  const say = (transcript) => page.evaluate((transcript) => globalThis.voice.ear.onresult({ results: [[{ transcript }]] }), transcript);
  const open = () => page.evaluate(() => globalThis.voice.ear?.open ?? false);
  await at(page);
  await page.reload();
  await reached(page, 'Before row 1');
  await page.tap('text=Settings');
  await page.getByRole('button', { name: 'Listen for “next”, “back” and “again”' }).tap();
  await page.keyboard.press('Escape');
  assert.ok(await open());
  await say('next');
  await reached(page, 'Row 1 of');
  await say(' well done ');
  await reached(page, 'Row 2 of');
  await isDone(1);
  await say('back');
  await reached(page, 'Row 1 of');
  await isDone();
  await say('again');
  await page.waitForFunction(() => globalThis.voice.speaking);
  assert.equal(await open(), false, 'its own voice is not listened to');
  await say('next');
  await page.waitForTimeout(700);
  await isDone();
  assert.equal(await open(), false);
  // It listens again when all is read.
  await page.evaluate(async () => {
    for (let k = 0; k < 40 && globalThis.voice.speaking; k += 1) {
      globalThis.voice.end();
      await new Promise((done) => setTimeout(done, 20));
    }
  });
  await page.waitForFunction(() => globalThis.voice.ear.open);
  await say('next');
  await isDone(1);
  await context.close();
});
