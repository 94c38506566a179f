// A finger, a pointer or the arrow keys on the cloth: which crossing is meant, and what is to become of it. What a
// change means for the plan is the server's.
import { at, get } from './api.js';
import { dyed, fill, h, s } from './dom.js';

/**
 * Rows and ends from 1, heights in hundredths of a millimetre.
 * @typedef {{band: string, band_row: number, every: number | null, from: number, weft: string, colour: string, crossings: string}} Row
 * @typedef {{colour: string, lies: [number, number][], found: [number, number][], top: number}} End
 * @typedef {{spacing: number, rows: Row[], ends: End[]}} Map
 * @typedef {{row: number, end: number}} Spot
 * @typedef {{id: string, rev: string, back: boolean, mode: string, changes: boolean}} About
 * @typedef {{laid: import('./cloth.js').Laid, x: number, y: number, scale: number}} View
 */

/** Pixels that a row needs for a finger to mean it. */
export const ROW_OF_A_FINGER = 24;
const STILL = 10; // pixels that a finger moves at most while it only touches

/** What a finger on the cloth does. */
export const MODES = /** @type {[string, string][]} */ ([['looks', 'looks'], ['row', 'changes this row'], ['repeat', 'changes it in every repeat']]);

export class Touch {
  /** @type {Map | null} */
  #map = null;
  #of = '';
  /** @type {About | null} */
  #about = null;
  /** @type {View | null} */
  #view = null;
  /** @type {Spot} */
  #cursor = { row: 1, end: 1 };
  #focused = false;
  /** A stroke, which keeps to the row it began in. @type {{pass: 'over' | 'under', spots: Spot[], last: number} | null} */
  #stroke = null;
  /** What else is told of the row that is looked at. @type {(row: number) => void} */
  onTold = () => {};
  /** A finger on rows too fine for it, where it came down. @type {{spot: Spot, x: number, y: number} | null} */
  #near = null;
  /** Brings the cloth so near at this place of the window that a finger can mean a row; null where it is. @type {((x: number, y: number) => void) | null} */
  onNear = null;
  /** What was painted and is not in the picture yet. @type {{pass: string, spots: Spot[]} | null} */
  #painted = null;

