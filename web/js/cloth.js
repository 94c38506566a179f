// The cloth as it will look, on a canvas: the server pictures it, and after an edit sends only what differs.
import { at } from './api.js';
import { h } from './dom.js';
import { evening } from './settings.js';

/** @typedef {import('./drawing.js').Box} Box */
/**
 * Where a piece lies in its picture from one side, in millimetres from the picture's top left.
 * @typedef {{width: number, height: number, first_end: number, end_to_end: number, foot: number, up: number}} Side
 * @typedef {{front: Side, back: Side, rows: number[], fell: number, margin: number, ruler: {at: number, words: string}[]}} Lies
 */

const NEAREST = 60; // pixels to the millimetre: nearer than this a picture shows no more

/** How far the turns of the yarn reach beyond the outer ends. */
const TURNS = 3;

/** Where things lie in the picture of a cloth. */
export class Laid {
  /**
   * @param {Lies} lies
   * @param {number} ends
   * @param {boolean} back
   */
  constructor(lies, ends, back) {
    this.lies = lies;
    this.side = back ? lies.back : lies.front;
    this.ends = ends;
  }

  /** @returns {Box} */
  whole() {
    return { x: 0, y: 0, width: this.side.width, height: this.side.height };
  }

  /** @returns {Box} */
  loom() {
    const { side: { width, height }, lies: { margin } } = this;
    return { x: margin, y: margin, width: width - 2 * margin, height: height - 2 * margin };
  }

  /** @returns {Box} */
  cloth() {
    const { first_end: first, end_to_end: step, foot, up } = this.side;
    const last = first + step * (this.ends - 1);
    const x = Math.min(first, last) - TURNS;
    const top = foot - this.lies.fell * up;
    return { x, y: top, width: Math.abs(last - first) + 2 * TURNS, height: foot - top };
  }

  /**
   * Top and bottom of rows.
   * @param {number} first
   * @param {number} last
   * @returns {[number, number] | null}
   */
  span(first, last) {
    const { rows, fell } = this.lies;
    const [low, high] = [rows[first - 1], rows[last - 1]];
    if (low === undefined || high === undefined) return null;
    const [below, above] = [rows[first - 2], rows[last]];
    const [bottom, top] = [below === undefined ? 0 : (below + low) / 2, above === undefined ? fell : (high + above) / 2];
    return [this.y(top), this.y(bottom)];
  }

  /** @param {number} height over the foot of the first row */
  y(height) {
    return this.side.foot - height * this.side.up;
  }

  /** @param {number} end from 1, seen from the front */
  x(end) {
    return this.side.first_end + (end - 1) * this.side.end_to_end;
  }

  /** Pixels to the millimetre at which a row is about so many pixels high. @param {number} pixels */
  rowsOf(pixels) {
    return Math.min((pixels * this.lies.rows.length) / Math.max(this.lies.fell * this.side.up, 1), NEAREST);
  }

  /** The measures along the ruler. */
  measures() {
    return this.lies.ruler.map(({ at: height, words }) => ({ y: this.y(height), words }));
  }
}

/**
 * Where the cloth lies in a picture, in pixels, and of what the picture that was sent is made up.
 * @typedef {{width: number, height: number, first_end: number, last_end: number, end_to_end: number, foot: number, up: number, fell: number,
 *   all: boolean, grown: number, parts: [number, number, number, number][]}} About
 */

const AGAIN = 400; // milliseconds until a picture that was lost is asked for again
const PATIENCE = 30_000; // milliseconds after which an answer counts as lost: on a phone that slept none may ever come

/** A canvas with a picture of cloth, of which only what differs is asked for again. */
export class ClothCanvas {
  #look = '';
  #now = '';
  #turn = 0;
  /** @type {About | null} */
  about = null;

  constructor() {
    this.canvas = h('canvas', { class: 'cloth', 'aria-hidden': 'true' });
  }

  /** The picture that was asked for last, until it has come. @type {{which: string, shown: Promise<boolean>} | null} */
  #awaited = null;

