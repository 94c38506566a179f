// Who this browser is to the program: on its own computer, or a device on the network that may follow or may edit.
import { get } from './api.js';

/** @typedef {{here: boolean, name: string, may: 'follow' | 'edit', open: boolean}} Me `open`: whether devices on the network are let in */

/** @type {Me | null} */
let me = null;
/** @type {Set<() => void>} */
const listeners = new Set();

/**
 * Asks who this is, once; anew where it may have changed.
 * @param {boolean} [anew]
 * @returns {Promise<void>}
 */
export async function meet(anew = false) {
  if (me && !anew) return;
  const now = /** @type {Me} */ (await get('/api/me'));
  const changed = JSON.stringify(now) !== JSON.stringify(me);
  me = now;
  // What only some may do is hidden by these (style/paper.css); the server refuses it anyway.
  const { dataset } = document.documentElement;
  dataset.may = now.may;
  dataset.where = now.here ? 'here' : 'there';
  dataset.network = now.open ? 'open' : 'shut';
  if (changed) for (const listener of [...listeners]) listener();
}

/** What a device that may follow says of itself. */
export const FOLLOWS = 'This device follows: it sees everything and changes nothing.';

/** Whether rows may be ticked and pieces changed. */
export const mayEdit = () => me?.may !== 'follow';

/** Whether this is a browser on the computer itself. */
export const isHere = () => me?.here !== false;

/**
 * Listens for another right until the answer is called.
 * @param {() => void} listener
 * @returns {() => void}
 */
export function onMe(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}