  /**
   * @param {HTMLElement} surface on which the picture lies
   * @param {(edit: object) => Promise<void>} onEdit
   */
  constructor(surface, onEdit) {
    this.surface = surface;
    this.onEdit = onEdit;
    this.layer = s('svg', { class: 'touched', 'aria-hidden': 'true' });
    this.line = h('p', { class: 'spot', role: 'status' });
    this.keys = h('p', { class: 'quiet cloth-keys', id: 'cloth-keys' });
    surface.setAttribute('aria-describedby', 'cloth-keys');
    surface.tabIndex = 0;
    surface.addEventListener('keydown', (event) => this.#key(event));
    surface.addEventListener('focus', () => {
      this.#focused = surface.matches(':focus-visible');
      if (this.#focused) this.#tell();
      this.#draw();
    });
    surface.addEventListener('blur', ({ relatedTarget: to }) => {
      this.#focused = false;
      // What is said of a row stays for who opens its band from there: nothing moves under a finger.
      if (to instanceof Element && !to.closest('.opens')) this.line.textContent = '';
      this.#draw();
    });
    surface.addEventListener('pointerdown', (event) => this.#down(event));
    surface.addEventListener('pointermove', (event) => this.#move(event));
    surface.addEventListener('pointerup', (event) => void this.#up(event));
    surface.addEventListener('pointercancel', () => {
      this.#near = null;
      this.#giveUp();
    });
  }

  /** Whether a crossing can be touched at all. */
  get can() {
    return this.#map !== null && this.#about?.back === false;
  }

  /** @param {About} about */
  async about(about) {
    this.#about = about;
    this.surface.classList.toggle('to-touch', about.mode !== 'looks' && !about.back);
    this.surface.setAttribute('role', 'application');
    this.surface.setAttribute('aria-roledescription', 'cloth');
    const changes = about.mode !== 'looks' && about.changes && !about.back;
    fill(this.keys, about.back ? 'From the front the arrow keys go over the cloth.' : 'The arrow keys go from crossing to crossing, with Shift five at a time, and it is said what passes there.', changes ? ' Space changes it.' : '');
    const of = `${about.id} ${about.rev}`;
    if (this.#of === of) return this.#draw();
    this.#of = of;
    const map = await get(at`/api/pieces/${about.id}/map?rev=${about.rev}`).catch(() => null);
    if (this.#of !== of) return;
    this.#map = map;
    if (map) this.#cursor = { row: Math.min(this.#cursor.row, map.rows.length), end: Math.min(this.#cursor.end, map.ends.length) };
    if (this.line.textContent !== '') this.#tell();
    this.#draw();
  }

  /**
   * The picture is laid anew.
   * @param {View | null} view
   */
  lay(view) {
    this.#view = view;
    this.#draw();
  }

  /** What was painted is in the picture now. */
  settled() {
    this.#painted = null;
    this.#draw();
  }

  /** The end that a pointer is at, whatever it may be outside the cloth. @param {PointerEvent} event */
  #end(event) {
    const view = this.#view;
    if (!view) return 0;
    const x = view.x + (event.clientX - this.surface.getBoundingClientRect().left) / view.scale;
    return Math.round((x - view.laid.side.first_end) / view.laid.side.end_to_end) + 1;
  }

  /**
   * @param {PointerEvent} event
   * @returns {Spot | null}
   */
  #spot(event) {
    const [map, view] = [this.#map, this.#view];
    if (!map || !view || this.#about?.back) return null;
    const box = this.surface.getBoundingClientRect();
    const { laid, scale } = view;
    const y = view.y + (event.clientY - box.top) / scale;
    const end = this.#end(event);
    const height = ((laid.side.foot - y) / laid.side.up) * 100;
    const here = map.ends[end - 1];
    if (!here || height < 0 || height >= here.top) return null;
    const found = here.found.findLast(([from]) => from <= height);
    return found ? { row: found[1], end } : null;
  }

  /** @param {Spot} spot */
  #crossing({ row, end }) {
    return this.#map?.rows[row - 1]?.crossings[end - 1] ?? '.';
  }

  /** @param {PointerEvent} event */
  #down(event) {
    if (event.button !== 0 || !event.isPrimary) return;
    const spot = this.#spot(event);
    if (!spot) return;
    this.#cursor = spot;
    if (this.#about?.mode === 'looks') {
      this.#tell();
      return this.#draw();
    }
    const now = this.#crossing(spot);
    if (now === '.') return undefined;
    if (this.onNear && event.pointerType !== 'mouse' && (this.#box(spot)?.gap ?? 0) < ROW_OF_A_FINGER) {
      this.#near = { spot, x: event.clientX, y: event.clientY };
      return undefined;
    }
    this.surface.setPointerCapture(event.pointerId);
    this.#stroke = { pass: now === 'o' ? 'under' : 'over', spots: [spot], last: spot.end };
    this.#tell();
    return this.#draw();
  }

  /** @param {PointerEvent} event */
  #move(event) {
    const stroke = this.#stroke;
    if (!stroke) return;
    // All that was passed since the last frame, not only where the pointer is now.
    const all = event.getCoalescedEvents?.() ?? [];
    // Rows swing up and down and are finer than a finger: it is the row that was touched first, wherever the finger goes.
    const row = stroke.spots[0]?.row ?? 0;
    for (const one of all.length > 0 ? all : [event]) {
      const here = this.#end(one);
      // A fast finger leaps over ends.
      for (let end = Math.min(here, stroke.last); end <= Math.max(here, stroke.last); end += 1) {
        const known = stroke.spots.some((other) => other.end === end);
        if (!known && '.' !== this.#crossing({ row, end })) stroke.spots.push({ row, end });
      }
      stroke.last = here;
    }
    this.#draw();
  }

  #giveUp() {
    this.#stroke = null;
    this.#draw();
  }

  /** @param {PointerEvent} event */
  async #up(event) {
    const near = this.#near;
    this.#near = null;
    if (near && Math.hypot(event.clientX - near.x, event.clientY - near.y) <= STILL) {
      this.onNear?.(near.x, near.y);
      this.line.textContent = 'Nothing is changed yet: the cloth came nearer, so that a finger can mean a row. Touch the crossing again.';
      return;
    }
    const stroke = this.#stroke;
    if (!stroke) return;
    this.#stroke = null;
    await this.#change(stroke.pass, stroke.spots);
  }

  /**
   * @param {'over' | 'under'} pass
   * @param {Spot[]} spots
   */
  async #change(pass, spots) {
    const [map, about] = [this.#map, this.#about];
    if (!map || !about) return;
    this.#painted = { pass, spots };
    this.#draw();
    const edits = touches(map, spots, pass, about.mode === 'repeat');
    try {
      await this.onEdit(edits.length === 1 ? /** @type {object} */ (edits[0]) : { edit: 'together', edits });
    } finally {
      // The picture that shows it says so; where nothing came of it, it goes at once.
      if (this.#about?.rev === about.rev) this.settled();
    }
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const map = this.#map;
    if (!map || event.ctrlKey || event.metaKey || event.altKey || this.#about?.back) return;
    const { row, end } = this.#cursor;
    const far = event.shiftKey ? 5 : 1;
    const to = { ArrowUp: [far, 0], ArrowDown: [-far, 0], ArrowLeft: [0, -far], ArrowRight: [0, far], PageUp: [10, 0], PageDown: [-10, 0] }[event.key];
    if (to) {
      this.#cursor = { row: Math.min(Math.max(row + (to[0] ?? 0), 1), map.rows.length), end: Math.min(Math.max(end + (to[1] ?? 0), 1), map.ends.length) };
    } else if (event.key === 'Home') {
      this.#cursor = { row, end: 1 };
    } else if (event.key === 'End') {
      this.#cursor = { row, end: map.ends.length };
    } else if ((event.key === ' ' || event.key === 'Enter') && this.#about?.mode !== 'looks') {
      const now = this.#crossing(this.#cursor);
      if (now !== '.' && !this.#painted && this.#about?.changes) void this.#change(now === 'o' ? 'under' : 'over', [this.#cursor]);
    } else if (event.key === 'Escape' && this.#stroke) {
      return this.#giveUp();
    } else {
      return;
    }
    event.preventDefault();
    this.#focused = true;
    this.#tell();
    this.#draw();
    this.layer.querySelector('.cursor')?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
  }

  #tell() {
    const row = this.#map?.rows[this.#cursor.row - 1];
    if (!row) return;
    const now = this.#crossing(this.#cursor);
    const passes = now === '.' ? 'is not woven here' : `goes ${now === 'o' ? 'over' : 'under'}`;
    const words = `Row ${this.#cursor.row}, end ${this.#cursor.end}: ${row.weft} ${passes}. Row ${row.band_row} of ${row.band}.`;
    // The same said once more would be heard once more.
    if (this.line.textContent !== words) this.line.textContent = words;
    this.onTold(this.#cursor.row);
  }

  /** Where a crossing lies on the page. @param {Spot} spot */
  #box({ row, end }) {
    const [map, view] = [this.#map, this.#view];
    const lies = map?.ends[end - 1]?.lies;
    const at = lies?.findIndex(([number]) => number === row) ?? -1;
    const here = lies?.[at];
    if (!view || !lies || !here) return null;
    const { laid, scale } = view;
    const [below, above] = [lies[at - 1]?.[1], lies[at + 1]?.[1]];
    const gap = Math.max(((above ?? here[1] + 100) - (below ?? here[1] - 100)) / 200, 0.5);
    const wide = Math.abs(laid.side.end_to_end) * scale;
    const apart = gap * laid.side.up * scale;
    const high = Math.max(apart, 3);
    return { gap: apart, x: (laid.x(end) - view.x) * scale, y: (laid.y(here[1] / 100) - view.y) * scale, wide, high };
  }

  #draw() {
    const view = this.#view;
    const painting = this.#stroke ?? this.#painted;
    const marks = !view || !painting ? [] : painting.spots.flatMap((spot) => {
      const box = this.#box(spot);
      if (!box) return [];
      const over = painting.pass === 'over';
      const [wide, high] = over ? [box.wide * 0.98, Math.max(box.high * 0.95, 4)] : [Math.max(box.wide * 0.3, 3), Math.max(box.high * 1.25, 5)];
      const colour = (over ? this.#map?.rows[spot.row - 1]?.colour : this.#map?.ends[spot.end - 1]?.colour) ?? '#888888';
      return [dyed(s('rect', { class: 'painted', x: box.x - wide / 2, y: box.y - high / 2, width: wide, height: high, rx: Math.min(wide, high) / 2 }), colour)];
    });
    const shown = this.#focused || (this.#about?.mode !== 'looks' && this.line.textContent !== '' && !this.#stroke);
    const box = view && shown && this.can ? this.#box(this.#cursor) : null;
    const ring = box && s('rect', { class: 'cursor', x: box.x - box.wide / 2 - 1, y: box.y - box.high / 2 - 2, width: box.wide + 2, height: box.high + 4, rx: 4 });
    fill(this.layer, marks, ring);
  }
}

/**
 * A stroke as touches: the ends of one row that lie side by side are one.
 * @param {Map} map
 * @param {Spot[]} spots
 * @param {'over' | 'under'} pass
 * @param {boolean} repeated
 * @returns {object[]}
 */
function touches(map, spots, pass, repeated) {
  /** @type {globalThis.Map<string, {row: Row, ends: number[]}>} */
  const rows = new globalThis.Map();
  for (const { row: number, end } of spots) {
    const row = map.rows[number - 1];
    if (!row) continue;
    const key = `${row.band} ${repeated ? row.from : row.band_row}`;
    const known = rows.get(key) ?? { row, ends: [] };
    known.ends.push(end);
    rows.set(key, known);
  }
  return [...rows.values()].flatMap(({ row, ends }) => {
    const sorted = [...new Set(ends)].sort((a, b) => a - b);
    /** @type {[number, number][]} */
    const runs = [];
    for (const end of sorted) {
      const last = runs.at(-1);
      if (last && last[1] + 1 === end) last[1] = end;
      else runs.push([end, end]);
    }
    const all = repeated && row.every !== null;
    return runs.map((run) => ({ edit: 'touch', band: row.band, row: all ? row.from : row.band_row, every: all ? row.every : null, ends: run, pass }));
  });
}
