// The piece in two sentences: phrases of the first change what they name; phrases of the second open their reason, and
// what can be asked of it.
import { fill, h } from './dom.js';

/**
 * @typedef {{words: string, about: string | null, yarn: string | null}} Part
 * @typedef {{asked_parts: Part[], follows_parts: Part[], why: Record<string, string[]>}} Said
 * @typedef {(part: Part, done: () => void) => (Node | string | null)[] | null} Change what a phrase opens, or null where there is
 *   nothing to change
 */

export class Sentences {
  /** @type {string | null} which phrase is open, so that it stays open when the sentences are said anew */
  #open = null;
  #asked = h('p', { class: 'asked' });
  #follows = h('p', { class: 'follows' });
  opened = h('div', { class: 'opened', id: 'opened', role: 'group', tabindex: '-1', 'data-key': 'opened' });
  /** Closes what is open. @type {(() => void) | null} */
  #close = null;

  /** @param {Change} change */
  constructor(change) {
    this.change = change;
    this.element = h('div', {}, this.#asked, this.#follows, this.opened);
    this.opened.addEventListener('keydown', (event) => {
      if (event.key !== 'Escape' || event.defaultPrevented || !this.#close) return;
      event.preventDefault();
      this.#close();
    });
  }

  /**
   * @param {Said} said
   * @param {boolean} grave whether something must be mended
   */
  show(said, grave) {
    const shown = new Map();
    /** @type {Map<string, string>} */
    const called = new Map();
    /** @type {(sentence: string, part: Part, open: (done: () => void) => (Node | string | null)[] | null) => Node | string} */
    const phrase = (sentence, part, open) => {
      if (!part.about) return part.words;
      const key = `${sentence} ${part.about} ${part.yarn ?? ''}`;
      if (shown.has(key)) {
        // The same thing said again belongs to the phrase that said it first.
        return part.words;
      }
      const content = open(() => {
        this.#open = null;
        this.show(said, grave);
        this.#focus(key);
      });
      if (!content) return part.words;
      shown.set(key, content);
      called.set(key, part.words);
      const press = (byKey = false) => {
        this.#open = this.#open === key ? null : key;
        this.show(said, grave);
        // Who opened it by key goes on in it, as in a band's panel.
        if (byKey && this.#open) this.opened.focus();
        else this.#focus(key);
      };
      // A button would not run on from line to line as words do.
      return h('span', {
        class: 'phrase', role: 'button', tabindex: '0', 'data-about': part.about, 'data-yarn': part.yarn ?? false, 'data-key': key,
        'aria-expanded': String(this.#open === key), 'aria-controls': 'opened',
        onclick: () => press(),
        onkeydown: (/** @type {KeyboardEvent} */ event) => {
          if (event.key !== 'Enter' && event.key !== ' ' && (event.key !== 'Escape' || this.#open !== key)) return;
          event.preventDefault();
          press(true);
        },
      }, part.words);
    };
    fill(this.#asked, said.asked_parts.map((part) => phrase('asked', part, (done) => this.change(part, done))));
    fill(this.#follows, said.follows_parts.map((part) => phrase('follows', part, (done) => {
      const why = said.why[part.about ?? ''];
      return why ? [h('ul', { class: 'why' }, why.map((words) => h('li', {}, words))), ...(this.change(part, done) ?? [])] : null;
    })));
    this.#follows.classList.toggle('grave', grave);
    const opened = this.#open === null ? null : shown.get(this.#open);
    if (!opened) this.#open = null;
    const open = this.#open;
    this.#close = open === null ? null : () => {
      this.#open = null;
      this.show(said, grave);
      this.#focus(open);
    };
    this.opened.setAttribute('aria-label', called.get(open ?? '') ?? '');
    this.opened.dataset.home = `${this.#open ?? ''}\nundo`;
    fill(this.opened, opened ?? []);
    this.opened.hidden = !opened;
  }

  /** @param {string} key */
  #focus(key) {
    /** @type {HTMLElement | null} */ (this.element.querySelector(`[data-key="${CSS.escape(key)}"]`))?.focus();
  }
}
