// What panels are made of: words to press, fields to fill, and a line that says what would come of it before it is done.
import { Trouble } from './api.js';
import { begun, fill, h, isRemade } from './dom.js';

/**
 * @typedef {{words: string, check: import('./piece.js').Check, yarns: import('./basket.js').Line[], places: import('./loom.js').Place[],
 *   tops: number[], were: (number | null)[] | null, lengths: {words: string, bands: string[]} | null}} Preview
 * @typedef {'place' | 'index' | 'line' | 'new'} Follow
 * @typedef {{make: (edit: object, follow?: Follow) => Promise<boolean>, preview: (edit: object) => Promise<Preview>,
 *   fit: () => import('./change.js').Fit | Promise<import('./change.js').Fit>}} Ways
 *   `make` does a change and says what was done; it throws what the server refuses. `fit` finds what brings the piece near the
 *   size that is wanted, at once where that is known
 */

const REST = 150; // milliseconds that a pointer or a typing hand rests before the server is asked

/** What would come of a change, in the server's words. */
export class Foretold {
  #turn = 0;
  #timer = 0;

  /** @param {Ways} ways */
  constructor(ways) {
    this.ways = ways;
    this.element = h('p', { class: 'foretold' });
  }

  /** @param {object} edit */
  ask(edit) {
    const mine = ++this.#turn;
    clearTimeout(this.#timer);
    this.#timer = window.setTimeout(async () => {
      try {
        const { words, check } = await this.ways.preview(edit);
        if (mine === this.#turn) this.#say([h('b', {}, `${begun(words)}.`), ' ', check.follows]);
      } catch (error) {
        if (!(error instanceof Trouble)) throw error;
        if (mine === this.#turn) this.#say([h('b', {}, error.message), ' ', error.help]);
      }
    }, REST);
  }

  /**
   * What words that make a change listen to: where a mouse or the keyboard's focus rests, it is said beforehand what would
   * come of it.
   * @param {object | null} edit
   */
  of(edit) {
    const tell = () => edit && this.ask(edit);
    const hush = () => this.hush();
    return {
      onpointerenter: (/** @type {PointerEvent} */ event) => event.pointerType === 'mouse' && tell(),
      onpointerleave: hush, onblur: hush,
      onfocus: (/** @type {Event} */ event) => /** @type {HTMLElement} */ (event.target).matches(':focus-visible') && tell(),
    };
  }

  hush() {
    this.#turn += 1;
    clearTimeout(this.#timer);
    this.#say([]);
  }

  /** @param {(Node | string)[]} words */
  #say(words) {
    fill(this.element, words);
  }
}

const SOON = 1000; // milliseconds after a panel is made anew in which a pointer that lies still means what it lay on before
const STILL = 8; // pixels

/** The last press in a panel: on which control, where and when. @type {{key: string | undefined, x: number, y: number, at: number} | null} */
let pressed = null;
/** When a panel was made anew. */
let remade = 0;

// What a press changes may move other controls under the pointer that pressed. Until it has moved, or a while has gone by,
// a press there is one too many.
document.addEventListener('click', (event) => {
  const control = event.target instanceof Element ? /** @type {HTMLElement | null} */ (event.target.closest('button, summary, select, label')) : null;
  // By the keys nothing lies under a pointer.
  if (!control?.closest('.band-panel, .opened, .findings') || event.detail === 0) return;
  const { clientX: x, clientY: y, timeStamp: at } = event;
  const key = control.dataset.key ?? control.textContent ?? undefined;
  if (pressed && pressed.key !== key && at - Math.max(pressed.at, remade) < SOON && Math.hypot(x - pressed.x, y - pressed.y) < STILL) {
    event.preventDefault();
    event.stopPropagation();
    return;
  }
  pressed = { key, x, y, at };
}, true);
document.addEventListener('pointermove', ({ clientX: x, clientY: y }) => {
  if (pressed && Math.hypot(x - pressed.x, y - pressed.y) >= STILL) pressed = null;
}, { passive: true });

/** What was typed into fields and not taken, with what was said of it: it stays when a panel is made anew. @type {Map<string, {typed: string, instead: string, words: string}>} */
const untaken = new Map();

/** What was typed is forgotten, where one goes elsewhere. */
export const forget = () => untaken.clear();

/** The controls of one panel. */
export class Panel {
  /** Where something was said last. @type {Element} */
  #said;

