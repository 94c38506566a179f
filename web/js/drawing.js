// The server's drawing of a piece, taken into the page so that its light can be the page's, and so that things can be
// shown where they lie. Its letters would be too small here and are written anew beside it, in the same words.

/** @type {Map<string, Promise<SVGSVGElement>>} */
const kept = new Map();

/**
 * @param {string} url
 * @returns {Promise<SVGSVGElement>} a drawing of one's own
 */
export async function fetchDrawing(url) {
  let drawing = kept.get(url);
  if (!drawing) {
    drawing = fetch(url).then(async (response) => {
      if (!response.ok) throw new Error(`no drawing: ${response.status}`);
      const parsed = new DOMParser().parseFromString(await response.text(), 'image/svg+xml').documentElement;
      if (!(parsed instanceof SVGSVGElement)) throw new Error('no drawing');
      return parsed;
    });
    kept.set(url, drawing);
    drawing.catch(() => kept.delete(url));
    if (kept.size > 24) kept.delete(kept.keys().next().value ?? '');
  }
  return /** @type {SVGSVGElement} */ (document.importNode(await drawing, true));
}

/** @typedef {{x: number, y: number, width: number, height: number}} Box millimetres of the drawing */

/** A drawing that stands in the page, and where its parts lie. */
export class Drawn {
  /** @param {SVGSVGElement} svg which is in the document */
  constructor(svg) {
    this.svg = svg;
    /** @type {Map<string, Element>} */
    this.rows = new Map();
    for (const path of svg.querySelectorAll('.rows-under [data-row], .rows-over [data-row]')) {
      this.rows.set(path.getAttribute('data-row') ?? '', path);
    }
  }

  /** @param {string} selector */
  box(selector) {
    const found = [...this.svg.querySelectorAll(selector)].filter((one) => one instanceof SVGGraphicsElement);
    return around(found.map((one) => /** @type {SVGGraphicsElement} */ (one).getBBox()).filter((box) => box.width + box.height > 0));
  }

  /** The woven part with its turns and tails. */
  cloth() {
    return this.box('.rows-under, .rows-over, .edges') ?? this.whole();
  }

  /** The frame, or what there is of the warp. */
  loom() {
    return this.box('.frame') ?? this.box('.warp, .rows-over') ?? this.whole();
  }

  /** @returns {Box} */
  whole() {
    const { x, y, width, height } = this.svg.viewBox.baseVal;
    return { x, y, width, height };
  }

  /**
   * Where rows lie: top and bottom.
   * @param {number} first
   * @param {number} last
   * @returns {[number, number] | null}
   */
  span(first, last) {
    const boxes = [this.rows.get(String(first)), this.rows.get(String(last))].flatMap((path) => {
      return path instanceof SVGGraphicsElement ? [path.getBBox()] : [];
    });
    const box = around(boxes);
    return box && [box.y, box.y + box.height];
  }

  /** @param {number} height over the foot of the first row */
  y(height) {
    const rows = this.box('.rows-under, .rows-over') ?? this.whole();
    return rows.y + rows.height - height;
  }

  /** Pixels to the millimetre at which a row is about so many pixels high. @param {number} pixels */
  rowsOf(pixels) {
    const { height } = this.cloth();
    return (pixels * Math.max(this.rows.size, 1)) / Math.max(height, 1);
  }

  /** The measures along the ruler, as the drawing says them. */
  measures() {
    return [...this.svg.querySelectorAll('.ruler .measure')].map((text) => ({
      y: Number(text.getAttribute('y')) - 0.36 * Number(text.getAttribute('font-size')),
      words: text.textContent ?? '',
    }));
  }

  /** Leaves only what is woven. */
  bare() {
    for (const part of this.svg.querySelectorAll('.ground, .title, .frame, .ruler, .bands, .row-numbers, title, desc')) part.remove();
    this.svg.removeAttribute('role');
    this.svg.setAttribute('aria-hidden', 'true');
  }
}

/**
 * @param {Box[]} boxes
 * @returns {Box | null}
 */
function around(boxes) {
  if (boxes.length === 0) return null;
  const x = Math.min(...boxes.map((box) => box.x));
  const y = Math.min(...boxes.map((box) => box.y));
  const right = Math.max(...boxes.map((box) => box.x + box.width));
  const bottom = Math.max(...boxes.map((box) => box.y + box.height));
  return { x, y, width: right - x, height: bottom - y };
}

/**
 * Shows a part of the drawing at a scale.
 * @param {SVGSVGElement} svg
 * @param {Box} box
 * @param {number} scale pixels to the millimetre
 */
export function crop(svg, box, scale) {
  svg.setAttribute('viewBox', `${box.x} ${box.y} ${box.width} ${box.height}`);
  svg.setAttribute('width', (box.width * scale).toFixed(1));
  svg.setAttribute('height', (box.height * scale).toFixed(1));
}
