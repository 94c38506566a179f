// The piece was changed in rows that are on the loom: what the weaver may do about it.
import { Trouble, at, post } from './api.js';
import { fill, h } from './dom.js';

/** @typedef {{rev: string, rows: number[], unpick: number[]}} Changed */

/**
 * What was changed, and the ways on. To go on as it was begun is the page's own next step.
 * @param {string} weaving
 * @param {Changed} changed
 * @param {{unpick: () => void, parted: () => void}} ways
 */
export function changedBelow(weaving, changed, ways) {
  const told = h('p', { role: 'status' });
  const lowest = changed.unpick.at(-1);
  const part = async () => {
    try {
      await post(at`/api/weavings/${weaving}/part`, { rev: changed.rev });
      ways.parted();
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      fill(told, error.message, ' ', error.help);
    }
  };
  return h('section', { class: 'changed', 'aria-label': 'The piece was changed' },
    h('p', { class: 'mend' }, changed.rows.length > 0
      ? `The piece has been changed in rows that are woven (${stretches(changed.rows)}). This weaving goes on as it was begun, unless you choose otherwise.`
      : 'The piece’s plan can’t be read as it is now. This weaving goes on as it was begun.'),
    changed.rows.length === 0 ? null : h('ul', { class: 'remedies' },
      h('li', {}, h('button', { class: 'remedy', onclick: () => ways.unpick() }, changed.unpick.length === 1
        ? `Take out row ${lowest}, and weave on as the piece is now`
        : `Take out rows ${changed.unpick[0]} to ${lowest}, and weave on as the piece is now`)),
      h('li', {}, h('button', { class: 'remedy', onclick: () => void part() }, 'Make what it has become a piece of its own, and leave this one as it is on the loom'))),
    told);
}

/**
 * The yarn, going back out by the side it came in from.
 * @param {{weft: string, yarn: string, from: 'left' | 'right'}} row
 */
export function takeOut({ weft, from }) {
  return h('div', { class: `banner from-${from}` }, h('p', {}, h('b', {}, weft), ' ', h('span', {}, `back out to the ${from}`)));
}

/**
 * "3 to 6, 9".
 * @param {number[]} rows in rising order
 */
function stretches(rows) {
  /** @type {[number, number][]} */
  const found = [];
  for (const row of [...rows].sort((a, b) => a - b)) {
    const last = found.at(-1);
    if (last && last[1] + 1 === row) last[1] = row;
    else found.push([row, row]);
  }
  return found.map(([first, last]) => (first === last ? `${first}` : `${first} to ${last}`)).join(', ');
}
