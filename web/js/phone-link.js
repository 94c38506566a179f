// The way to "Weave from your phone", for browsers on the computer itself.
import { at } from './api.js';
import { h } from './dom.js';

/** @param {string} [weaving] what a device that is let in there shows first */
export function phoneLink(weaving = '') {
  return h('a', {
    class: 'plain only-here', href: weaving ? at`#/phone/${weaving}` : '#/phone',
    onclick: (/** @type {Event} */ event) => /** @type {HTMLElement} */ (event.target).closest('dialog')?.close(),
  }, 'Weave from your phone', h('span', { class: 'if-open' }, ' (open)'));
}
