// How the warp is wound, as the server draws it, in the page's own light. The words that stand beside it say all of it.
import { fetchDrawing } from './drawing.js';
import { fill, h } from './dom.js';

/**
 * @param {string} url of the drawing
 * @param {string} [more] another class
 */
export function windingPicture(url, more = '') {
  const figure = h('figure', { class: `wound ${more}`, 'aria-hidden': 'true' });
  void fetchDrawing(url).then((drawing) => fill(figure, drawing), () => figure.remove());
  return figure;
}
