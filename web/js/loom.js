// The piece on its loom: as large as the window allows, with a ruler, the bands named at the height at which they lie,
// and what there is to find pinned to its rows.
import { dyed, fill, h, keepFocus, s } from './dom.js';
import { at } from './api.js';
import { ClothCanvas, Foreshown, Laid } from './cloth.js';
import { Drawn, crop, fetchDrawing } from './drawing.js';
import { ROW_OF_A_FINGER, Touch } from './touch.js';

/**
 * @typedef {{name: string, nth: number, of: number, first_row: number, rows: number, wefts: string[], edge_habit: string | null}} Place
 * @typedef {{places: Place[], tops: number[], were: (number | null)[] | null}} Told what would come of a change; `tops` are the heights of the places' upper borders, `were` which places those were
 * @typedef {{number: number, rows: [number, number] | null, edge: 'left' | 'right' | null, grave: boolean, words: string}} Pin
 * @typedef {{id: string, rev: string, url: string, lines: boolean, lies: import('./cloth.js').Lies | null, ends: number, title: string, places: Place[], pins: Pin[], colours: Map<string, string>, back: boolean, size: string,
 *   touch: string, changes: boolean, picked: number, onBand: (index: number) => void, onLaid: (lay: import('./hands.js').Lay) => void, onNamed: (all: boolean) => void, onPin: (pin: Pin) => void}} Shown
 */

const FINGER = 44; // pixels that a finger needs, and so a name or a pin
const LEAST_TALL = 380; // pixels of a loom beside which other things stand
const NAMES = 34; // pixels from the loom to the bands' names
const CLOSER = 2; // times as large as whole, and more where the window has room
const MOST_PIXELS = 12e6; // of a picture: a tall one would be more than a phone's canvas can hold

export class Loom {
  /** @type {Shown | null} */
  #shown = null;
  /** @type {Drawn | Laid | null} */
  #drawn = null;
  #cloth = new ClothCanvas();
  #foreshown = new Foreshown(() => this.#follow());
  /** Whether a hand is on the cloth. */
  #held = false;
  /** The revision that a hand has changed, until the change is pictured. @type {string | null} */
  #made = null;
  /** @type {{laid: Laid, box: import('./drawing.js').Box, scale: number} | null} how the picture of the cloth lies */
  #lies = null;
  #turn = 0;
  /** When the picture that was asked for last is there, or none comes. @type {Promise<void>} */
  #pictured = Promise.resolve();
  #picked = -1;
  /** @type {[number, number] | null} */
  #lit = null;
  /** @type {(rows: [number, number]) => [number, number] | null} */
  #across = () => null;

