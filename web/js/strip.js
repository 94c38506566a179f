// One row as it lies on the loom: the weft, and the ends it passes. An arrow says which way the needle runs.
import { dyed, fill, h, s } from './dom.js';

/**
 * @typedef {{number: number, crossings: string, from: 'left' | 'right', runs: {pass: string, ends: number}[], ends: [number, number]}} Row
 */

/**
 * @param {Row} row
 * @param {string} colour
 */
export function strip(row, colour) {
  const element = dyed(h('div', { class: `strip from-${row.from}`, 'aria-hidden': 'true' }), colour);
  new ResizeObserver(() => drawStrip(element, row)).observe(element);
  return element;
}

/**
 * Draws it as wide as there is room.
 * @param {HTMLElement} element
 * @param {Row} row
 */
export function drawStrip(element, row) {
  const width = element.clientWidth;
  if (width === 0) return;
  const count = row.crossings.length;
  const cell = Math.min((width - (width < 600 ? 30 : 44)) / count, 44);
  const left = (width - cell * count) / 2;
  const warp = Math.max(1.5, cell * 0.3);
  // On a phone on its side (style/along.css) it is lower, so that what else belongs to the row has its room beside it.
  const [least, beyond] = window.innerHeight <= 560 ? [20, 16] : [26, 26];
  const thick = Math.min(40, Math.max(least, cell * 0.85));
  const high = thick + beyond;
  const middle = high / 2;
  const x = (/** @type {number} */ end) => left + (end - 0.5) * cell;
  const ends = [...row.crossings].map((pass, k) => ({ pass, end: k + 1 }));
  const over = stretches(ends.filter(({ pass }) => pass === 'o').map(({ end }) => end));
  const under = ends.filter(({ pass }) => pass === 'u').map(({ end }) => end);
  const [first, last] = row.ends;
  const d = (/** @type {number[]} */ [from = 0, to = 0]) => `M${(x(from) - cell * 0.5).toFixed(1)} ${middle}H${(x(to) + cell * 0.5).toFixed(1)}`;
  const strands = (/** @type {string} */ name, /** @type {number[]} */ which, more = 0) => s('path', {
    class: name, 'stroke-width': warp + more, d: which.map((end) => `M${x(end).toFixed(1)} 0V${high}`).join(''),
  });

  // Numbers stand above their runs where there is room for all of them.
  let at = row.from === 'left' ? first : last;
  const numbers = row.runs.map(({ ends: many }) => {
    const [a, b] = row.from === 'left' ? [at, at + many - 1] : [at - many + 1, at];
    at += row.from === 'left' ? many : -many;
    return { many, middle: (x(a) + x(b)) / 2, room: many * cell };
  });
  const letters = [26, 23, 20, 16].find((size) => numbers.every(({ many, room }) => room >= String(many).length * size * 0.63 + 1)) ?? 0;

  const y = letters ? letters + 6 : 0;
  const arrow = y + high + 14;
  const [tail, tip] = row.from === 'left' ? [left, width - left] : [width - left, left];
  const barb = row.from === 'left' ? -9 : 9;
  fill(element, s('svg', { width, height: arrow + 10 },
    ...(letters ? numbers.map(({ many, middle: centre }) => s('text', { x: centre.toFixed(1), y: letters, 'font-size': letters, 'text-anchor': 'middle' }, String(many))) : []),
    s('g', { transform: `translate(0 ${y})` },
      strands('warp', ends.map(({ end }) => end)),
      s('path', { class: 'weft-edge', 'stroke-width': thick + 2, d: d([first, last]) }),
      s('path', { class: 'weft', 'stroke-width': thick, d: d([first, last]) }),
      strands('warp-edge', under, 3),
      strands('warp', under),
      ...over.flatMap((stretch) => [
        s('path', { class: 'weft-edge over', 'stroke-width': thick + 2, d: d(stretch) }),
        s('path', { class: 'weft over', 'stroke-width': thick, d: d(stretch) }),
      ])),
    s('path', { class: 'way', d: `M${tail} ${arrow}H${tip}m${barb} -7L${tip} ${arrow}l${barb} 7` })));
}

/**
 * @param {number[]} ends
 * @returns {[number, number][]}
 */
function stretches(ends) {
  /** @type {[number, number][]} */
  const found = [];
  for (const end of ends) {
    const last = found.at(-1);
    if (last && last[1] === end - 1) last[1] = end;
    else found.push([end, end]);
  }
  return found;
}
