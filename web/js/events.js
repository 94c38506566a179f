// Notices of change: one stream for the whole page; and whether the line to the computer is there.
import { Trouble } from './api.js';
import { meet } from './who.js';

/** @typedef {{piece?: string, rev?: string | null, put_away?: boolean, weaving?: string, seq?: number, devices?: boolean, all?: boolean}} Notice */
/** @typedef {'open' | 'lost' | 'shut'} Line `shut`: the computer said that it closes the network to devices */

const PATIENCE = 3000; // milliseconds without the stream after which it counts as lost
const AGAIN = 2000;

/** @type {Set<(notice: Notice) => void>} */
const listeners = new Set();
/** @type {Set<() => void>} */
const lines = new Set();
/** @type {(trouble: Trouble) => void} */
let sentAway = () => {};
/** @type {EventSource | null} */
let stream = null;
let wasOpen = false;
/** @type {Line} */
let state = 'open';
let late = 0;

/** Opens the stream, once. */
export function follow() {
  if (stream) return;
  const mine = new EventSource('/api/events');
  stream = mine;
  mine.onmessage = (event) => {
    const notice = /** @type {Notice} */ (JSON.parse(event.data));
    if (notice.devices) void again();
    tell(notice);
  };
  mine.addEventListener('shut', () => set('shut'));
  mine.onopen = () => {
    clearTimeout(late);
    late = 0;
    set('open');
    // After a gap anything may have changed, and what this device may do.
    if (wasOpen) void again().then((here) => here && tell({ all: true }));
    wasOpen = true;
  };
  mine.onerror = async () => {
    late ||= window.setTimeout(() => state === 'open' && set('lost'), PATIENCE);
    // The browser comes back by itself, unless it was sent away: then we ask why.
    if (mine.readyState !== EventSource.CLOSED) return;
    stream = null;
    if (await again()) setTimeout(follow, AGAIN);
  };
}

/**
 * Asks who this is.
 * @returns {Promise<boolean>} false where this device is let in no longer
 */
async function again() {
  try {
    await meet(true);
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    if (error.status === 401) {
      stream?.close();
      stream = null;
      wasOpen = false;
      clearTimeout(late);
      late = 0;
      set('open');
      sentAway(error);
      return false;
    }
  }
  return true;
}

/** @param {Line} now */
function set(now) {
  if (state === now) return;
  state = now;
  for (const listener of [...lines]) listener();
}

/** @param {Notice} notice */
function tell(notice) {
  for (const listener of [...listeners]) listener(notice);
}

/** Whether the line to the computer is there. */
export const line = () => state;

/**
 * What is done when this device is let in no longer.
 * @param {(trouble: Trouble) => void} then
 */
export function whenSentAway(then) {
  sentAway = then;
}

/**
 * Listens until the answer is called.
 * @param {(notice: Notice) => void} listener
 * @returns {() => void}
 */
export function onNotice(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/**
 * Listens for the line's coming and going until the answer is called.
 * @param {() => void} listener
 * @returns {() => void}
 */
export function onLine(listener) {
  lines.add(listener);
  return () => lines.delete(listener);
}
