// What was written into a plan's text and not saved, kept on this device. Each window keeps its own under a key of its own,
// for as long as it is there, however busy it is; what a window left that is gone is found by the next one that shows the
// piece. Whether a window is gone the browser knows by its locks. Where it has none (on plain http) nobody does: there what
// is found is copied, and the other's stays until the words are saved or thrown away.

/** @typedef {{text: string, from: string}} Draft what was written and not saved, and the text that it was begun on */

const WAIT = 1000; // milliseconds in which another window says that a draft is its own, where there are no locks

/** The keys of this window: they are its own until it goes, whatever it shows meanwhile. @type {Set<string>} */
const own = new Set();
/** @type {LockManager | undefined} */
const locks = navigator.locks;
/** Asked by another window which drafts are somebody's, this one answers. */
const channel = 'BroadcastChannel' in window && !locks ? new BroadcastChannel('fellmark.drafts') : null;
channel?.addEventListener('message', ({ data }) => {
  if (own.has(data?.whose)) channel.postMessage({ mine: data.whose });
});

export class Drafts {
  /** @param {string} id the piece's */
  constructor(id) {
    this.begin = `fellmark.text.${id}`;
    this.mine = `fellmark.mine.${id}`;
    this.copied = `fellmark.copied.${id}`;
    this.key = this.#own();
    /** @type {Draft | null} */
    this.last = read(this.key);
  }

  /** The key of this window's draft: the same when it is loaded anew. */
  #own() {
    try {
      const known = sessionStorage.getItem(this.mine);
      if (known) return known;
      return this.#fresh();
    } catch {
      return this.begin;
    }
  }

  #fresh() {
    const key = `${this.begin}.${crypto.getRandomValues(new Uint32Array(2)).join('')}`;
    sessionStorage.setItem(this.mine, key);
    return key;
  }

  /** @returns {Draft | null} */
  get() {
    return this.last;
  }

  /**
   * @param {Draft | null} draft
   * @returns {boolean} whether nothing is lost when the page goes
   */
  put(draft) {
    this.last = draft;
    try {
      if (draft) localStorage.setItem(this.key, JSON.stringify(draft));
      else this.#remove();
      return true;
    } catch {
      return draft === null;
    }
  }

  /** The words are saved or thrown away: so is what they were copied from, if it is still the same and no window's. */
  #remove() {
    localStorage.removeItem(this.key);
    const copied = JSON.parse(sessionStorage.getItem(this.copied) ?? 'null');
    if (!copied) return;
    sessionStorage.removeItem(this.copied);
    const remove = () => read(copied.key)?.text === copied.text && localStorage.removeItem(copied.key);
    if (locks) void locks.request(copied.key, { ifAvailable: true }, (lock) => lock && remove()).catch(() => {});
    else remove();
  }

  /** @param {string} key of the words that were copied */
  #copies(key) {
    if (this.last) sessionStorage.setItem(this.copied, JSON.stringify({ key, text: this.last.text }));
  }

  /**
   * Finds a draft that a window left which is no longer there; it is this window's from then on. And where this window is a
   * copy of another, which brings the other's key along, it has a key of its own from then on.
   * @param {(left: Draft) => boolean} take takes its words; false where there is no place for them now
   * @returns {Promise<void>}
   */
  async find(take) {
    try {
      await (locks ? this.#findByLocks(locks, take) : this.#findByAsking(take));
    } catch {
      // This device keeps nothing.
    }
  }

  /** The drafts of this piece that aren't this window's. */
  #others() {
    return keys().filter((key) => (key === this.begin || key.startsWith(`${this.begin}.`)) && key !== this.key);
  }

  /**
   * @param {LockManager} locks
   * @param {(left: Draft) => boolean} take
   */
  async #findByLocks(locks, take) {
    if (!own.has(this.key) && !await hold(locks, this.key, { ifAvailable: true })) {
      // Another window has it; or this one, before it was loaded anew, has it a moment longer.
      const theirs = this.key;
      this.#another();
      this.#copies(theirs);
      await hold(locks, this.key, {});
      return;
    }
    for (const key of this.#others()) {
      await locks.request(key, { ifAvailable: true }, (lock) => {
        const left = lock && !own.has(key) && !this.last ? read(key) : null;
        if (left && take(left)) localStorage.removeItem(key);
      });
    }
  }

  /** @param {(left: Draft) => boolean} take */
  async #findByAsking(take) {
    const [mine, all] = [this.key, this.#others()];
    const alive = await this.#alive(own.has(mine) ? all : [...all, mine]);
    if (alive.has(mine)) this.#another();
    own.add(this.key);
    const key = all.find((key) => !alive.has(key) && !own.has(key));
    const left = key && !this.last ? read(key) : null;
    if (key && left && take(left)) this.#copies(key);
  }

  /** Has another key from now on, with the same words. */
  #another() {
    this.key = this.#fresh();
    this.put(this.last);
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
    channel?.addEventListener('message', hear);
    for (const whose of asked) channel?.postMessage({ whose });
    return new Promise((resolve) => {
      setTimeout(() => {
        channel?.removeEventListener('message', hear);
        resolve(alive);
      }, WAIT);
    });
  }
}

/**
 * Holds a key's lock until the window goes.
 * @param {LockManager} locks
 * @param {string} key
 * @param {LockOptions} how
 * @returns {Promise<boolean>} whether it is this window's
 */
function hold(locks, key, how) {
  return new Promise((resolve) => {
    locks.request(key, how, (lock) => {
      if (lock) own.add(key);
      resolve(lock !== null);
      return lock ? new Promise(() => {}) : null;
    }).catch(() => resolve(false));
  });
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