  /**
   * Shows a picture.
   * @param {string} path with its question; the page's ground is added to it
   * @param {string} look what must be the same so that what differs from the last picture will do
   * @param {string} now which of that look it is
   * @returns {Promise<boolean>} whether it is shown: another may have been asked for meanwhile
   */
  async show(path, look, now) {
    const ground = evening() ? 'evening' : 'day';
    look += ` ${ground}`;
    const which = `${look} ${now}`;
    // What is laid out anew while its picture is on the way asks for no second one.
    if (this.#awaited?.which === which) return this.#awaited.shown;
    const mine = ++this.#turn;
    this.#awaited = null;
    if (look === this.#look && now === this.#now) return true;
    const from = look === this.#look ? at`&from=${this.#now}` : '';
    const shown = this.#ask(`${path}&ground=${ground}${from}`, mine).then((came) => {
      if (mine === this.#turn) this.#awaited = null;
      if (!came) return false;
      const { about, image } = came;
      if (mine === this.#turn) this.#paint(about, image);
      image.close();
      if (mine !== this.#turn) return false;
      [this.#look, this.#now, this.about] = [look, now, about];
      return true;
    });
    this.#awaited = { which, shown };
    return shown;
  }

  /**
   * @param {string} path
   * @param {number} mine the turn that it is asked in
   * @returns {Promise<{about: About, image: ImageBitmap} | null>}
   */
  async #ask(path, mine) {
    // A whole picture may come in a fraction of the size.
    const ask = () => fetch(path, { headers: { accept: 'image/jpeg, image/png' }, signal: AbortSignal.timeout?.(PATIENCE) }).then(async (response) => {
      const about = JSON.parse(response.headers.get('x-picture') ?? 'null');
      return response.ok && about ? { about, image: await createImageBitmap(await response.blob()) } : null;
      // Where nothing answers, that is said in words by who asks for those.
    }).catch(() => null);
    let came = await ask();
    // An answer that is lost on its way is asked for again: nothing else would bring the picture.
    for (let times = 0; !came && times < 2 && mine === this.#turn; times += 1) {
      await new Promise((done) => setTimeout(done, AGAIN));
      if (mine === this.#turn) came = await ask();
    }
    return came;
  }

  /**
   * @param {About} about
   * @param {ImageBitmap} image
   */
  #paint({ width, height, all, grown, parts }, image) {
    const { canvas } = this;
    const pen = canvas.getContext('2d');
    if (!pen) return;
    if (all) {
      [canvas.width, canvas.height] = [width, height];
      pen.drawImage(image, 0, 0);
      return;
    }
    if (canvas.height !== height) {
      // It grows and shrinks at its top; a canvas that changes its size loses what was on it.
      const was = document.createElement('canvas');
      [was.width, was.height] = [canvas.width, canvas.height];
      was.getContext('2d')?.drawImage(canvas, 0, 0);
      canvas.height = height;
      pen.drawImage(was, 0, grown);
    }
    let top = 0;
    for (const [x, y, wide, high] of parts) {
      pen.drawImage(image, 0, top, wide, high, x, y, wide, high);
      top += high;
    }
  }
}

const REST = 300; // milliseconds that the hand rests before the cloth follows, where little shall move

/** What would come of a change, over the cloth as it is, while the hand that makes it is still on it. */
export class Foreshown {
  /** @type {{path: string, body: string} | null} */
  #next = null;
  #asking = false;
  #turn = 0;
  #timer = 0;
  /** @type {About | null} */
  about = null;
  /** @type {() => void} */
  shown;

  /** @param {() => void} shown what is done when another picture has come */
  constructor(shown) {
    this.shown = shown;
    this.canvas = h('canvas', { class: 'cloth foreshown', 'aria-hidden': 'true', hidden: true });
  }

  /**
   * Asks for a picture, the latest only, one at a time.
   * @param {string} path with its question; the page's ground is added to it
   * @param {object} body
   */
  ask(path, body) {
    this.#next = { path: `${path}&ground=${evening() ? 'evening' : 'day'}`, body: JSON.stringify(body) };
    clearTimeout(this.#timer);
    if (window.matchMedia('(prefers-reduced-motion: reduce)').matches) this.#timer = window.setTimeout(() => void this.#go(), REST);
    else void this.#go();
  }

  async #go() {
    if (this.#asking) return;
    this.#asking = true;
    while (this.#next) {
      const [{ path, body }, mine] = [this.#next, this.#turn];
      this.#next = null;
      const image = await fetch(path, { method: 'POST', headers: { 'content-type': 'application/json', accept: 'image/jpeg, image/png' }, body }).then(async (response) => {
        const about = JSON.parse(response.headers.get('x-picture') ?? 'null');
        return response.ok && about ? { about, image: await createImageBitmap(await response.blob()) } : null;
      }).catch(() => null);
      // What can't be, or can't be asked now, is said in words by who asks for those.
      if (image && mine === this.#turn) this.#paint(image.about, image.image);
      image?.image.close();
    }
    this.#asking = false;
  }

  /**
   * @param {About} about
   * @param {ImageBitmap} image
   */
  #paint(about, image) {
    [this.canvas.width, this.canvas.height] = [image.width, image.height];
    this.canvas.getContext('2d')?.drawImage(image, 0, 0);
    this.about = about;
    this.canvas.hidden = false;
    this.shown();
  }

  /** No other picture comes; the one that is shown stays. */
  stop() {
    this.#turn += 1;
    this.#next = null;
    clearTimeout(this.#timer);
  }

  /** The cloth as it is is seen again. */
  clear() {
    this.stop();
    this.about = null;
    this.canvas.hidden = true;
  }

  /**
   * Lays it so that the foot of the first row is where that of the cloth beneath is.
   * @param {Laid} laid
   * @param {Box} box the part that is seen
   * @param {number} scale pixels to the millimetre
   */
  lay({ side }, box, scale) {
    const { about, canvas } = this;
    if (!about) return;
    const across = side.width * scale;
    const each = across / about.width;
    canvas.style.width = `${across}px`;
    canvas.style.height = `${about.height * each}px`;
    canvas.style.left = `${-box.x * scale}px`;
    canvas.style.top = `${(side.foot - box.y) * scale - about.foot * each}px`;
  }
}
