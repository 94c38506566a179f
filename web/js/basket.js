// The basket: what the piece takes of each yarn. A yarn opens what changes it, and another one comes in.
import { anew, yarnPanel } from './change.js';
import { begun, dyed, fill, h } from './dom.js';
import { Panel } from './panel.js';

/**
 * @typedef {{name: string, colour: string, need: any}} Line
 * @typedef {import('./change.js').Draft} Draft
 */

/** What is open where another yarn comes in. */
const NEW = ' ';

export class Basket {
  /** @type {string | null} the yarn whose panel is open */
  #open = null;
  /** @type {Draft} what has been typed of another yarn, which stays when the panel is made anew */
  #draft = {};
  #list = h('ul');
  opened = h('div', { class: 'opened', id: 'basket-opened', hidden: true });
  /** @type {Line[]} */
  #yarns = [];

  /**
   * @param {import('./panel.js').Ways} ways
   * @param {() => import('./change.js').Now} now
   */
  constructor(ways, now) {
    this.ways = ways;
    this.now = now;
    this.opened.addEventListener('keydown', (event) => {
      if (event.key !== 'Escape' || event.defaultPrevented || this.#open === null) return;
      event.preventDefault();
      this.#turn(null, this.#open);
    });
    this.element = h('section', { class: 'basket', 'aria-label': 'Yarn it takes' }, this.#list, this.opened);
  }

  /** @param {Line[]} yarns */
  show(yarns) {
    // A yarn that is called otherwise stays open.
    const came = yarns.filter(({ name }) => !this.#yarns.some((one) => one.name === name));
    const gone = this.#yarns.filter(({ name }) => !yarns.some((one) => one.name === name));
    if (came.length === 1 && gone.length === 1 && this.#open === gone[0]?.name) this.#open = came[0]?.name ?? null;
    this.#yarns = yarns;
    if (this.#open !== NEW && !yarns.some(({ name }) => name === this.#open)) this.#open = null;
    const may = this.now().parts !== undefined;
    fill(this.#list,
      yarns.map(({ name, colour, need }) => h('li', {},
        dyed(h('i', { class: 'yarn ball', 'aria-hidden': 'true' }), colour),
        this.#phrase(name, typeof need === 'string' ? need : need?.words ?? begun(name), may))),
      may ? h('li', { class: 'changes' }, this.#phrase(NEW, 'Another yarn', true)) : null);
    this.#showPanel();
  }

  /**
   * @param {string} name
   * @param {string} words
   * @param {boolean} may
   */
  #phrase(name, words, may) {
    if (!may) return h('span', {}, words);
    return h('button', {
      class: 'plain', 'data-key': `basket ${name}`, 'data-ball': name, 'aria-expanded': String(this.#open === name), 'aria-controls': 'basket-opened',
      onclick: () => this.#turn(this.#open === name ? null : name, name),
    }, words);
  }

  /**
   * @param {string | null} open
   * @param {string} focus
   */
  #turn(open, focus) {
    this.#open = open;
    this.show(this.#yarns);
    /** @type {HTMLElement | null} */ (this.#list.querySelector(`[data-key="${CSS.escape(`basket ${focus}`)}"]`))?.focus();
  }

  #showPanel() {
    const { parts, choices, colours } = this.now();
    const open = this.#open;
    this.opened.hidden = open === null || !parts;
    this.opened.dataset.home = `basket ${open ?? ''}\nundo`;
    if (open === null || !parts) return fill(this.opened);
    const panel = new Panel(open === NEW ? 'new yarn' : `basket yarn ${open}`, this.ways);
    const controls = open === NEW
      ? anew(panel, this.#draft, parts, choices, (name) => {
        this.#draft = {};
        this.#turn(name, name);
      })
      : [
        panel.field('name', 'What you call it', open, (name) => (name ? { edit: 'yarn_rename', yarn: open, name } : null)),
        ...yarnPanel(panel, open, parts, choices, colours) ?? [],
        panel.field('needle', 'Another needle with it, called', '', (weft) => (weft ? { edit: 'weft_new', weft, yarn: open } : null)),
      ];
    fill(this.opened, h('div', { class: 'panel' }, ...controls, panel.trouble, panel.foretold.element));
  }
}
