// Notices of change, and whether the line to the computer is there. A browser gives a host few connections, and a stream
// takes one for good: so the windows of one browser have one stream together. The window that holds a lock leads it and hands
// on what it hears. Where a browser has no locks (on plain http) a window that isn't seen gives its stream up, and asks for
// everything anew when it is seen again.
import { Trouble } from './api.js';
import { meet } from './who.js';

/** @typedef {{piece?: string, rev?: string | null, put_away?: boolean, weaving?: string, seq?: number, devices?: boolean, all?: boolean}} Notice */
/** @typedef {'open' | 'lost' | 'shut'} Line `shut`: the computer said that it closes the network to devices */
/**
 * @typedef {{notice?: Notice, line?: Line, gap?: boolean, asks?: boolean}} Word what windows hand on; `gap`: notices may have been
 *   missed; `asks`: a new window asks how the line is
 */

const PATIENCE = 3000; // milliseconds without the stream after which it counts as lost
const AGAIN = 2000;
const NAME = 'fellmark.events';

/** @type {Set<(notice: Notice) => void>} */
const listeners = new Set();
/** @type {Set<() => void>} */
const lines = new Set();
/** @type {(trouble: Trouble) => void} */
let sentAway = () => {};
let following = false;
/** @type {EventSource | null} */
let stream = null;
/** Whether notices came before, so that a new stream comes after a gap. */
let wasOpen = false;
/** @type {Line} */
let state = 'open';
let late = 0;
let timer = 0;
/** @type {BroadcastChannel | null} */
let channel = null;
/** Whether this window has the stream for all. */
let leads = false;
/** Leaves the lead, or the queue for it. */
let leave = () => {};

/** Follows what changes, once. */
export function follow() {
  if (following) return;
  following = true;
  if (navigator.locks && 'BroadcastChannel' in window) void together(navigator.locks);
  else look();
}

/** @param {LockManager} locks */
async function together(locks) {
  const mine = channel = new BroadcastChannel(NAME);
  mine.onmessage = ({ data }) => {
    if (!data.asks) hear(data);
    else if (leads) mine.postMessage({ line: state });
  };
  const out = new AbortController();
  const left = new Promise((resolve) => out.signal.addEventListener('abort', () => resolve(true)));
  leave = () => out.abort();
  const lead = (/** @type {Lock | null} */ lock) => {
    if (!lock) return false;
    leads = true;
    open();
    return left;
  };
  try {
    const led = await locks.request(NAME, { ifAvailable: true }, lead);
    if (led || out.signal.aborted) return;
    // Another window leads; when that goes this one may have missed something.
    wasOpen = true;
    mine.postMessage({ asks: true });
    await locks.request(NAME, { signal: out.signal }, lead);
  } catch {
    // Sent away meanwhile; or there are no locks here after all.
    if (!out.signal.aborted) open();
  }
}

/** Has a stream while it is seen. */
function look() {
  if (document.visibilityState === 'visible') return open();
  close();
  wasOpen = true;
}

document.addEventListener('visibilitychange', () => following && !channel && look());

/** Opens the stream. */
function open() {
  if (stream || !following) return;
  const mine = stream = new EventSource('/api/events');
  mine.onmessage = (event) => hand({ notice: JSON.parse(event.data) });
  mine.addEventListener('shut', () => hand({ line: 'shut' }));
  mine.onopen = () => {
    clearTimeout(late);
    late = 0;
    hand({ line: 'open' });
    // After a gap anything may have changed, and what this device may do.
    if (wasOpen) hand({ gap: true });
    wasOpen = true;
  };
  mine.onerror = async () => {
    late ||= window.setTimeout(() => state === 'open' && hand({ line: 'lost' }), PATIENCE);
    // The browser comes back by itself, unless it was sent away: then we ask why.
    if (mine.readyState !== EventSource.CLOSED) return;
    stream = null;
    if (await again()) timer = window.setTimeout(open, AGAIN);
  };
}

function close() {
  stream?.close();
  stream = null;
  clearTimeout(late);
  clearTimeout(timer);
  late = 0;
}

/**
 * Hears it here and in the other windows.
 * @param {Word} word
 */
function hand(word) {
  channel?.postMessage(word);
  hear(word);
}

/** @param {Word} word */
function hear({ notice, line: now, gap }) {
  if (now) set(now);
  if (gap) void again().then((here) => here && tell({ all: true }));
  if (notice?.devices) void again();
  if (notice) tell(notice);
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
      if (!following) return false;
      // The other windows find that out too.
      channel?.postMessage({ gap: true });
      following = wasOpen = leads = false;
      close();
      leave();
      channel?.close();
      channel = null;
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
