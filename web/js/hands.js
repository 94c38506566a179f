// The hand on the bands: a band's upper border is drawn up or down, and a band is carried to another place. While the
// finger is down the line is at the finger and the server says what would come of it; one gesture is one change. A key
// does each of them too: arrows on the border, the panel's words for the place.
import { Trouble } from './api.js';
import { fill, h, s } from './dom.js';

/**
 * @typedef {{place: import('./loom.js').Place, index: number, top: number, bottom: number}} Laid where a band lies, in pixels
 * @typedef {{bands: Laid[], names: number, cloth: [number, number], tall: number, list: HTMLElement, height: (mm: number) => number, would: (told: import('./loom.js').Told) => Laid[] | null}} Lay
 *   `height` is where a height on the loom lies, `would` where the bands would
 * @typedef {import('./panel.js').Preview} Told
 * @typedef {{to: number[], below: number, within: number, share: number}} Gap a place to which a line can be carried, as the server says it
 * @typedef {{ways: import('./panel.js').Ways, parts: () => import('./change.js').Parts | undefined, picked: () => number, most: () => number, rows: (index: number) => number | undefined,
 *   entry: (index: number) => import('./band.js').Entry | undefined, gaps: (line: import('./band.js').Entry) => Promise<Gap[]>, told: (told: Told | null) => void, trouble: (trouble: Trouble) => void,
 *   follow: (edit: object) => void, letGo: (changes: boolean) => void}} Given `follow`: the pictured cloth shows what would come of it
 */

const FINGER = 44; // pixels
const SLACK = 6; // pixels that a hand may move without meaning it
const HOLD = 350; // milliseconds after which a resting finger has taken hold; before that it scrolls

export class Hands {
  /** @type {Lay | null} */
  #lay = null;
  /** @type {{end: (taken: boolean) => void} | null} */
  #held = null;
  #asking = false;
  /** @type {object | null} */
  #next = null;
  /** @type {{index: number, more: number} | null} rows asked for by key that are not there yet */
  #pressed = null;