  /**
   * @param {string} name which begins the keys of its controls
   * @param {Ways} ways
   * @param {string} [of] what it is about, where panels of one name are about several things
   */
  constructor(name, ways, of = '') {
    remade = performance.now();
    this.name = name;
    this.of = of;
    this.ways = ways;
    this.foretold = new Foretold(ways);
    this.trouble = h('p', { class: 'mend panel-trouble', role: 'alert' });
    this.#said = this.trouble;
  }

  /**
   * Makes a change; what the server refuses is said in its words at the place given.
   * @param {object} edit
   * @param {Element} [at]
   * @param {Follow} [follow]
   * @returns {Promise<boolean>} whether it was made
   */
  async make(edit, at = this.trouble, follow = 'place') {
    this.foretold.hush();
    this.#say(at);
    try {
      return await this.ways.make(edit, follow);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      this.#say(at, error.message, ' ', error.help);
      return false;
    }
  }

  /**
   * Says what is wrong where it is; what was said elsewhere in the panel goes.
   * @param {Element} at
   * @param {...string} words
   */
  #say(at, ...words) {
    if (this.#said !== at) fill(this.#said);
    this.#said = at;
    fill(at, ...words);
  }

  /**
   * Words that make a change when they are pressed, and say before what would come of it. Without an edit they stand
   * there, and do nothing.
   * @param {string} key
   * @param {Node | string | (Node | string)[]} words
   * @param {object | null} edit
   * @param {{pressed?: boolean, follow?: Follow, class?: string}} [how]
   */
  action(key, words, edit, { pressed, follow, class: name = 'plain' } = {}) {
    return h('button', {
      class: name, 'data-key': `${this.name} ${key}`, 'aria-disabled': edit ? false : 'true',
      'aria-pressed': pressed === undefined ? false : String(pressed),
      onclick: () => edit && void this.make(edit, this.trouble, follow),
      ...this.foretold.of(edit),
    }, words);
  }

