// A small picture of a piece. All of a page's swatches have one scale, as swatches have in a pattern book: a pair of
// earrings is smaller than a mat. What is taller than the book is cut off at the top.
import { h } from './dom.js';
import { Drawn, crop, fetchDrawing } from './drawing.js';

const TALLEST = 132; // millimetres
const WARP = 7; // millimetres of open warp that show above

const seen = new IntersectionObserver((entries) => {
  for (const { isIntersecting, target } of entries) {
    if (!isIntersecting) continue;
    seen.unobserve(target);
    void draw(/** @type {HTMLElement} */ (target));
  }
}, { rootMargin: '300px' });

/**
 * @param {string} url
 */
export function swatch(url) {
  const element = h('span', { class: 'swatch', 'data-url': url, 'aria-hidden': 'true' });
  seen.observe(element);
  return element;
}

/** @param {HTMLElement} element */
async function draw(element) {
  let svg;
  try {
    svg = await fetchDrawing(element.dataset.url ?? '');
  } catch {
    return;
  }
  svg.classList.add('drawing', 'measuring');
  element.append(svg);
  const drawn = new Drawn(svg);
  drawn.bare();
  const cloth = drawn.cloth();
  const top = Math.max(cloth.y - WARP, cloth.y + cloth.height - TALLEST);
  const scale = Number(getComputedStyle(element).getPropertyValue('--per-mm')) || 1.6;
  // A row's yarn is thicker than its line; half a thickness more shows it whole.
  crop(svg, { x: cloth.x - 1, y: top, width: cloth.width + 2, height: cloth.y + cloth.height + 1.2 - top }, scale);
  svg.classList.remove('measuring');
  element.classList.add('drawn');
}
