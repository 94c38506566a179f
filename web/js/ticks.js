// Keeping the place: every row done is a fact with an id of its own, so that sending it twice, or from two devices,
// does no harm. What can't be sent is kept on this device and sent when the line is back; what the server refuses for good
// is set aside and told.
import { Trouble, at, post } from './api.js';
import { KeptTicks } from './kept-ticks.js';

/**
 * @typedef {import('./kept-ticks.js').Tick} Tick
 * @typedef {{done: number[], next_row: number | null, needles: {weft: string, side: 'left' | 'right'}[]}} Place
 * @typedef {{onPlace: (place: Place) => void, onState: () => void, onOthers: () => void}} Told `onOthers`: another window of this
 *   device has kept something
 */

const PATIENCE = 1000; // milliseconds after which the weaver goes on without an answer
const AGAIN = 2000;
const LONGEST = 60_000; // between two tries where the server answers that it can't

/** Answers that another try, later, may find changed; any other that says no says so for good. */
const isForNow = (/** @type {number} */ status) => status === 0 || status === 408 || status === 429 || status >= 500;
/** This device may not tick: that isn't the tick's fault, and it is asked again when it may. */
const isForWho = (/** @type {number} */ status) => status === 401 || status === 403;

export class Ticks {
  #cut = false;
  /** @type {Promise<boolean> | null} */
  #sending = null;
  /** @type {Trouble | null} */
  #refused = null;
  #timer = 0;
  #pause = AGAIN;
  #left = false;

  /**
   * @param {string} weaving
   * @param {Told} told
   */
  constructor(weaving, told) {
    this.kept = new KeptTicks(weaving);
    this.path = at`/api/weavings/${weaving}/ticks`;
    this.told = told;
    this.online = () => void this.send();
    window.addEventListener('online', this.online);
    this.deafen = this.kept.onOthers(() => {
      told.onOthers();
      // The window that kept it sends it; if that is gone meanwhile this one does.
      if (this.waiting.length > 0) this.#later(AGAIN);
    });
  }

  leave() {
    this.#left = true;
    clearTimeout(this.#timer);
    window.removeEventListener('online', this.online);
    this.deafen();
  }

  /** What has not been acknowledged, oldest first. */
  get waiting() {
    return this.kept.waiting();
  }

  /** What the server has refused for good. */
  get aside() {
    return this.kept.aside();
  }

  /** The weaver has read what was refused for good. */
  seen() {
    this.kept.seen();
    this.told.onState();
  }

  /** Why the server takes nothing from this device now, if it said so. */
  get refused() {
    return this.#refused;
  }

  /** Whether the line seems to be cut. */
  get cut() {
    return this.#cut;
  }

  /**
   * Takes a fact down, and answers when the weaver may go on: when the server has it on disk, or after a second.
   * @param {number} row
   * @param {boolean} done
   * @param {string} [rev]
   * @returns {Promise<boolean>} false where the server refused it for good
   */
  async put(row, done, rev) {
    const id = freshId();
    this.kept.put({ id, row, done, at: Date.now(), rev });
    const wasCut = this.#cut;
    const sent = this.send();
    if (wasCut) return true;
    const late = new Promise((resolve) => setTimeout(resolve, PATIENCE, 'late'));
    const came = await Promise.race([sent, late]);
    if (came === 'late') this.#setState(true, this.#refused);
    return !this.aside.some((one) => one.id === id);
  }

  /**
   * Sends what is waiting. What is kept while it sends goes along.
   * @returns {Promise<boolean>} whether nothing is left
   */
  send() {
    clearTimeout(this.#timer);
    this.#timer = 0;
    this.#sending ??= this.#send();
    return this.#sending;
  }

  /** @returns {Promise<boolean>} */
  async #send() {
    // So that it is known to be under way before it can end.
    await Promise.resolve();
    try {
      // Read anew each time: another window may have sent some, or kept more.
      for (let waiting = this.waiting; waiting.length > 0; waiting = this.waiting) await this.#batch(waiting);
      this.#pause = AGAIN;
      this.#setState(false, null);
      return true;
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      this.#setState(error.status === 0, error.status === 0 ? null : error);
      // Who may not tick is not asked again and again; what was ticked is kept.
      if (isForWho(error.status)) return false;
      this.#later(error.status === 0 ? AGAIN : this.#pause);
      if (error.status !== 0) this.#pause = Math.min(this.#pause * 2, LONGEST);
      return false;
    } finally {
      // At once: what is kept from now on is not missed by who asks.
      this.#sending = null;
    }
  }

  /**
   * Sends the first of what is waiting, with those after it that were made on the same revision.
   * @param {Tick[]} waiting
   */
  async #batch(waiting) {
    const other = waiting.findIndex(({ rev }) => rev !== waiting[0]?.rev);
    const together = other < 0 ? waiting : waiting.slice(0, other);
    try {
      await this.#post(together);
    } catch (error) {
      if (!isForGood(error)) throw error;
      if (together.length === 1) return this.#setAside(together[0], error);
      // Which of them it is, is found out one by one; the others are not to blame.
      for (const tick of together) {
        await this.#post([tick]).catch((why) => {
          if (!isForGood(why)) throw why;
          this.#setAside(tick, why);
        });
      }
    }
  }

  /** @param {Tick[]} ticks of one revision */
  async #post(ticks) {
    // The moments are of this device's clock, which may be wrong: it says what that is now.
    const place = await post(this.path, { now: Date.now(), ticks: ticks.map(({ id, row, done, at: when }) => ({ id, row, done, at: when })), rev: ticks[0]?.rev });
    // Something between here and the server that answers in its stead has acknowledged nothing.
    if (!Array.isArray(place?.done)) throw new Trouble(0, null);
    for (const tick of ticks) this.kept.acknowledged(tick);
    this.told.onPlace(place);
  }

  /**
   * @param {Tick | undefined} tick
   * @param {Trouble} why
   */
  #setAside(tick, why) {
    if (!tick) return;
    this.kept.setAside(tick, `${why.message} ${why.help}`.trim());
    this.told.onState();
  }

  /** @param {number} pause */
  #later(pause) {
    if (this.#timer === 0 && !this.#left) this.#timer = window.setTimeout(() => void this.send(), pause);
  }

  /**
   * @param {boolean} cut
   * @param {Trouble | null} refused
   */
  #setState(cut, refused) {
    if (this.#cut === cut && this.#refused?.message === refused?.message) return;
    this.#cut = cut;
    this.#refused = refused;
    this.told.onState();
  }
}

/** @param {unknown} error @returns {error is Trouble} */
function isForGood(error) {
  return error instanceof Trouble && !isForNow(error.status) && !isForWho(error.status);
}

/** An id that nobody else makes. (`randomUUID` is not there for phones on the local network.) */
function freshId() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}
