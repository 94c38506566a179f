// Making elements, and saying things to a screen reader.

/**
 * @typedef {Node | string | number | null | undefined | false} Child
 */

/**
 * Makes an element. Attributes that are functions listen; `class` and the rest are set as they are; a false, null or
 * undefined attribute is left out.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} name
 * @param {Record<string, any>} [attributes]
 * @param {...(Child | Child[])} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function h(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  set(element, attributes);
  element.append(...nodes(children));
  return element;
}

/**
 * Makes an element of a drawing.
 * @param {string} name
 * @param {Record<string, any>} [attributes]
 * @param {...Child} children
 * @returns {SVGElement}
 */
export function s(name, attributes = {}, ...children) {
  const element = document.createElementNS('http://www.w3.org/2000/svg', name);
  set(element, attributes);
  element.append(...nodes(children));
  return element;
}

/**
 * Puts other children into an element.
 * @param {Element} element
 * @param {...(Child | Child[])} children
 */
export function fill(element, ...children) {
  element.replaceChildren(...nodes(children));
}

let making = false;

/** Whether what has the focus loses it because it is made anew: nobody leaves it. */
export const isRemade = () => making;

/**
 * Makes something anew and leaves the focus on what takes the place of what had it: the element of the same `data-key`, or
 * where that has gone the one that its panel named (`data-home`, several on a line each).
 * @param {ParentNode} root
 * @param {() => void} make
 */
export function keepFocus(root, make) {
  const held = document.activeElement;
  const key = held instanceof HTMLElement && root.contains(held) ? held.dataset.key : undefined;
  const panel = /** @type {HTMLElement | null | undefined} */ (held?.closest('[data-home]'));
  const written = held instanceof HTMLInputElement && held.type === 'text' ? [held.value, held.selectionStart, held.selectionEnd] : null;
  const within = making;
  making = true;
  try {
    make();
  } finally {
    making = within;
  }
  if (key === undefined || (document.activeElement instanceof HTMLElement && document.activeElement.dataset.key === key)) return;
  for (const next of [key, ...panel?.dataset.home?.split('\n') ?? []]) {
    const found = /** @type {HTMLElement | null} */ (root.querySelector(`[data-key="${CSS.escape(next)}"]`));
    found?.focus({ preventScroll: true });
    // Who is writing goes on where the hand was.
    if (next === key && found instanceof HTMLInputElement && written && found.value === written[0]) found.setSelectionRange(Number(written[1]), Number(written[2]));
    if (found && document.activeElement === found) return;
  }
}

/**
 * @param {Element} element
 * @param {Record<string, any>} attributes
 */
function set(element, attributes) {
  for (const [key, value] of Object.entries(attributes)) {
    if (value === false || value === null || value === undefined) continue;
    if (typeof value === 'function') element.addEventListener(key.replace(/^on/, ''), value);
    else element.setAttribute(key, value === true ? '' : String(value));
  }
}

/** @param {(Child | Child[])[]} children */
function nodes(children) {
  return children.flat().filter((child) => child !== null && child !== undefined && child !== false)
    .map((child) => (child instanceof Node ? child : set_in_type(String(child))));
}

/** As on the command line (`layout.rs`). */
const UNITS = '%|mm|cm|m|in|ft|yd|g|kg|oz|h|tex';
const BEFORE_UNIT = new RegExp(String.raw`(?<=\d) (?=(?:${UNITS})(?![\p{L}\p{N}]))`, 'gu');
const BEFORE_FRACTION = /(?<=\d) (?=\d+\/\d)/gu;
const BETWEEN = /(?<=\d) ([x/]) (?=\d|\p{L})/gu;

/**
 * Words as they are set in type: the apostrophe that a keyboard and the program's sentences have is a straight one, and a
 * number stays in one line with its unit, and with the other side of a size.
 * @param {string} words
 */
const set_in_type = (words) => words.replace(/(?<=\p{L})'(?=\p{L})/gu, '’').replace(BEFORE_UNIT, '\u00a0').replace(BEFORE_FRACTION, '\u00a0').replace(BETWEEN, '\u00a0$1\u00a0');

/**
 * Gives an element a yarn's colour. (The page's policy allows no style attributes; this is no attribute.)
 * @template {HTMLElement | SVGElement} E
 * @param {E} element
 * @param {string} colour
 * @returns {E}
 */
export function dyed(element, colour) {
  element.style.setProperty('--yarn', colour);
  return element;
}

/**
 * Gives an element that has letters on it a yarn's colour.
 * @template {HTMLElement | SVGElement} E
 * @param {E} element
 * @param {{colour: string, letters: 'ink' | 'paper'}} yarn `letters`: what they are read best in
 * @returns {E}
 */
export function lettered(element, { colour, letters }) {
  element.dataset.letters = letters;
  return dyed(element, colour);
}

/** What is shown of a yarn that isn't known (any more). */
export const GREY = Object.freeze({ colour: '#888888', letters: /** @type {const} */ ('ink') });

/**
 * The first letter large: what the server says may stand at the beginning of a line.
 * @param {string} words
 */
export function begun(words) {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/**
 * Loads the style of a view that few come to, once.
 * @param {string} name
 * @returns {Promise<void>}
 */
export function styled(name) {
  const href = `/assets/style/${name}.css`;
  if (document.head.querySelector(`link[href="${href}"]`)) return Promise.resolve();
  return new Promise((resolve) => {
    // Without it the view can still be used.
    const link = h('link', { rel: 'stylesheet', href, onload: () => resolve(), onerror: () => resolve() });
    document.head.append(link);
  });
}

/**
 * Says something through the page's live region.
 * @param {string} words
 */
export function say(words) {
  const region = document.getElementById('said');
  if (!region) return;
  // The same words said again are heard again.
  region.textContent = '';
  setTimeout(() => {
    region.textContent = words;
  }, 30);
}
