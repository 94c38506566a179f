// Where the window is wide, what a phrase opens stands beside the loom, so that the loom stays in sight. For those who
// listen or tab it is where it was, after its phrase; only its look is moved, and the column makes room for it.
import { h } from './dom.js';

const WIDE = window.matchMedia('(min-width: 1120px)');

/**
 * @param {HTMLElement[]} opened in the order in which they stand beside the loom
 * @param {Element[]} above on whose height it depends where that is
 * @returns {{slots: HTMLElement[], leave: () => void}} what stands in the column for them
 */
export function beside(opened, above) {
  const slots = opened.map(() => h('div', { class: 'slot', 'aria-hidden': 'true' }));
  const lay = () => {
    opened.forEach((panel, k) => {
      const slot = slots[k];
      if (!slot?.isConnected) return;
      const aside = WIDE.matches && !panel.hidden;
      slot.style.height = aside ? `${panel.offsetHeight}px` : '';
      const within = panel.offsetParent?.getBoundingClientRect().top ?? 0;
      panel.style.top = aside ? `${slot.getBoundingClientRect().top - within}px` : '';
    });
  };
  const watch = new ResizeObserver(lay);
  for (const element of [...opened, ...above]) watch.observe(element);
  return { slots, leave: () => watch.disconnect() };
}
