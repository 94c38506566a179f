// A small picture of a finished piece. All of a page's swatches have one scale, as swatches have in a pattern book: a pair
// of earrings is smaller than a mat. What is taller than the book is cut off at the top. A picture is asked for when its
// place comes near the window, one after the other, so that whatever else is asked has the computer to itself.
import { h } from './dom.js';
import { evening } from './settings.js';

/** @typedef {{image: ImageBitmap, each: number}} Swatch `each`: its pixels to the millimetre */

const KEPT = 60;

/** @type {Map<string, Promise<Swatch>>} */
const kept = new Map();
/** @type {Promise<unknown>} */
let before = Promise.resolve();

const seen = new IntersectionObserver((entries) => {
  for (const { isIntersecting, target } of entries) {
    if (!isIntersecting) continue;
    seen.unobserve(target);
    void draw(/** @type {HTMLElement} */ (target));
  }
}, { rootMargin: '300px' });

/** @param {string} url with its question; the page's ground is added to it */
export function swatch(url) {
  const element = h('span', { class: 'swatch', 'data-url': `${url}ground=${evening() ? 'evening' : 'day'}`, 'aria-hidden': 'true' });
  seen.observe(element);
  return element;
}

/**
 * @param {string} url
 * @returns {Promise<Swatch>}
 */
function ask(url) {
  let picture = kept.get(url);
  if (!picture) {
    picture = before.then(async () => {
      const response = await fetch(url);
      const about = JSON.parse(response.headers.get('x-picture') ?? 'null');
      if (!response.ok || !about) throw new Error(`no swatch: ${response.status}`);
      return { image: await createImageBitmap(await response.blob()), each: about.per_mm };
    });
    before = picture.catch(() => kept.delete(url));
    kept.set(url, picture);
    if (kept.size > KEPT) kept.delete(kept.keys().next().value ?? '');
  }
  return picture;
}

/** @param {HTMLElement} element */
async function draw(element) {
  const canvas = h('canvas');
  try {
    const { image, each } = await ask(element.dataset.url ?? '');
    [canvas.width, canvas.height] = [image.width, image.height];
    canvas.getContext('2d')?.drawImage(image, 0, 0);
    canvas.style.setProperty('--mm', String(image.width / each));
  } catch {
    return;
  }
  element.append(canvas);
  element.classList.add('drawn');
}
