// What was written into a plan's text and not saved, kept on this device. Each window keeps its own; what a window left
// behind that is no longer there is found by the next one that shows the piece.

/** @typedef {{text: string, from: string}} Draft what was written and not saved, and the text that it was begun on */

const WAIT = 200; // milliseconds in which another window of this browser says that a draft is its own

export class Drafts {
  /** @param {string} id the piece's */
  constructor(id) {
    this.begin = `fellmark.text.${id}`;
    this.mine = `fellmark.mine.${id}`;
    this.key = this.#own();
    // Asked by another window which drafts are somebody's, this one answers.
    this.channel = 'BroadcastChannel' in window ? new BroadcastChannel('fellmark.drafts') : null;
    this.channel?.addEventListener('message', ({ data }) => {
      if (data?.whose === this.key) this.channel?.postMessage({ mine: this.key });
    });
  }

  leave() {
    this.channel?.close();
  }

  /** The key of this window's draft: the same when it is loaded anew. */
  #own() {
    try {
      const known = sessionStorage.getItem(this.mine);
      if (known) return known;
      return this.#take(`${this.begin}.${crypto.getRandomValues(new Uint32Array(2)).join('')}`);
    } catch {
      return this.begin;
    }
  }

  /** @param {string} key */
  #take(key) {
    sessionStorage.setItem(this.mine, key);
    return key;
  }

  /** @returns {Draft | null} */
  get() {
    return read(this.key);
  }

  /**
   * @param {Draft | null} draft
   * @returns {boolean} whether nothing is lost when the page goes
   */
  put(draft) {
    try {
      if (draft) localStorage.setItem(this.key, JSON.stringify(draft));
      else localStorage.removeItem(this.key);
      return true;
    } catch {
      return draft === null;
    }
  }

  /**
   * A draft that a window left which is no longer there; it is this window's from then on. And where this window is a copy
   * of another, which brings the other's draft along, it has its own from then on.
   * @returns {Promise<Draft | null>}
   */
  async find() {
    const all = keys().filter((key) => key === this.begin || key.startsWith(`${this.begin}.`));
    if (all.length === 0 || !this.channel) return null;
    const alive = await this.#alive([...all, this.key]);
    try {
      if (alive.has(this.key)) {
        const copy = read(this.key);
        this.key = this.#take(`${this.begin}.${crypto.getRandomValues(new Uint32Array(2)).join('')}`);
        this.put(copy);
        return null;
      }
      const left = all.find((key) => key !== this.key && !alive.has(key));
      if (!left || read(this.key)) return null;
      const found = read(left);
      localStorage.removeItem(left);
      this.put(found);
      return found;
    } catch {
      return null;
    }
  }

  /**
   * Which of these drafts belong to another window that is there.
   * @param {string[]} asked
   * @returns {Promise<Set<string>>}
   */
  #alive(asked) {
    /** @type {Set<string>} */
    const alive = new Set();
    const hear = (/** @type {MessageEvent} */ { data }) => {
      if (data?.mine) alive.add(data.mine);
    };
    this.channel?.addEventListener('message', hear);
    for (const whose of asked) this.channel?.postMessage({ whose });
    return new Promise((resolve) => {
      setTimeout(() => {
        this.channel?.removeEventListener('message', hear);
        resolve(alive);
      }, WAIT);
    });
  }
}

/** @returns {string[]} */
function keys() {
  try {
    return Object.keys(localStorage);
  } catch {
    return [];
  }
}

/**
 * @param {string} key
 * @returns {Draft | null}
 */
function read(key) {
  try {
    const found = JSON.parse(localStorage.getItem(key) ?? 'null');
    return typeof found?.text === 'string' && typeof found.from === 'string' ? found : null;
  } catch {
    return null;
  }
}
