// Notices of change: one stream for the whole page.

/** @typedef {{piece?: string, rev?: string | null, weaving?: string, seq?: number, all?: boolean}} Notice */

/** @type {Set<(notice: Notice) => void>} */
const listeners = new Set();
/** @type {EventSource | null} */
let stream = null;
let wasOpen = false;

/** Opens the stream, once. */
export function follow() {
  if (stream) return;
  stream = new EventSource('/api/events');
  stream.onmessage = (event) => tell(JSON.parse(event.data));
  stream.onopen = () => {
    // After a gap anything may have changed.
    if (wasOpen) tell({ all: true });
    wasOpen = true;
  };
  stream.onerror = () => {
    // The browser comes back by itself, unless it was sent away: then we do.
    if (stream?.readyState === EventSource.CLOSED) {
      stream = null;
      setTimeout(follow, 2000);
    }
  };
}

/** @param {Notice} notice */
function tell(notice) {
  for (const listener of [...listeners]) listener(notice);
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