  /** @param {Given} given */
  constructor(given) {
    this.given = given;
    this.borders = h('div', { class: 'borders' });
    this.line = s('svg', { class: 'hand-line', 'aria-hidden': 'true' });
    this.words = h('p', { class: 'hand-words', 'aria-hidden': 'true' });
    this.element = h('div', { class: 'hands' }, this.borders, this.line, this.words);
    this.escape = (/** @type {KeyboardEvent} */ event) => {
      if (event.key !== 'Escape' || !this.#held) return;
      event.preventDefault();
      this.#held.end(false);
    };
    window.addEventListener('keydown', this.escape);
  }

  leave() {
    this.#held?.end(false);
    window.removeEventListener('keydown', this.escape);
  }

  /** @param {Lay} lay */
  lay(lay) {
    this.#held?.end(false);
    this.#lay = lay;
    this.line.setAttribute('width', String(lay.names));
    this.line.setAttribute('height', String(lay.tall));
    const picked = this.given.picked();
    // Where borders lie closer than a finger is wide, the picked band's has the room, then those of the tallest; the
    // others are changed from their panels.
    const wanted = [...lay.bands].sort((a, b) => Number(b.index === picked) - Number(a.index === picked) || (b.bottom - b.top) - (a.bottom - a.top));
    /** @type {Laid[]} */
    const shown = [];
    for (const one of wanted) {
      if (shown.every((other) => Math.abs(other.top - one.top) >= FINGER)) shown.push(one);
    }
    fill(this.borders, shown.sort((a, b) => a.top - b.top).map((one) => this.#border(one, lay)));
    for (const button of lay.list.querySelectorAll('button')) {
      const one = lay.bands.find(({ index }) => String(index) === button.dataset.band);
      if (one) this.#carried(button, one);
    }
  }

  /**
   * @param {Laid} one
   * @param {Lay} lay
   */
  #border(one, lay) {
    const band = this.given.parts()?.bands.find(({ name }) => name === one.place.name);
    const [rows, turn] = [one.place.rows, band?.turn ?? 1];
    const name = one.place.of > 1 ? `${one.place.name}, ${one.place.nth} of ${one.place.of}` : one.place.name;
    const handle = h('div', {
      class: 'border', role: 'separator', tabindex: '0', 'data-key': `border ${one.index}`, 'data-border': one.index,
      'aria-orientation': 'horizontal', 'aria-label': `Upper border of ${name}`,
      'aria-valuenow': rows, 'aria-valuemin': 1, 'aria-valuemax': this.given.most(), 'aria-valuetext': rows === 1 ? '1 row' : `${rows} rows`,
      onkeydown: (/** @type {KeyboardEvent} */ event) => {
        const more = { ArrowUp: turn, ArrowRight: turn, ArrowDown: -turn, ArrowLeft: -turn }[event.key];
        if (more === undefined) return;
        event.preventDefault();
        void this.#press(one, more);
      },
      onpointerdown: (/** @type {PointerEvent} */ event) => {
        if (event.button !== 0) return;
        this.#draw(handle, event, one, lay);
      },
    });
    handle.style.top = `${one.top - FINGER / 2}px`;
    handle.style.left = `${lay.names - 45}px`;
    return handle;
  }

  /**
   * Rows by key. Presses that come while a change is under way are the next one, all of them together.
   * @param {Laid} one
   * @param {number} more
   */
  async #press({ index, place }, more) {
    if (this.#pressed?.index === index) {
      this.#pressed.more += more;
      return;
    }
    const pressed = { index, more };
    this.#pressed = pressed;
    try {
      while (pressed.more !== 0) {
        // The band as it came out of the change before.
        const now = this.given.rows(index) ?? place.rows;
        let wanted = Math.min(now + pressed.more, this.given.most());
        while (wanted < 1) wanted += Math.abs(more);
        pressed.more = 0;
        if (wanted !== now && !await this.#make({ edit: 'length', band: place.name, rows: wanted })) break;
      }
    } finally {
      if (this.#pressed === pressed) this.#pressed = null;
    }
  }

  /**
   * @param {HTMLElement} handle
   * @param {PointerEvent} start
   * @param {Laid} one
   * @param {Lay} lay
   */
  #draw(handle, start, one, lay) {
    const border = this.given.parts()?.borders[one.index] ?? { band: one.place.name, by: 0 };
    const moved = lay.bands.find(({ place, index }) => place.name === border.band && index >= one.index) ?? one;
    const { name, rows: now } = moved.place;
    const each = (moved.bottom - moved.top) / now;
    // What was foreseen last is marked until it is known what else would be.
    let [rows, bands, marked] = [now, lay.bands, [name]];
    const named = () => bands.filter(({ place }) => marked.includes(place.name));
    this.#gesture(handle, start, {
      move: (far) => {
        // A border that stays where it is takes the band's other one along.
        const top = border.by === 0 ? Math.min(one.top + far, one.bottom - each / 2) : one.top + far;
        const wanted = Math.max(1, now + Math.round((one.top - top) / (each * (border.by || 1))));
        if (wanted === rows) return;
        rows = wanted;
        this.#rule(lay, one.top - (rows - now) * each * (border.by || 1), named());
        void this.#ask({ edit: 'length', band: name, rows }, (told) => {
          const would = told.tops[one.index];
          [bands, marked] = [lay.would(told) ?? lay.bands, told.lengths?.bands ?? [name]];
          this.#rule(lay, would === undefined ? top : lay.height(would), named());
          this.#stand(bands);
          return told.lengths?.words ?? told.words;
        });
      },
      drop: () => (rows === now ? null : { edit: 'length', band: name, rows }),
    });
    this.#rule(lay, one.top, named());
  }

  /**
   * The borders stand where they are, or would be.
   * @param {Laid[]} bands
   */
  #stand(bands) {
    for (const { index, top } of bands) {
      const handle = /** @type {HTMLElement | null} */ (this.borders.querySelector(`[data-border="${index}"]`));
      if (handle) handle.style.top = `${top - FINGER / 2}px`;
    }
  }

  /**
   * A band's name can be carried to another place.
   * @param {HTMLElement} button
   * @param {Laid} one
   */
  #carried(button, one) {
    button.addEventListener('pointerdown', (start) => {
      const lay = this.#lay;
      const line = this.given.entry(one.index);
      if (start.button !== 0 || !lay || !line || this.#held) return;
      /** @type {{y: number, border: number, to: number[]}[]} */
      let gaps = [];
      const bands = new Map(lay.bands.map((laid) => [laid.index, laid]));
      const found = this.given.gaps(line).then((all) => {
        gaps = all.flatMap(({ to, below, within, share }) => {
          const [there, under, lowest] = [bands.get(within - 1), bands.get(below - 1), bands.get(0)];
          if (!there || !lowest) return [];
          return [{ y: there.bottom - share * (there.bottom - there.top), border: under ? under.top : lowest.bottom, to }];
        });
      });
      /** @type {number[] | null} */
      let to = null;
      const carry = {
        move: (/** @type {number} */ _far, /** @type {number} */ at) => {
          const [first] = gaps;
          if (!first) return;
          const nearest = gaps.reduce((best, gap) => (Math.abs(gap.y - at) < Math.abs(best.y - at) ? gap : best), first);
          if (to === nearest.to) return;
          to = nearest.to;
          this.#rule(lay, nearest.border, [one]);
          void this.#ask({ edit: 'stack_move', sequence: line.sequence, from: line.at, to }, (told) => {
            const would = lay.would(told) ?? lay.bands;
            const mine = would.find(({ index }) => index === one.index) ?? one;
            // The border at which it was let in, beside what it was carried past.
            this.#rule(lay, mine.top < one.top ? mine.top : mine.bottom, [mine]);
            this.#stand(would);
            return told.words;
          });
        },
        drop: () => to && { edit: 'stack_move', sequence: line.sequence, from: line.at, to },
        ready: found,
      };
      if (start.pointerType === 'touch') this.#afterHold(button, start, carry);
      else this.#afterSlack(button, start, carry);
    });
  }

  /**
   * @param {HTMLElement} element
   * @param {PointerEvent} start
   * @param {Gesture} gesture
   */
  #afterSlack(element, start, gesture) {
    const moved = (/** @type {PointerEvent} */ event) => {
      if (Math.abs(event.clientY - start.clientY) < SLACK) return;
      away();
      this.#gesture(element, start, gesture);
    };
    const away = () => {
      window.removeEventListener('pointermove', moved);
      window.removeEventListener('pointerup', away);
    };
    window.addEventListener('pointermove', moved);
    window.addEventListener('pointerup', away);
  }

  /**
   * @param {HTMLElement} element
   * @param {PointerEvent} start
   * @param {Gesture} gesture
   */
  #afterHold(element, start, gesture) {
    const timer = setTimeout(() => {
      away();
      // From now on the finger carries and does not scroll.
      const still = (/** @type {TouchEvent} */ event) => event.preventDefault();
      element.addEventListener('touchmove', still, { passive: false });
      this.#gesture(element, start, { ...gesture, over: () => element.removeEventListener('touchmove', still) });
    }, HOLD);
    const away = () => {
      clearTimeout(timer);
      for (const name of ['pointerup', 'pointercancel']) element.removeEventListener(name, away);
    };
    for (const name of ['pointerup', 'pointercancel']) element.addEventListener(name, away);
  }

  /**
   * @typedef {{move: (far: number, at: number) => void, drop: () => object | null, over?: () => void, ready?: Promise<void>}} Gesture `ready` when what it needs has come
   * @param {HTMLElement} element
   * @param {PointerEvent} start
   * @param {Gesture} gesture
   */
  #gesture(element, start, gesture) {
    element.setPointerCapture(start.pointerId);
    element.classList.add('held');
    // Where the hand is on the loom, whatever scrolls meanwhile.
    const at = (/** @type {number} */ clientY) => clientY - this.element.getBoundingClientRect().top;
    const from = at(start.clientY);
    const follow = () => gesture.move(at(last) - from, at(last));
    let [frame, last] = [0, start.clientY];
    const move = (/** @type {PointerEvent} */ event) => {
      last = event.clientY;
      frame ||= requestAnimationFrame(() => {
        frame = 0;
        follow();
      });
    };
    const up = () => end(true);
    const cancel = () => end(false);
    const end = (/** @type {boolean} */ taken) => {
      if (this.#held !== held) return;
      this.#held = null;
      cancelAnimationFrame(frame);
      if (taken) follow();
      element.removeEventListener('pointermove', move);
      element.removeEventListener('pointerup', up);
      element.removeEventListener('pointercancel', cancel);
      element.classList.remove('held');
      gesture.over?.();
      this.#next = null;
      fill(this.line);
      fill(this.words);
      this.words.hidden = true;
      const edit = taken ? gesture.drop() : null;
      this.given.letGo(edit !== null);
      // What was foreseen stays until it is so.
      const back = () => {
        this.#tell(null);
        if (this.#lay) this.#stand(this.#lay.bands);
      };
      if (edit) void this.#make(edit).then((made) => made || back());
      else back();
      // What was dragged is not pressed as well.
      const press = (/** @type {Event} */ event) => {
        event.preventDefault();
        event.stopPropagation();
      };
      element.addEventListener('click', press, { capture: true, once: true });
      setTimeout(() => element.removeEventListener('click', press, { capture: true }), 50);
    };
    const held = { end };
    this.#held = held;
    void gesture.ready?.then(() => this.#held === held && follow());
    element.addEventListener('pointermove', move);
    element.addEventListener('pointerup', up);
    element.addEventListener('pointercancel', cancel);
  }

  /**
   * The sentences above the loom say it; where that takes more lines or fewer, the loom stays under the finger.
   * @param {Told | null} told
   */
  #tell(told) {
    const was = this.element.getBoundingClientRect().top;
    this.given.told(told);
    window.scrollBy(0, this.element.getBoundingClientRect().top - was);
  }

  /**
   * @param {object} edit
   * @returns {Promise<boolean>} whether it was made
   */
  async #make(edit) {
    try {
      return await this.given.ways.make(edit);
    } catch (error) {
      this.given.letGo(false);
      if (!(error instanceof Trouble)) throw error;
      this.given.trouble(error);
      return false;
    }
  }

  /**
   * The line where the border would be; all the places that change with it are lit.
   * @param {Lay} lay
   * @param {number} y
   * @param {Laid[]} places
   */
  #rule(lay, y, places) {
    const [left, right] = lay.cloth;
    fill(this.line,
      ...places.map(({ top, bottom }) => s('path', { class: 'hand-place', d: `M${lay.names - 20} ${bottom}V${top}` })),
      s('path', { class: 'hand-border', d: `M${left - 8} ${y.toFixed(1)}H${lay.names - 1}` }));
    this.words.style.top = `${y}px`;
    // Beside the finger: what is judged is the cloth.
    this.words.style.left = `${lay.names}px`;
    this.words.style.maxWidth = `${Math.max(90, lay.list.clientWidth - lay.names)}px`;
  }

  /**
   * Asks what would come of it, the latest only, one question at a time; then the cloth is pictured so.
   * @param {object} edit
   * @param {(told: Told) => string} [say] what stands at the finger
   */
  async #ask(edit, say = ({ words }) => words) {
    this.#next = edit;
    if (this.#asking) return;
    this.#asking = true;
    while (this.#next && this.#held) {
      const [asked, held] = [this.#next, this.#held];
      this.#next = null;
      /** @type {Told | null} */
      let told = null;
      let words = '';
      try {
        told = await this.given.ways.preview(asked);
        if (this.#held !== held) break;
        words = say(told);
      } catch (error) {
        if (!(error instanceof Trouble)) throw error;
        words = error.message;
      }
      if (this.#held !== held) break;
      fill(this.words, words);
      this.words.hidden = false;
      if (told) this.#tell(told);
      // What is said comes first: a picture takes longer.
      if (told && !this.#next) this.given.follow(asked);
    }
    this.#asking = false;
  }
}
