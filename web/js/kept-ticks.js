// Ticks that the server has not acknowledged yet, kept on this device: each under a key of its own, which all windows of
// the weaving see. A key goes when the server has acknowledged its tick, or refused it for good, and for nothing else: no
// window writes over what another has kept.

/**
 * @typedef {{id: string, row: number, done: boolean, at: number, rev?: string}} Tick `rev`: the revision that the rows were shown from
 * @typedef {Tick & {why: string}} Aside `why`: what the server said when it refused it
 */

/** A shelf of this device's storage, with a key to each thing. @template {{id: string}} T */
class Shelf {
  /** What this device has no room for: held until the page goes. @type {Map<string, T>} */
  #held = new Map();
  /** What was taken away, also where the device doesn't do that: it never comes back. @type {Set<string>} */
  #gone = new Set();

  /**
   * @param {string} name
   * @param {(one: any) => one is T} is
   */
  constructor(name, is) {
    this.prefix = `${name}.`;
    this.is = is;
  }

  /** @returns {T[]} */
  all() {
    /** @type {Map<string, T>} */
    const found = new Map(this.#held);
    for (const key of keys()) {
      const one = key.startsWith(this.prefix) ? read(key) : null;
      if (this.is(one) && !this.#gone.has(one.id)) found.set(one.id, one);
    }
    return [...found.values()];
  }

  /** @param {T} one */
  put(one) {
    if (this.#gone.has(one.id)) return;
    try {
      localStorage.setItem(this.prefix + one.id, JSON.stringify(one));
      this.#held.delete(one.id);
    } catch {
      this.#held.set(one.id, one);
    }
  }

  /** @param {string} id */
  drop(id) {
    this.#held.delete(id);
    this.#gone.add(id);
    remove(this.prefix + id);
  }
}

export class KeptTicks {
  /** @param {string} weaving */
  constructor(weaving) {
    /** All in one, as they were kept once. */
    this.former = `fellmark.ticks.${weaving}`;
    this.waits = new Shelf(this.former, isTick);
    this.asides = new Shelf(`fellmark.aside.${weaving}`, isAside);
  }

  /** What waits for its acknowledgement, oldest first: of all windows. @returns {Tick[]} */
  waiting() {
    const former = read(this.former);
    if (former !== null) {
      if (Array.isArray(former)) former.filter(isTick).forEach((tick) => this.waits.put(tick));
      remove(this.former);
    }
    return this.waits.all().sort((a, b) => a.at - b.at);
  }

  /** @param {Tick} tick */
  put(tick) {
    this.waits.put(tick);
  }

  /**
   * The server has it on disk.
   * @param {Tick} tick
   */
  acknowledged({ id, row }) {
    this.waits.drop(id);
    // What is known of the row now makes good what was refused of it.
    for (const aside of this.asides.all()) if (aside.row === row) this.asides.drop(aside.id);
  }

  /**
   * The server will never take it: it stands in no other tick's way any more.
   * @param {Tick} tick
   * @param {string} why
   */
  setAside(tick, why) {
    this.asides.put({ ...tick, why });
    this.waits.drop(tick.id);
  }

  /** What the server refused for good, by row. */
  aside() {
    return this.asides.all().sort((a, b) => a.row - b.row);
  }

  /** The weaver has read what was refused. */
  seen() {
    for (const { id } of this.asides.all()) this.asides.drop(id);
  }

  /**
   * Listens for what other windows keep, until the answer is called.
   * @param {() => void} listener
   * @returns {() => void}
   */
  onOthers(listener) {
    const hear = (/** @type {StorageEvent} */ { key }) => {
      if (key === null || key.startsWith(this.waits.prefix) || key.startsWith(this.asides.prefix)) listener();
    };
    window.addEventListener('storage', hear);
    return () => window.removeEventListener('storage', hear);
  }
}

/** @param {any} one @returns {one is Tick} */
function isTick(one) {
  return typeof one?.id === 'string' && Number.isInteger(one.row) && typeof one.done === 'boolean' && Number.isFinite(one.at);
}

/** @param {any} one @returns {one is Aside} */
function isAside(one) {
  return isTick(one) && typeof (/** @type {any} */ (one).why) === 'string';
}

/** @returns {string[]} */
function keys() {
  try {
    return Object.keys(localStorage);
  } catch {
    return [];
  }
}

/** @param {string} key @returns {any} */
function read(key) {
  try {
    return JSON.parse(localStorage.getItem(key) ?? 'null');
  } catch {
    return null;
  }
}

/** @param {string} key */
function remove(key) {
  try {
    localStorage.removeItem(key);
  } catch {
    // This device keeps nothing.
  }
}
