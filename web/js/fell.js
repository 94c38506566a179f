// How far it is, beside the words: what is on the loom, as it looks now. Where there is room it is the piece on its
// frame; on a phone it is the corner where the hand is, with the fell in it. Where no picture comes (nothing is woven
// yet, or the line is cut) it is the rows alone, each a line of its yarn, as high as the page.
import { ClothCanvas } from './cloth.js';
import { dyed, fill, h, s } from './dom.js';
import { at } from './api.js';

/** Ends that are seen where there is room for a corner only. */
const CORNER = 4;
/** How far down the corner the fell lies. */
const DOWN = 0.62;

export class Fell {
  #woven = 0;
  /** @type {'left' | 'right'} */
  #side = 'left';
  #rev = '';

  /**
   * @param {string} weaving
   * @param {string[]} colours of the rows, from the bottom
   */
  constructor(weaving, colours) {
    this.weaving = weaving;
    this.colours = colours;
    this.cloth = new ClothCanvas();
    this.gauge = s('svg', { class: 'fell-gauge', viewBox: `0 0 10 ${colours.length}`, preserveAspectRatio: 'none' });
    this.element = h('div', { class: 'fell', 'aria-hidden': 'true' }, this.cloth.canvas, this.gauge);
    this.watch = new ResizeObserver(() => void this.#show());
    this.watch.observe(this.element);
  }

  leave() {
    this.watch.disconnect();
  }

  /**
   * So many rows are woven, and the needle comes next from this side.
   * @param {number} woven
   * @param {'left' | 'right'} side
   * @param {string} rev
   */
  to(woven, side, rev) {
    const same = woven === this.#woven && side === this.#side && rev === this.#rev;
    [this.#woven, this.#side, this.#rev] = [woven, side, rev];
    if (same && this.gauge.childElementCount > 0) return;
    this.#rows();
    void this.#show();
  }

  #rows() {
    const rows = this.colours.length;
    const lines = new Map([...new Set(this.colours)].map((colour) => [colour, '']));
    this.colours.slice(0, this.#woven).forEach((colour, k) => lines.set(colour, `${lines.get(colour)}M0 ${rows - k - 0.5}H10`));
    const fell = rows - this.#woven;
    fill(this.gauge,
      s('path', { class: 'gauge-warp', d: `M1.6 0V${rows}M5 0V${rows}M8.4 0V${rows}` }),
      ...[...lines].map(([colour, d]) => dyed(s('path', { class: 'gauge-row', d }), colour)),
      s('path', { class: 'gauge-fell', d: `M0 ${fell}H10` }));
  }

  /** @returns {Promise<void>} */
  async #show() {
    const [wide, high] = [this.element.clientWidth, this.element.clientHeight];
    const [woven, side, rev] = [this.#woven, this.#side, this.#rev];
    const corner = wide < 120;
    if (woven === 0 || wide === 0 || high === 0 || rev === '') {
      this.element.classList.remove('pictured');
      return;
    }
    const sharp = Math.min(window.devicePixelRatio || 1, 2.5);
    // How wide the whole picture is on the page; in a corner that depends on where the ends lie in it.
    const known = this.cloth.about;
    const ends = known ? known.width / Math.abs(known.end_to_end) : 46;
    const whole = corner ? (wide / CORNER) * ends : known ? Math.min(wide, (high * known.width) / known.height) : wide;
    const pixels = Math.round(Math.min(Math.max(whole * sharp, 60), 2400));
    const path = at`/api/weavings/${this.weaving}/fell?rows=${woven}&width=${pixels}`;
    const shown = await this.cloth.show(path, `${rev} ${pixels}`, String(woven)).catch(() => false);
    if (woven !== this.#woven || rev !== this.#rev) return;
    const about = this.cloth.about;
    if (!shown || !about) {
      this.element.classList.remove('pictured');
      return;
    }
    // Before it is known where the cloth lies in it, any part of it may be in the corner.
    if (!known) return this.#show();
    this.element.classList.add('pictured');
    const scale = whole / about.width;
    const { style } = this.cloth.canvas;
    [style.width, style.height] = [`${about.width * scale}px`, `${about.height * scale}px`];
    const edge = side === 'left' ? about.first_end - about.end_to_end : about.last_end + about.end_to_end;
    style.left = corner ? `${side === 'left' ? -edge * scale : wide - edge * scale}px` : `${(wide - whole) / 2}px`;
    style.top = corner ? `${high * DOWN - about.fell * scale}px` : `${high - about.height * scale}px`;
  }
}
