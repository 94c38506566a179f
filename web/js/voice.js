// Reading aloud, and listening for "next" and "back", where the browser has it.
import { setting } from './settings.js';

/**
 * How quickly it is read, of what the browser's voice takes for usual.
 * @type {Record<string, number>}
 */
const RATES = { slow: 0.65, usual: 0.9, quick: 1.2 };

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

/**
 * Listens until the answer is called.
 * @param {(word: 'next' | 'back' | 'again') => void} heard
 * @returns {() => void}
 */
export function listen(heard) {
  const Recogniser = recogniser();
  let gone = false;
  const ear = new Recogniser();
  ear.continuous = true;
  ear.lang = 'en';
  ear.onresult = (/** @type {any} */ event) => {
    const words = String(event.results[event.results.length - 1]?.[0]?.transcript ?? '').toLowerCase();
    const found = /\b(next|done|back|again)\b/.exec(words)?.[1];
    if (found === 'back' || found === 'again') heard(found);
    else if (found) heard('next');
  };
  ear.onend = () => {
    if (!gone) setTimeout(() => !gone && ear.start(), 500);
  };
  ear.onerror = (/** @type {any} */ event) => {
    if (event.error === 'not-allowed') gone = true;
  };
  ear.start();
  return () => {
    gone = true;
    ear.stop();
  };
}
