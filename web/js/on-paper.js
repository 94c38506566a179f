// A piece on paper: below what the page says of it its drawing, how its warp is wound, and every row, those that come again
// once, without anything to press. A browser prints at once and waits for nothing, so all of it is there before.
import { at, get } from './api.js';
import { begun, fill, h } from './dom.js';
import { fetchDrawing } from './drawing.js';

const REST = 800; // milliseconds after a change: while one change follows the other nothing is asked for

/**
 * @typedef {{number: number, words: string, before: string[], after: string[]}} Row
 * @typedef {{as_others: string, begins_again: string | null, at_their_rows: string[]}} Again
 * @typedef {{bands: string, rows: string, edge_habit: string | null, told: (Row | Again)[]}} Section
 * @typedef {{before: string[], drawings: {rows: [number, number] | null, words: string | null}[], sections: Section[], off_the_loom: string[]}} Sheet
 * @typedef {{id: string, rev: string, units: string, drawing: string, winding: string[]}} Piece
 */

export class OnPaper {
  #of = '';
  #there = '';
  #timer = 0;

  constructor() {
    this.element = h('section', { class: 'on-paper' });
    this.print = () => {
      if (this.#of !== this.#there) fill(this.element, h('p', {}, 'The piece has only just become what it is: its drawing and its rows are not on this sheet. Print it once more.'));
    };
    window.addEventListener('beforeprint', this.print);
  }

  leave() {
    clearTimeout(this.#timer);
    window.removeEventListener('beforeprint', this.print);
  }

  /** @param {Piece | null} piece as it is now; null where there is nothing to weave */
  take(piece) {
    const of = piece ? `${piece.rev} ${piece.drawing}` : '';
    if (of === this.#of) return;
    this.#of = of;
    clearTimeout(this.#timer);
    if (!piece) {
      this.#there = of;
      return fill(this.element);
    }
    this.#timer = window.setTimeout(async () => {
      const { id, rev, units, drawing } = piece;
      const [sheet, drawings] = await get(at`/api/pieces/${id}/rows?rev=${rev}&units=${units}`).then(async (/** @type {Sheet} */ found) => {
        const wound = fetchDrawing(at`/api/pieces/${id}/winding.svg?rev=${rev}&units=${units}`);
        const drawn = found.drawings.map(({ rows }) => fetchDrawing(rows ? drawing + at`&from=${rows[0]}&to=${rows[1]}` : drawing));
        return /** @type {const} */ ([found, [await wound, ...await Promise.all(drawn)]]);
      }).catch(() => [null, null]);
      if (!sheet || !drawings || of !== this.#of) return;
      this.#there = of;
      this.#set(piece, sheet, drawings);
    }, REST);
    return undefined;
  }

  /**
   * @param {Piece} piece
   * @param {Sheet} sheet
   * @param {readonly [SVGSVGElement, ...SVGSVGElement[]]} drawings the first of the warp, then those of the piece
   */
  #set({ winding }, { before, drawings: drawn, sections, off_the_loom: off }, [wound, ...drawings]) {
    // The paper is their ground, and the piece's name stands above.
    for (const drawing of [wound, ...drawings]) for (const part of drawing.querySelectorAll('.ground, .title')) part.remove();
    fill(this.element,
      drawings.map((drawing, k) => h('figure', {}, drawing, drawn[k]?.words ? h('figcaption', {}, drawn[k].words) : null)),
      h('h2', {}, 'Winding the warp'),
      h('figure', { class: 'wound' }, wound),
      h('ol', {}, winding.map((line) => h('li', {}, line))),
      h('h2', {}, 'Rows'),
      h('p', {}, before.join(' ')),
      h('div', { class: 'paper-rows' }, sections.map(section)),
      h('h2', {}, 'After the last row'),
      h('ol', {}, off.map((line) => h('li', {}, line))));
  }
}

/** @param {Section} section */
function section({ bands, rows, edge_habit: habit, told }) {
  const lines = told.flatMap((one) => ('number' in one ? row(one) : again(one)));
  // A heading is no line's last: it goes with the first that stands below it.
  return h('section', {},
    h('div', { class: 'paper-head' }, h('h3', {}, begun(bands), h('small', {}, rows, habit ? `; ${habit}` : '')), lines[0]),
    lines.slice(1));
}

const step = (/** @type {string} */ words) => h('p', { class: 'paper-step' }, begun(words));

/** @param {Row} row */
function row({ number, words, before, after }) {
  return [
    ...before.map(step),
    h('p', { class: 'paper-row' }, h('b', {}, String(number)), h('span', {}, words)),
    ...after.map(step),
  ];
}

/** @param {Again} again */
function again({ as_others: words, begins_again: begins, at_their_rows: steps }) {
  return [
    h('p', { class: 'paper-again' }, h('b', {}, begun(words)), begins ? `. ${begun(begins)}.` : '.'),
    ...steps.map(step),
  ];
}