  /**
   * A field with what the plan says; what is typed is taken when it is left or sent, and what is wrong with it is said
   * beside it.
   * @param {string} key
   * @param {string} label
   * @param {string} value
   * @param {(value: string) => object | null} edit
   * @param {{number?: [number, number, number], wide?: boolean, plain?: boolean, hint?: string}} [how] `number`: least, most and step;
   *   `plain`: its neighbours say to the eye what it is; `hint`: what may be typed
   */
  field(key, label, value, edit, { number, wide = false, plain = false, hint = '' } = {}) {
    const trouble = h('span', { class: 'mend', role: 'alert' });
    const place = `${this.of} ${this.name} ${key}`;
    const writing = document.activeElement instanceof HTMLElement && document.activeElement.dataset.key === `${this.name} ${key}`;
    // Where the thing itself became another, what was typed instead of the former is only of use to who still types.
    if (!writing && untaken.get(place)?.instead !== value) untaken.delete(place);
    const kept = untaken.get(place);
    const wanted = () => (unlike() || input.value.trim() === value ? null : edit(input.value.trim()));
    // A number that is none has no value, and isn't the wish for none. What is more than can be, the server explains.
    const unlike = () => number && (input.validity.badInput || (input.value !== '' && !(Number.isSafeInteger(Number(input.value)) && Number(input.value) >= number[0] && Number(input.value) < 1e9)));
    const keep = (/** @type {string} */ words = '') => {
      if (input.value === value) untaken.delete(place);
      else untaken.set(place, { typed: input.value, instead: value, words });
    };
    const back = () => {
      input.value = value;
      keep();
      this.foretold.hush();
    };
    /** What was asked for last; it is asked for once, whichever way a field is left. */
    let asked = kept?.words ? kept.typed : null;
    const send = async () => {
      if (asked === input.value || isRemade()) return;
      asked = input.value;
      const sent = wanted();
      if (sent) {
        // While it is asked for it is no longer only typed; where it isn't taken it stands there again.
        const typed = input.value;
        untaken.delete(place);
        if (await this.make(sent, trouble)) return;
        const now = input.isConnected ? input : /** @type {HTMLInputElement | null} */ (document.querySelector(`[data-key="${CSS.escape(`${this.name} ${key}`)}"]`));
        if (!now) return;
        // The value that it was made with, for which this is typed.
        untaken.set(place, { typed, instead: now.defaultValue, words: trouble.textContent ?? '' });
        now.value = typed;
        return;
      }
      this.foretold.hush();
      if (unlike()) {
        this.#say(trouble, `Write a whole number from ${number?.[0]} to ${number?.[1]}.`);
        keep(trouble.textContent ?? '');
      } else if (input.value.trim() === '' && value !== '') {
        back();
        this.#say(trouble, `It can’t be empty; it stays ${value}.`);
      }
    };
    const input = h('input', {
      type: number ? 'number' : 'text', inputmode: number ? 'numeric' : false, value, size: wide ? 28 : 10, 'data-key': `${this.name} ${key}`,
      min: number?.[0], max: number?.[1], step: number ? 'any' : false, autocomplete: 'off', spellcheck: 'false', autocapitalize: 'off',
      oninput: () => {
        asked = null;
        this.#say(trouble);
        keep();
        const would = wanted();
        if (would) this.foretold.ask(would);
        else this.foretold.hush();
      },
      // What stands there since before the field was made anew is no change to a browser.
      onchange: () => void send(),
      onblur: () => void (untaken.has(place) && send()),
      onkeydown: (/** @type {KeyboardEvent} */ event) => {
        if (event.key === 'Enter' && untaken.has(place)) {
          event.preventDefault();
          asked = null;
          void send();
        }
        if (event.key !== 'Escape' || !untaken.has(place)) return;
        // What is written is given up first, and then the panel.
        event.preventDefault();
        back();
        fill(trouble);
      },
    });
    if (kept) input.value = kept.typed;
    if (kept?.words) {
      fill(trouble, kept.words);
      this.#said = trouble;
    }
    return h('div', { class: 'field' }, h('label', {}, h('span', { class: plain ? 'unseen' : '' }, label), input), this.#hint(input, key, hint), trouble);
  }

  /**
   * A field of several that make one change together.
   * @param {string} key
   * @param {string} label
   * @param {string} value
   * @param {(value: string) => void} typed
   * @param {{wide?: boolean, hint?: string}} [how]
   */
  blank(key, label, value, typed, { wide = false, hint = '' } = {}) {
    const input = h('input', {
      type: 'text', value, size: wide ? 28 : 14, 'data-key': `${this.name} ${key}`, autocomplete: 'off', spellcheck: 'false', autocapitalize: 'off',
      oninput: () => typed(input.value.trim()),
    });
    return h('div', { class: 'field' }, h('label', {}, h('span', {}, label), input), this.#hint(input, key, hint));
  }

  /**
   * What may be typed, beneath a field.
   * @param {HTMLElement} input
   * @param {string} key
   * @param {string} words
   */
  #hint(input, key, words) {
    if (!words) return null;
    const id = `${this.name} ${key} hint`.replaceAll(/\s/g, '-');
    input.setAttribute('aria-describedby', id);
    return h('span', { class: 'hint', id }, words);
  }

  /**
   * Choices of which one is taken.
   * @param {string} key
   * @param {string} label
   * @param {[string, string][]} choices values and words
   * @param {string} taken
   * @param {(value: string) => object | null} edit
   */
  select(key, label, choices, taken, edit) {
    const trouble = h('span', { class: 'mend', role: 'alert' });
    const select = h('select', {
      'data-key': `${this.name} ${key}`,
      onchange: () => {
        this.#say(trouble);
        const wanted = edit(select.value);
        if (wanted) void this.make(wanted, trouble);
      },
    }, choices.map(([value, words]) => h('option', { value, selected: value === taken }, words)));
    return h('div', { class: 'field' }, h('label', {}, h('span', {}, label), select), trouble);
  }

  /**
   * Things that belong together, under a name.
   * @param {string} label
   * @param {...(import('./dom.js').Child | import('./dom.js').Child[])} children
   */
  group(label, ...children) {
    return h('div', { class: 'group', role: 'group', 'aria-label': label }, h('span', { class: 'group-name', 'aria-hidden': 'true' }, label), h('div', {}, ...children));
  }
}

/** What is unfolded stays so when the panel is made anew. @type {Set<string>} */
const unfolded = new Set();

/**
 * @param {Panel} panel
 * @param {string} key
 * @param {(Node | string)[]} words
 * @param {...Node} children
 */
export function fold(panel, key, words, ...children) {
  const element = h('details', {
    class: 'fold', open: unfolded.has(key),
    ontoggle: () => (element.open ? unfolded.add(key) : unfolded.delete(key)),
  }, h('summary', { 'data-key': `${panel.name} fold ${key}` }, words), children);
  return element;
}
