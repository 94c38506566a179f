// What there is to find in a piece, and what takes it away. The findings come with the piece; its remedies are tried out
// by the server when the piece is there to be seen, and until they come those that the same finding had stay.
import { Trouble, at, get } from './api.js';
import { begun, fill, h, keepFocus } from './dom.js';
import { Foretold } from './panel.js';
import { mayEdit } from './who.js';

/**
 * @typedef {import('./piece.js').Finding} Finding
 * @typedef {{number: number, words: string, edit: object}} Remedy
 * @typedef {{id: string, now: () => import('./piece.js').Shown, ways: import('./panel.js').Ways, light: (rows: [number, number] | null) => void,
 *   take: (remedy: Remedy) => Promise<void>, trouble: (trouble: Trouble) => void}} Given
 * @typedef {{key: string, list: HTMLElement, foretold: Foretold, words: string}} Slot where a finding's remedies stand
 */

export class Findings {
  /** @type {Slot[]} */
  #slots = [];
  /** What takes findings away, as it was known last. @type {Map<string, Remedy[]>} */
  #known = new Map();
  #of = '';
  /** @type {{of: string, done: Promise<Trouble | null>} | null} */
  #asking = null;

  /** @param {Given} given */
  constructor(given) {
    this.given = given;
    this.element = h('section', { class: 'findings', 'aria-labelledby': 'findings-title' });
  }

  /**
   * @param {Finding[] | null} findings null where there is no piece to find them in
   * @param {string | null} caution what is usually said of such a piece
   */
  show(findings, caution) {
    this.#slots = [];
    const title = (/** @type {string} */ words) => h('h2', { id: 'findings-title', tabindex: '-1' }, words);
    const keys = keysOf(findings ?? []);
    const last = caution ? h('p', { class: 'quiet caution' }, caution) : null;
    if (findings === null) fill(this.element);
    else if (findings.length === 0) fill(this.element, title('Nothing to mend.'), last);
    else fill(this.element, title('What there is to find'), h('ol', {}, findings.map((finding, k) => this.#page(finding, k, keys[k] ?? ''))), last);
  }

  /**
   * @param {Finding} finding
   * @param {number} k
   * @param {string} key
   */
  #page(finding, k, key) {
    const light = () => this.given.light(finding.place.rows);
    const dark = () => this.given.light(null);
    const slot = { key, list: h('ul', { class: 'remedies changes' }), foretold: new Foretold(this.given.ways), words: '' };
    this.#slots.push(slot);
    this.#offer(slot);
    return h('li', {
      class: `finding ${finding.severity}`, tabindex: '-1', 'data-finding': k + 1, 'data-kind': finding.kind,
      onpointerenter: light, onpointerleave: dark, onfocusin: light, onfocusout: dark,
    },
    h('p', { class: 'weight' }, h('span', { class: 'pin-number' }, String(k + 1)), ' ', begun(finding.weight)),
    h('p', { class: 'words' }, finding.words),
    slot.list, slot.foretold.element);
  }

  /** @param {Slot} slot */
  #offer(slot) {
    const remedies = mayEdit() ? this.#known.get(slot.key) ?? [] : [];
    const words = JSON.stringify(remedies);
    slot.list.hidden = remedies.length === 0;
    // What is offered already stays as it is, with a pointer that rests on it.
    if (words === slot.words) return;
    slot.words = words;
    fill(slot.list, remedies.map((remedy) => h('li', {}, h('button', {
      class: 'remedy', 'data-remedy': remedy.number, 'data-key': `remedy ${slot.key} ${remedy.words}`, ...slot.foretold.of(remedy.edit),
      onclick: () => void this.#press(slot.key, remedy.words),
    }, begun(remedy.words)))));
  }

  /**
   * One is taken as it is tried out on the piece as it is now.
   * @param {string} key
   * @param {string} words
   */
  async #press(key, words) {
    const trouble = await this.mend();
    if (trouble) return this.given.trouble(trouble);
    const remedy = this.#known.get(key)?.find((one) => one.words === words);
    if (remedy) await this.given.take(remedy);
  }

  /**
   * Asks for what takes the findings away, where that is not known yet.
   * @returns {Promise<Trouble | null>} why it isn't known then either
   */
  async mend() {
    const of = this.given.now().head;
    if (!mayEdit() || this.#of === of) return null;
    if (this.#asking?.of !== of) this.#asking = { of, done: this.#ask(of) };
    return this.#asking.done;
  }

  /**
   * @param {string} of
   * @returns {Promise<Trouble | null>}
   */
  async #ask(of) {
    try {
      const found = await get(at`/api/pieces/${this.given.id}/remedies?rev=${of}`);
      if (of === this.given.now().head) this.#take(of, found.findings);
      return null;
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      return error;
    } finally {
      if (this.#asking?.of === of) this.#asking = null;
    }
  }

  /**
   * @param {string} of
   * @param {Remedy[][]} remedies for each finding, in their order
   */
  #take(of, remedies) {
    this.#of = of;
    this.#known = new Map(keysOf(this.given.now().check?.findings ?? []).map((key, k) => [key, remedies[k] ?? []]));
    keepFocus(this.element, () => this.#slots.forEach((slot) => this.#offer(slot)));
  }
}

/**
 * By what a finding is known again: its kind and its place, and which of those it is.
 * @param {Finding[]} findings
 */
function keysOf(findings) {
  /** @type {Map<string, number>} */
  const seen = new Map();
  return findings.map(({ kind, place: { band, edge } }) => {
    const about = `${kind} ${edge ?? ''} ${band ?? ''}`;
    const nth = (seen.get(about) ?? 0) + 1;
    seen.set(about, nth);
    return `${about} ${nth}`;
  });
}
