// The piece was changed in rows that are on the loom: what the weaver may do about it.
import { Trouble, at, post } from './api.js';
import { begun, fill, h } from './dom.js';

/** @typedef {{rev: string, rows: number[], unpick: number[], words: string, take_out: string | null, part: string}} Changed */

/**
 * What was changed, and the ways on. To go on as it was begun is the page's own next step.
 * @param {string} weaving
 * @param {Changed} changed
 * @param {{unpick: () => void, parted: () => void}} ways
 */
export function changedBelow(weaving, changed, ways) {
  const told = h('p', { role: 'status' });
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
    h('p', { class: 'mend' }, changed.words),
    changed.take_out === null ? null : h('ul', { class: 'remedies' },
      h('li', {}, h('button', { class: 'remedy', onclick: () => ways.unpick() }, begun(changed.take_out))),
      h('li', {}, h('button', { class: 'remedy', onclick: () => void part() }, begun(changed.part)))),
    told);
}
