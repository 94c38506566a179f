// Keeping the place: every row done is a fact with an id of its own, so that sending it twice, or from two devices,
// does no harm. What can't be sent is kept on this device and sent when the line is back.
import { Trouble, at, post } from './api.js';

/**
 * @typedef {{id: string, row: number, done: boolean, at: number, rev?: string}} Tick `rev`: the revision that the rows were shown from
 * @typedef {{done: number[], next_row: number | null, needles: {weft: string, side: 'left' | 'right'}[]}} Place
 */

const PATIENCE = 1000; // milliseconds after which the weaver goes on without an answer
const AGAIN = 2000;

export class Ticks {
  /** @type {Tick[]} */
  #waiting = [];
  #cut = false;
  #sending = false;
  /** @type {Trouble | null} */
  #refused = null;
  #timer = 0;

  /**
   * @param {string} weaving
   * @param {{onPlace: (place: Place) => void, onState: () => void}} told
   */
  constructor(weaving, told) {
    this.key = `fellmark.ticks.${weaving}`;
    this.path = at`/api/weavings/${weaving}/ticks`;
    this.told = told;
    try {
      this.#waiting = JSON.parse(localStorage.getItem(this.key) ?? '[]');
    } catch {
      this.#waiting = [];
    }
    this.online = () => void this.send();
    window.addEventListener('online', this.online);
  }

  leave() {
    clearTimeout(this.#timer);
    window.removeEventListener('online', this.online);
  }

  /** What has not been sent, oldest first. */
  get waiting() {
    return this.#waiting;
  }

  /** Why the server takes nothing from this device, if it said so. */
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
   * @returns {Promise<void>}
   */
  async put(row, done, rev) {
    this.#waiting.push({ id: freshId(), row, done, at: Date.now(), rev });
    this.#keep();
    const wasCut = this.#cut;
    const sent = this.send();
    if (wasCut) return;
    const late = new Promise((resolve) => setTimeout(resolve, PATIENCE, 'late'));
    const came = await Promise.race([sent, late]);
    if (came === 'late') this.#setCut(true);
  }

  /**
   * Sends what is waiting.
   * @returns {Promise<boolean>} whether nothing is left
   */
  async send() {
    clearTimeout(this.#timer);
    if (this.#sending) return false;
    this.#sending = true;
    try {
      while (this.#waiting.length > 0) {
        // Those that were made on one revision go together.
        const rev = this.#waiting[0]?.rev;
        const other = this.#waiting.findIndex((tick) => tick.rev !== rev);
        const sent = other < 0 ? [...this.#waiting] : this.#waiting.slice(0, other);
        const place = await post(this.path, { ticks: sent.map(({ id, row, done, at: when }) => ({ id, row, done, at: when })), rev });
        const ids = new Set(sent.map(({ id }) => id));
        this.#waiting = this.#waiting.filter(({ id }) => !ids.has(id));
        this.#keep();
        this.told.onPlace(place);
      }
      this.#refuse(null);
      this.#setCut(false);
      return true;
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      // Who may not tick is not asked again and again; what was ticked is kept.
      if (error.status === 401 || error.status === 403) {
        this.#refuse(error);
        return false;
      }
      this.#setCut(true);
      this.#timer = window.setTimeout(() => void this.send(), AGAIN);
      return false;
    } finally {
      this.#sending = false;
    }
  }

  /** @param {Trouble | null} why */
  #refuse(why) {
    if (this.#refused?.message === why?.message) return;
    this.#refused = why;
    this.told.onState();
  }

  /** @param {boolean} cut */
  #setCut(cut) {
    if (this.#cut === cut) return;
    this.#cut = cut;
    this.told.onState();
  }

  #keep() {
    try {
      if (this.#waiting.length > 0) localStorage.setItem(this.key, JSON.stringify(this.#waiting));
      else localStorage.removeItem(this.key);
    } catch {
      // This device keeps nothing; the facts are held until the page goes.
    }
  }
}

/** An id that nobody else makes. (`randomUUID` is not there for phones on the local network.) */
function freshId() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}
