// How far it is, beside the words: what is woven, and the warp standing open above it. Where there is room it is the
// piece itself on its warp; on a phone it is the rows alone, each a line of its yarn, as high as the page.
import { dyed, fill, h, s } from './dom.js';
import { Drawn, crop, fetchDrawing } from './drawing.js';

export class Fell {
  #woven = 0;
  /** @type {Drawn | null} */
  #drawn = null;
  /** @type {import('./drawing.js').Box | null} */
  #box = null;

  /**
   * @param {boolean} mirrored
   * @param {string[]} colours of the rows, from the bottom
   */
  constructor(mirrored, colours) {
    this.colours = colours;
    this.cloth = h('div', { class: mirrored ? 'fell-cloth mirrored' : 'fell-cloth' });
    this.gauge = s('svg', { class: 'fell-gauge', viewBox: `0 0 10 ${colours.length}`, preserveAspectRatio: 'none' });
    this.element = h('div', { class: 'fell', 'aria-hidden': 'true' }, this.cloth, this.gauge);
    this.watch = new ResizeObserver(() => this.#lay());
    this.watch.observe(this.element);
  }

  /** @param {string} url */
  async load(url) {
    const svg = await fetchDrawing(url).catch(() => null);
    if (!svg) return;
    svg.classList.add('drawing');
    this.cloth.replaceChildren(svg);
    this.#drawn = new Drawn(svg);
    const [cloth, loom] = [this.#drawn.cloth(), this.#drawn.loom()];
    this.#drawn.bare();
    this.#box = { x: cloth.x - 1, y: loom.y, width: cloth.width + 2, height: loom.height };
    this.#open();
    this.#lay();
  }

  /**
   * So many rows are woven.
   * @param {number} woven
   */
  to(woven) {
    this.#woven = woven;
    this.#open();
  }

  /** Takes away what is not woven yet. */
  #open() {
    const rowOf = (/** @type {Element} */ part) => (part.getAttribute('data-row') ?? part.getAttribute('data-rows'))?.split('-').at(-1);
    const parts = (/** @type {string} */ groups) => [...this.#drawn?.svg.querySelectorAll(groups) ?? []].map((group) => [...group.children]);
    // In the rows a strand's outline, which names its row, follows its yarn; at the edges it goes before.
    for (const children of [...parts('.rows-under, .rows-over').map((all) => all.reverse()), ...parts('.edges')]) {
      let row = 0;
      for (const part of children) {
        row = Number(rowOf(part) ?? row);
        part.classList.toggle('to-come', row > this.#woven);
      }
    }
    const rows = this.colours.length;
    const lines = new Map([...new Set(this.colours)].map((colour) => [colour, '']));
    this.colours.slice(0, this.#woven).forEach((colour, k) => lines.set(colour, `${lines.get(colour)}M0 ${rows - k - 0.5}H10`));
    const fell = rows - this.#woven;
    fill(this.gauge,
      s('path', { class: 'gauge-warp', d: `M1.6 0V${rows}M5 0V${rows}M8.4 0V${rows}` }),
      ...[...lines].map(([colour, d]) => dyed(s('path', { class: 'gauge-row', d }), colour)),
      s('path', { class: 'gauge-fell', d: `M0 ${fell}H10` }));
  }

  #lay() {
    const [drawn, box] = [this.#drawn, this.#box];
    if (!drawn || !box) return;
    const scale = Math.min(this.element.clientWidth / box.width, this.element.clientHeight / box.height);
    if (scale > 0) crop(drawn.svg, box, scale);
  }
}