  /** @param {(edit: object) => Promise<void>} onEdit */
  constructor(onEdit) {
    this.ruler = h('div', { class: 'loom-ruler', 'aria-hidden': 'true' });
    this.picture = h('div', { class: 'loom-picture', role: 'img' });
    this.lines = s('svg', { class: 'loom-lines', 'aria-hidden': 'true' });
    this.touch = new Touch(this.picture, onEdit);
    this.pins = h('div', { class: 'loom-pins' });
    this.bands = h('ol', { class: 'loom-bands', 'aria-label': 'Bands, the uppermost first' });
    this.element = h('div', { class: 'loom' }, this.ruler, this.picture, this.lines, this.pins, this.bands);
    // What is larger than the window is scrolled in its own room, so that the page stays where it is.
    this.room = h('div', { class: 'loom-room' }, this.element);
    this.watch = new ResizeObserver(() => this.#lay());
    this.watch.observe(this.room);
  }

  leave() {
    this.watch.disconnect();
  }

  /**
   * Is done when it is there to be seen.
   * @param {Shown} shown
   * @returns {Promise<boolean>} false where something else is to be shown by now
   */
  async show(shown) {
    const mine = ++this.#turn;
    this.#would = null;
    const again = this.#shown?.url === shown.url && this.#shown.lines === shown.lines;
    this.#shown = shown;
    this.#picked = shown.picked;
    // The change came to nothing.
    if (!this.#held && this.#made === shown.rev) this.letGo(false);
    this.picture.setAttribute('aria-label', shown.title);
    if (!shown.lines && shown.lies) {
      this.#drawn = new Laid(shown.lies, shown.ends, shown.back);
      if (!this.#cloth.canvas.isConnected) fill(this.picture, this.#cloth.canvas, this.#foreshown.canvas, this.touch.layer);
      void this.touch.about({ id: shown.id, rev: shown.rev, back: shown.back, mode: shown.touch, changes: shown.changes });
    } else if (!again || !(this.#drawn instanceof Drawn)) {
      const svg = await fetchDrawing(shown.url).catch(() => null);
      if (mine !== this.#turn) return false;
      if (!svg) {
        this.#drawn = null;
        fill(this.picture);
        fill(this.bands);
        fill(this.pins);
        return true;
      }
      svg.classList.add('drawing');
      svg.setAttribute('aria-hidden', 'true');
      for (const part of svg.querySelectorAll('title, desc, .ground, .title, .bands, .row-numbers')) part.remove();
      fill(this.picture, svg);
      this.#drawn = new Drawn(svg);
    }
    this.#lay();
    // Laid out anew meanwhile, it waits for another picture.
    for (let waits = null; waits !== this.#pictured;) {
      waits = this.#pictured;
      await waits;
    }
    return mine === this.#turn;
  }

  /**
   * The pictured cloth goes with a hand that is on it: what would come of its change is seen, and not saved.
   * @param {string} base the revision that is changed
   * @param {object} edit
   */
  follow(base, edit) {
    const [shown, lies] = [this.#shown, this.#lies];
    if (!shown || !lies) return;
    this.#held = true;
    // Quick to draw rather than sharp: no more pixels than the page has.
    const pixels = Math.round(Math.min(Math.max(lies.laid.side.width * lies.scale, 60), 900));
    this.#foreshown.ask(at`/api/pieces/${shown.id}/preview/picture?back=${shown.back ? 1 : 0}&width=${pixels}`, { base, edit });
  }

  /**
   * The hand is off again.
   * @param {boolean} changes whether what it made is on its way: until that is pictured, what was foreshown stays
   */
  letGo(changes) {
    this.#held = false;
    this.#made = changes ? this.#shown?.rev ?? null : null;
    if (changes) this.#foreshown.stop();
    else this.#foreshown.clear();
  }

  #follow() {
    if (this.#lies) this.#foreshown.lay(this.#lies.laid, this.#lies.box, this.#lies.scale);
  }

  /**
   * Where the bands would lie, as the server foresees it; nothing where they would be others. One that would be woven more
   * often has no number where it is not there yet.
   * @param {Told} told
   * @returns {import('./hands.js').Laid[] | null}
   */
  would({ places, tops, were }) {
    const now = this.#shown?.places ?? [];
    if (!were && (places.length !== now.length || places.some(({ name }, index) => name !== now[index]?.name))) return null;
    return places.map((place, k) => ({ place, index: were ? were[k] ?? -1 : k, top: this.#height(tops[k] ?? 0), bottom: this.#height(tops[k - 1] ?? 0) }));
  }

  /**
   * While a hand is on it the bands stand where they would lie.
   * @param {Told | null} told
   */
  foresee(told) {
    this.#would = told && this.would(told);
    this.#stand();
    this.#draw();
  }

  /** What is seen while a hand is on the loom. @type {import('./hands.js').Laid[] | null} */
  #would = null;

  /**
   * Another band is picked, or none.
   * @param {number} index
   */
  pick(index) {
    const place = this.#shown?.places[index];
    this.#picked = index;
    this.#lit = place ? [place.first_row, place.first_row + place.rows - 1] : null;
    this.#name();
    this.#draw();
    this.#reveal();
  }

  /** What is picked is brought into sight, where the loom is scrolled. */
  #reveal() {
    const [{ room }, lit] = [this, this.#lit && this.#across(this.#lit)];
    if (!lit || !room.classList.contains('scrolls')) return;
    const [top, bottom] = [Math.min(...lit), Math.max(...lit)];
    if (top < room.scrollTop || bottom > room.scrollTop + room.clientHeight) room.scrollTop = (top + bottom - room.clientHeight) / 2;
  }

  /**
   * Top and bottom of a place, in pixels from the loom's top.
   * @param {number} index
   */
  span(index) {
    const place = this.#shown?.places[index];
    return place ? this.#across([place.first_row, place.first_row + place.rows - 1]) : null;
  }

  /**
   * Lights rows up, or none.
   * @param {[number, number] | null} rows
   */
  light(rows) {
    this.#lit = rows;
    this.#draw();
  }

  /** @returns {void} */
  #lay() {
    const [shown, drawn] = [this.#shown, this.#drawn];
    if (!shown || !drawn || !this.element.isConnected) return;
    const middle = this.#middle();
    const { room } = this;
    room.classList.toggle('scrolls', shown.size !== 'whole');
    const width = room.clientWidth;
    if (width < 240) return;
    const narrow = width < 560;
    // Pins at an edge need their room beside the cloth.
    const pinned = (/** @type {boolean} */ atLeft) => !shown.back && shown.pins.some(({ rows, edge }) => rows && (edge === 'left') === atLeft);
    const [left, right] = narrow ? [pinned(true) ? 40 : 0, pinned(false) ? 166 : 128] : [62, Math.max(210, this.#names)];
    const [loom, cloth] = [drawn.loom(), drawn.cloth()];
    // On a narrow page the sides of the frame are left out: the cloth counts.
    const by = 5;
    const x = narrow ? Math.max(loom.x, cloth.x - by) : loom.x;
    const end = narrow ? Math.min(loom.x + loom.width, cloth.x + cloth.width + by) : loom.x + loom.width;
    const box = { x: x - 0.5, y: loom.y - 0.5, width: end - x + 1, height: loom.height + 1 };
    const wide = (width - left - right) / box.width;
    const top = room.getBoundingClientRect().top + window.scrollY;
    const seen = Math.max(narrow ? 460 : LEAST_TALL, window.innerHeight - (narrow ? 260 : top) - 28);
    const whole = Math.min(wide, seen / box.height);
    // True size by the CSS inch, which is as true as this screen is.
    const closer = Math.max(wide, CLOSER * whole);
    const scale = { true: 96 / 25.4, closer, rows: Math.max(closer, drawn.rowsOf(ROW_OF_A_FINGER)) }[shown.size] ?? whole;
    if (drawn instanceof Drawn) {
      this.#lies = null;
      this.#foreshown.clear();
      crop(drawn.svg, box, scale);
      this.picture.style.width = '';
      this.picture.style.height = '';
      this.touch.lay(null);
    } else {
      this.#show(drawn, box, scale);
    }
    const [wood, tall] = [box.width * scale, box.height * scale];
    const start = left + Math.max(0, (width - left - right - wood) / 2);
    const all = Math.max(width, start + wood + right);
    this.picture.style.marginLeft = `${start}px`;
    this.element.style.height = `${tall}px`;
    this.element.style.width = shown.size === 'whole' ? '' : `${all}px`;
    room.style.maxHeight = shown.size === 'whole' ? '' : `${seen}px`;
    this.element.classList.toggle('narrow', narrow);
    this.lines.setAttribute('width', String(all));
    this.lines.setAttribute('height', String(tall));
    const y = (/** @type {number} */ at) => (at - box.y) * scale;
    this.#across = ([first, last]) => {
      const span = drawn.span(first, last);
      return span && [y(span[0]), y(span[1])];
    };
    this.#height = (mm) => y(drawn.y(mm));
    this.#sides = {
      cloth: [start + (cloth.x - box.x) * scale, start + (cloth.x + cloth.width - box.x) * scale],
      names: start + wood + (narrow ? (pinned(false) ? 56 : 24) : NAMES),
    };
    fill(this.ruler, narrow ? [] : drawn.measures().map(({ y: at, words }) => {
      const label = h('span', {}, words);
      label.style.top = `${y(at)}px`;
      label.style.right = `${all - start + 22}px`;
      return label;
    }));
    this.#name();
    // The longest name has its room too, with the yarns beside it.
    const longest = narrow ? 0 : Math.max(0, ...[...this.bands.querySelectorAll('li:not(.unnamed)')].map((one) => /** @type {HTMLElement} */ (one).offsetWidth + NAMES + 4));
    if (longest > Math.max(210, this.#names)) {
      this.#names = longest;
      this.#lay();
      return;
    }
    this.#pin();
    this.#draw();
    this.#stands = { scale, x: start - box.x * scale, y: -box.y * scale };
    const near = this.#near;
    if (near && middle?.scale !== scale) {
      this.#near = null;
      // What the finger was on stays under it, as far as the room goes.
      const { left, top: above } = room.getBoundingClientRect();
      room.scrollTo({ left: near.x * scale + this.#stands.x - (near.at[0] - left), top: near.y * scale + this.#stands.y - Math.min(near.at[1] - above, room.clientHeight - FINGER), behavior: 'instant' });
    } else if (middle && middle.scale !== scale) room.scrollTo({ left: middle.x * scale + this.#stands.x - room.clientWidth / 2, top: middle.y * scale + this.#stands.y - room.clientHeight / 2, behavior: 'instant' });
    if (!near && middle?.scale !== scale) this.#reveal();
  }

  /** What is to stay where it is in the window when the scale changes next. @type {{x: number, y: number, at: [number, number]} | null} */
  #near = null;

  /**
   * A place of the window stays where it is when the loom becomes larger next.
   * @param {number} x
   * @param {number} y
   */
  hold(x, y) {
    const stands = this.#stands;
    const { left, top } = this.element.getBoundingClientRect();
    if (stands) this.#near = { x: (x - left - stands.x) / stands.scale, y: (y - top - stands.y) / stands.scale, at: [x, y] };
  }

  /** What is in the middle of what is seen, in millimetres: it stays there when the loom becomes larger or smaller. */
  #middle() {
    const [{ room }, stands] = [this, this.#stands];
    if (!stands) return null;
    const at = (/** @type {number} */ scrolled, /** @type {number} */ seen, /** @type {number} */ from) => (scrolled + seen / 2 - from) / stands.scale;
    return { scale: stands.scale, x: at(room.scrollLeft, room.clientWidth, stands.x), y: at(room.scrollTop, room.clientHeight, stands.y) };
  }

  /** What the bands' names need beside the loom, in pixels: of what is shown, or was. */
  #names = 0;

  /** Pixels to the millimetre, and where the picture's first millimetre is. @type {{scale: number, x: number, y: number} | null} */
  #stands = null;

  /**
   * Lays the picture of the cloth so that a part of it is seen.
   * @param {Laid} laid
   * @param {import('./drawing.js').Box} box
   * @param {number} scale
   */
  #show(laid, box, scale) {
    const shown = this.#shown;
    if (!shown) return;
    const { canvas } = this.#cloth;
    this.picture.style.width = `${box.width * scale}px`;
    this.picture.style.height = `${box.height * scale}px`;
    canvas.style.width = `${laid.side.width * scale}px`;
    canvas.style.height = `${laid.side.height * scale}px`;
    canvas.style.left = `${-box.x * scale}px`;
    canvas.style.top = `${-box.y * scale}px`;
    const sharp = Math.min(window.devicePixelRatio || 1, 2.5);
    const most = Math.min(3000, Math.sqrt((MOST_PIXELS * laid.side.width) / laid.side.height));
    const pixels = Math.round(Math.min(Math.max(laid.side.width * scale * sharp, 60), most));
    this.touch.lay({ laid, x: box.x, y: box.y, scale });
    this.#lies = { laid, box, scale };
    this.#follow();
    const path = at`/api/pieces/${shown.id}/picture?rev=${shown.rev}&back=${shown.back ? 1 : 0}&width=${pixels}`;
    this.#pictured = this.#cloth.show(path, `${shown.id} ${shown.back} ${pixels}`, shown.rev).then((done) => {
      if (!done) return;
      if (!this.#held && this.#made !== shown.rev) this.letGo(false);
      this.element.dataset.shown = shown.rev;
      this.touch.settled();
    });
  }

  /** Where a height over the foot of the first row lies, in pixels. @type {(mm: number) => number} */
  #height = (mm) => mm;
  /** @type {{cloth: [number, number], names: number}} */
  #sides = { cloth: [0, 0], names: 0 };
  /** @type {{x: number, y: number, to: [number, number]}[]} */
  #leads = [];
  /** @type {import('./hands.js').Laid[]} the bands that are seen, where they lie */
  #bands = [];
  /** @type {Set<number>} those of them that have their names beside them */
  #named = new Set();
  /** @type {{index: number, top: number, bottom: number, at: number, named: boolean}[]} */
  #brackets = [];

  #name() {
    const shown = this.#shown;
    if (!shown) return;
    const tall = this.element.clientHeight;
    const found = shown.places.flatMap((place, index) => {
      const span = this.#across([place.first_row, place.first_row + place.rows - 1]);
      return span ? [{ place, index, top: span[0], bottom: span[1] }] : [];
    });
    // Where there is no room for every name, each band is named once, at the lowest of its places that has the room, and
    // then the tallest where they don't collide with those; the rest have their bracket, and their name in the list for
    // those who listen.
    const named = new Set(found.map(({ index }) => index));
    if (found.length * FINGER > tall) {
      named.clear();
      /** @type {number[]} */
      const taken = [];
      const name = (/** @type {{index: number, top: number, bottom: number}} */ { index, top, bottom }) => {
        const middle = (top + bottom) / 2;
        if (taken.some((other) => Math.abs(other - middle) < FINGER)) return false;
        taken.push(middle);
        named.add(index);
        return true;
      };
      for (const band of new Set(found.map(({ place }) => place.name))) found.filter(({ place }) => place.name === band).sort((a, b) => a.index - b.index).some(name);
      const byHeight = [...found].sort((a, b) => (b.bottom - b.top) - (a.bottom - a.top) || a.index - b.index);
      byHeight.forEach(name);
    }
    [this.#bands, this.#named] = [found, named];
    keepFocus(this.bands, () => fill(this.bands, found.map(({ place, index }) => {
      const last = place.first_row + place.rows - 1;
      const item = h('li', { class: named.has(index) ? '' : 'unnamed' },
        h('button', {
          'aria-pressed': String(index === this.#picked), 'data-band': index, 'data-key': `name ${index}`,
          onclick: () => shown.onBand(index === this.#picked ? -1 : index),
        },
        h('span', { class: 'band-name' }, place.name), ' ',
        h('span', { class: 'band-rows' }, place.rows === 1 ? `${last}` : `${place.first_row}–${last}`)),
        place.wefts.map((weft) => dyed(h('i', { class: 'yarn', 'aria-hidden': 'true' }), shown.colours.get(weft) ?? '#888888')));
      item.style.left = `${this.#sides.names}px`;
      return item;
    }).reverse()));
    this.#stand();
    shown.onLaid({ bands: found, names: this.#sides.names, cloth: this.#sides.cloth, tall, list: this.bands, height: this.#height, would: (told) => this.would(told) });
    shown.onNamed(named.size === found.length);
  }

  /** Brackets and names at the height at which the bands lie, or would lie. */
  #stand() {
    const [bands, named] = [this.#would ?? this.#bands, this.#named];
    const spread = apart(bands.filter(({ index }) => named.has(index)).map(({ top, bottom }) => (top + bottom) / 2).reverse(), FINGER, this.element.clientHeight);
    let next = spread.length;
    this.#brackets = bands.map(({ index, top, bottom }) => ({ index, top, bottom, at: named.has(index) ? spread[--next] ?? 0 : (top + bottom) / 2, named: named.has(index) }));
    for (const { index, at } of this.#brackets) {
      const item = this.bands.querySelector(`[data-band="${index}"]`)?.parentElement;
      if (item) item.style.top = `${at - FINGER / 2}px`;
    }
  }

  #pin() {
    const shown = this.#shown;
    this.#leads = [];
    if (!shown || shown.back) return fill(this.pins);
    const tall = this.element.clientHeight;
    for (const side of /** @type {const} */ (['left', 'right'])) {
      const mine = shown.pins.filter(({ rows, edge }) => rows && (edge === 'left') === (side === 'left'))
        .flatMap((pin) => {
          const span = pin.rows && this.#across(pin.rows);
          return span ? [{ pin, middle: (span[0] + span[1]) / 2 }] : [];
        })
        .sort((a, b) => a.middle - b.middle);
      const spread = apart(mine.map(({ middle }) => middle), FINGER, tall);
      const buttons = mine.map(({ pin }, k) => {
        const button = h('button', { class: pin.grave ? 'pin grave' : 'pin', 'aria-label': `Finding ${pin.number}: ${pin.words}`, onclick: () => shown.onPin(pin) }, h('span', {}, String(pin.number)));
        // Beside the edge that it is about, on the open ground between cloth and frame.
        const [edge, x] = side === 'left' ? [this.#sides.cloth[0], this.#sides.cloth[0] - 24] : [this.#sides.cloth[1], this.#sides.cloth[1] + 24];
        const y = spread[k] ?? 0;
        button.style.top = `${y}px`;
        button.style.left = `${x}px`;
        this.#leads.push({ x, y, to: [edge, mine[k]?.middle ?? y] });
        return button;
      });
      if (side === 'left') fill(this.pins, buttons);
      else this.pins.append(...buttons);
    }
    return undefined;
  }

  /** Top and bottom of what is lit: of rows as they are nothing, while it is seen how they would be. @returns {[number, number] | null} */
  #isLit() {
    if (!this.#would) return this.#lit && this.#across(this.#lit);
    const [band, place] = [this.#would.find(({ index }) => index === this.#picked), this.#shown?.places[this.#picked]];
    return band && place && this.#lit?.[0] === place.first_row ? [band.top, band.bottom] : null;
  }

  #draw() {
    const { names, cloth } = this.#sides;
    const edge = names - 26;
    const lit = this.#isLit();
    fill(this.lines,
      this.#brackets.map(({ index, top, bottom, at, named }) => {
        const middle = (top + bottom) / 2;
        const way = `M${edge} ${(bottom - 0.75).toFixed(1)}h6V${(top + 0.75).toFixed(1)}h-6`;
        const lead = named ? `M${edge + 6} ${middle.toFixed(1)}L${names - 8} ${at.toFixed(1)}h5` : '';
        return s('path', { d: way + lead, class: index === this.#picked ? 'bracket picked' : 'bracket' });
      }),
      this.#leads.map(({ x, y, to: [edge, middle] }) => s('path', { class: 'bracket', d: `M${x} ${y}L${edge} ${middle}` })),
      lit && s('path', { class: 'lit', d: `M${cloth[0] - 8} ${lit[0]}H${cloth[1] + 8}M${cloth[0] - 8} ${lit[1]}H${cloth[1] + 8}` }));
  }
}

/**
 * Moves points on a line apart, as little as is needed.
 * @param {number[]} wanted in rising order
 * @param {number} gap
 * @param {number} end of the line
 * @returns {number[]}
 */
export function apart(wanted, gap, end) {
  // Points that would collide form a group about the middle of where they want to be.
  /** @type {{sum: number, count: number}[]} */
  const groups = [];
  const start = (/** @type {{sum: number, count: number}} */ { sum, count }) => {
    const width = (count - 1) * gap;
    return Math.min(Math.max(sum / count - width / 2, gap / 2), Math.max(end - gap / 2 - width, gap / 2));
  };
  for (const point of wanted) {
    groups.push({ sum: point, count: 1 });
    for (let last = groups.at(-1), before = groups.at(-2); last && before && start(before) + before.count * gap > start(last); last = groups.at(-1), before = groups.at(-2)) {
      groups.splice(-2, 2, { sum: before.sum + last.sum, count: before.count + last.count });
    }
  }
  return groups.flatMap((group) => Array.from({ length: group.count }, (_, k) => start(group) + k * gap));
}
