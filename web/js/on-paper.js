// A piece on paper: below what the page says of it its drawing, how its warp is wound, and every row, without anything to
// press. A browser prints at once and waits for nothing, so all of it is there before.
import { at, get } from './api.js';
import { begun, fill, h, unbroken } from './dom.js';
import { fetchDrawing } from './drawing.js';

const REST = 800; // milliseconds after a change: while one change follows the other nothing is asked for

/**
 * @typedef {{number: number, words: string, before: string[], after: string[]}} Row
 * @typedef {{before: string[], rows: Row[], off_the_loom: string[]}} Sheet
 * @typedef {{id: string, rev: string, units: string, drawing: string, places: import('./loom.js').Place[], winding: string[]}} Piece
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
      const { id, rev, units } = piece;
      const [sheet, drawing] = await Promise.all([get(at`/api/pieces/${id}/rows?rev=${rev}&units=${units}`), fetchDrawing(piece.drawing)]).catch(() => [null, null]);
      if (!sheet || !drawing || of !== this.#of) return;
      this.#there = of;
      this.#set(piece, sheet, drawing);
    }, REST);
    return undefined;
  }

  /**
   * @param {Piece} piece
   * @param {Sheet} sheet
   * @param {SVGSVGElement} drawing
   */
  #set({ places, winding }, { before, rows, off_the_loom: off }, drawing) {
    // The paper is its ground, and its name stands above.
    for (const part of drawing.querySelectorAll('.ground, .title')) part.remove();
    fill(this.element,
      drawing,
      h('h2', {}, 'Winding the warp'),
      h('ol', {}, winding.map((line) => h('li', {}, unbroken(line)))),
      h('h2', {}, 'Rows'),
      h('p', {}, before.join(' ')),
      h('div', { class: 'paper-rows' }, places.map(({ name, nth, of, first_row: first, rows: many, edge_habit: habit }) => h('section', {},
        h('h3', {}, begun(name), h('small', {}, `${of > 1 ? `, ${nth} of ${of}` : ''}, ${many > 1 ? `rows ${first} to ${first + many - 1}` : `row ${first}`}${habit ? `; ${habit}` : ''}`)),
        rows.slice(first - 1, first - 1 + many).flatMap(row)))),
      h('h2', {}, 'After the last row'),
      h('ol', {}, off.map((line) => h('li', {}, unbroken(line)))));
  }
}

/** @param {Row} row */
function row({ number, words, before, after }) {
  return [
    ...before.map((step) => h('p', { class: 'paper-step' }, unbroken(begun(step)))),
    h('p', { class: 'paper-row' }, h('b', {}, String(number)), h('span', {}, words)),
    ...after.map((step) => h('p', { class: 'paper-step' }, unbroken(begun(step)))),
  ];
}
