// Reading aloud, and listening for "next" and "back", where the browser has it.
import { setting } from './settings.js';

/**
 * How quickly it is read, of what the browser's voice takes for usual.
 * @type {Record<string, number>}
 */
const RATES = { slow: 0.65, usual: 0.9, quick: 1.2 };

const PAUSE = 500; // milliseconds from the end of listening until it begins again

/**
 * Reads parts one after the other.
 * @param {{words: string, mark?: Element}[]} parts
 * @returns {Promise<void>}
 */
export async function readAloud(parts) {
  hush();
  const mine = ++turn;
  for (const { words, mark } of parts) {
    if (mine !== turn) return;
    mark?.classList.add('spoken');
    // What the page says itself is no word of the weaver's.
    ear?.abort();
    await new Promise((done) => {
      const said = new SpeechSynthesisUtterance(words);
      said.lang = 'en';
      said.rate = RATES[setting('pace')] ?? 1;
      said.onend = said.onerror = done;
      speechSynthesis.speak(said);
    });
    mark?.classList.remove('spoken');
  }
}

let turn = 0;

/** What listens. @type {any} */
let ear = null;

/** Stops reading. */
export function hush() {
  turn += 1;
  if (canRead()) speechSynthesis.cancel();
}

export function canRead() {
  return 'speechSynthesis' in window;
}

/** @returns {any} */
function recogniser() {
  const page = /** @type {any} */ (window);
  return page.SpeechRecognition ?? page.webkitSpeechRecognition ?? null;
}

/** Whether this browser can listen; it does so only on a page that it takes to be safe. */
export function canListen() {
  return recogniser() !== null && window.isSecureContext;
}

/** Whether something is read now. */
const reads = () => canRead() && speechSynthesis.speaking;

/**
 * Listens until the answer is called, but for what is read aloud.
 * @param {(word: 'next' | 'back' | 'again') => void} heard
 * @returns {() => void}
 */
export function listen(heard) {
  const Recogniser = recogniser();
  let gone = false;
  const mine = new Recogniser();
  ear = mine;
  mine.continuous = true;
  mine.lang = 'en';
  mine.onresult = (/** @type {any} */ event) => {
    if (reads()) return;
    const words = String(event.results[event.results.length - 1]?.[0]?.transcript ?? '').toLowerCase();
    const found = /\b(next|done|back|again)\b/.exec(words)?.[1];
    if (found === 'back' || found === 'again') heard(found);
    else if (found) heard('next');
  };
  const begin = () => {
    if (gone) return;
    if (reads()) setTimeout(begin, PAUSE);
    else mine.start();
  };
  mine.onend = () => setTimeout(begin, PAUSE);
  mine.onerror = (/** @type {any} */ event) => {
    if (event.error === 'not-allowed') gone = true;
  };
  begin();
  return () => {
    gone = true;
    if (ear === mine) ear = null;
    mine.stop();
  };
}
