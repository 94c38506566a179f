// What is to be read from where one weaves, as large as its room allows, and as steady from row to row as may be.

/**
 * @typedef {{columns: number, below: boolean}} Way of setting words: in so many columns; how often a group is woven said beside it or
 *   below it
 * @typedef {{key: string, lists: () => HTMLElement[], draw: () => void}} Like the words of rows that are to have letters of about this size too;
 *   `draw` draws the strip for the room it has
 */

/** Letters that are read at arm's length, in pixels; those for which nothing else has to give way; those
    that are worth some room of the window; the least; the most that serve. */
const [FAR, GOOD, SMALL, LEAST, MOST] = [44, 64, 34, 26, 148];
/** A window that is smaller than any phone's: a page that is very much enlarged. */
const TINY = 300;
/** How much larger than the smallest of their band a row's letters may be. */
const STEADY = 1.3;
/** Another way must be worth it: one list is read more surely than two. */
const WORTH = 1.15;
/** Lines of what is said beside a row's words, for which room is left where there is plenty. */
const BESIDE = 3;

/** The size for a band, in a room. @type {Map<string, {size: number, strip: boolean}>} */
const known = new Map();

/**
 * Makes what is to be read as large as its room allows. It has the first claim on the room: where the letters would be too
 * small, what else there is gives way one thing after the other (`data-gives`, and the strip last: `data-strip`; the style
 * says what goes). Where that isn't enough, what is said of a step scrolls over all its buttons (`flows`); of a row, first the
 * smaller actions lie below the window (`tight`), and then the page scrolls.
 * @param {HTMLElement} body
 * @param {number[]} columns to try
 * @param {Like} [like]
 */
export function fitted(body, columns, like) {
  const room = /** @type {HTMLElement | null} */ (body.querySelector('.fitted'));
  const words = /** @type {HTMLElement | null} */ (room?.firstElementChild);
  const main = /** @type {HTMLElement | null} */ (body.closest('.along'));
  if (!room || !words || !main) return;
  const fit = like ? () => row(body, room, words, columns, like) : () => step(body, room, words);
  main.classList.remove('tight', 'scrolls');
  flow(body, words, false);
  const size = fit();
  if (!like && size < LEAST && Math.min(window.innerWidth, window.innerHeight) >= TINY) return flow(body, words, true);
  if (size >= (Math.min(window.innerWidth, window.innerHeight) < TINY ? SMALL : LEAST)) return;
  main.classList.add('tight');
  if (fit() > size * 1.1) return;
  main.classList.remove('tight');
  if (fit() > 0) return;
  main.classList.add('tight', 'scrolls');
  set(words, { columns: 1, below: true }, LEAST);
}

/** The step that is being read where it scrolls. */
let flowing = '';

/**
 * A step of which more is said than there is room for: it is read as it scrolls, and its buttons stay where they are.
 * @param {HTMLElement} body
 * @param {HTMLElement} words
 * @param {boolean} flows
 */
function flow(body, words, flows) {
  body.classList.toggle('flows', flows);
  body.toggleAttribute('tabindex', flows);
  if (!flows) return;
  // Who hears it must come to it by key, to scroll it.
  body.tabIndex = 0;
  body.dataset.gives = '1';
  set(words, { columns: 1, below: true }, SMALL);
  if (words.scrollWidth > words.clientWidth) set(words, { columns: 1, below: true }, LEAST);
  // Drawn again in between it is not read from its beginning.
  const step = body.textContent ?? '';
  if (step !== flowing) body.scrollTop = 0;
  flowing = step;
}

/**
 * What is done before or after a row, with its picture.
 * @param {HTMLElement} body
 * @param {HTMLElement} room
 * @param {HTMLElement} words
 */
function step(body, room, words) {
  const largest = (/** @type {number} */ gives) => {
    body.dataset.gives = String(gives);
    return { gives, ...best(body, room, words, [1]) };
  };
  // The picture says the same at a glance: for letters that are not small it need not give way.
  let way = largest(0);
  if (way.size < SMALL) {
    const ways = [way, largest(1), largest(2), largest(3)];
    const most = Math.max(...ways.map(({ size }) => size));
    way = ways.find(({ size }) => size >= Math.min(SMALL, most * 0.95)) ?? way;
  }
  body.dataset.gives = String(way.gives);
  set(words, way.way, Math.floor(way.size));
  return way.size;
}

/**
 * A row: its letters are about as large as those of the other rows of its band, whatever else is said of it.
 * @param {HTMLElement} body
 * @param {HTMLElement} room
 * @param {HTMLElement} words
 * @param {number[]} columns
 * @param {Like} like
 */
function row(body, room, words, columns, { key, lists, draw }) {
  const here = [key, body.clientWidth, body.clientHeight, getComputedStyle(document.documentElement).fontSize, document.fonts.status, body.closest('.tight') ? 'tight' : ''].join(' ');
  // Nothing but the words and the strip: so it is for all rows.
  body.classList.add('bare');
  body.dataset.strip = '';
  // How high the strip is depends on how wide it is.
  draw();
  const size = (/** @type {HTMLElement[]} */ some) => Math.min(...some.map((list) => {
    room.replaceChildren(list);
    return best(body, room, list, columns).size;
  }));
  const roomy = (/** @type {HTMLElement[]} */ some) => {
    const whole = size(some);
    if (whole <= GOOD) return whole;
    body.style.paddingBottom = `${BESIDE * 1.45}rem`;
    const beside = size(some);
    body.style.paddingBottom = '';
    return Math.max(GOOD, beside);
  };
  let band = known.get(here);
  if (!band) {
    const all = lists();
    band = { size: roomy(all), strip: true };
    if (band.size < FAR) {
      body.dataset.strip = 'none';
      const without = roomy(all);
      if (without > band.size * 1.05) band = { size: without, strip: false };
    }
    if (known.size > 200) known.clear();
    known.set(here, band);
  }
  body.dataset.strip = band.strip ? '' : 'none';
  const mine = Math.floor(Math.min(roomy([words]), band.size * STEADY));
  body.classList.remove('bare');
  // The strip goes from no row that has room for it, whatever the longest of its band needs; nor for letters that are large as it is.
  const far = Math.ceil(Math.max(FAR, band.size));
  const tries = band.strip ? [{ strip: '', size: mine }] : [{ strip: '', size: mine }, ...(far < mine ? [{ strip: '', size: far }] : []), { strip: 'none', size: mine }];
  for (const { strip, size } of mine >= LEAST ? tries : []) {
    body.dataset.strip = strip;
    for (const gives of [0, 1, 2]) {
      body.dataset.gives = String(gives);
      if (ways(room, words, columns).some((one) => holdsAt(body, room, words, one, size))) return size;
    }
  }
  // What belongs to this row alone takes its room too.
  let own = best(body, room, words, columns);
  if (own.size < FAR) {
    body.dataset.strip = 'none';
    const without = best(body, room, words, columns);
    if (without.size > own.size) own = without;
    else body.dataset.strip = band.strip ? '' : 'none';
  }
  set(words, own.way, Math.floor(own.size));
  return own.size;
}

/**
 * The largest letters, and how they are set; 0 where even the least have no room.
 * @param {HTMLElement} body
 * @param {HTMLElement} room
 * @param {HTMLElement} words
 * @param {number[]} columns
 */
function best(body, room, words, columns) {
  let found = { size: 0, way: { columns: 1, below: false } };
  for (const way of ways(room, words, columns)) {
    let [low, high] = [0, MOST];
    // The least is tried first: where that has no room nothing has.
    for (let size = LEAST; high - low > 1 && high > LEAST; size = (low + high) / 2) {
      if (holdsAt(body, room, words, way, size)) low = size;
      else high = size;
    }
    if (low > found.size * WORTH) found = { size: low, way };
  }
  return found;
}

/**
 * @param {HTMLElement} room
 * @param {HTMLElement} words
 * @param {number[]} columns
 * @returns {Way[]}
 */
function ways(room, words, columns) {
  const again = words.querySelector('.times') !== null;
  return columns.filter((many) => many === 1 || (room.clientWidth >= many * 210 && words.childElementCount >= many))
    .flatMap((many) => [{ columns: many, below: false }, ...(again ? [{ columns: many, below: true }] : [])]);
}

/**
 * @param {HTMLElement} words
 * @param {Way} way
 * @param {number} size
 */
function set(words, { columns, below }, size) {
  words.style.columnCount = String(columns);
  words.style.fontSize = `${size}px`;
  words.classList.toggle('below', below);
}

/**
 * Whether all of it is seen, with nothing over anything else: what sticks out of a line lies over its neighbour.
 * @param {HTMLElement} body
 * @param {HTMLElement} room
 * @param {HTMLElement} words
 * @param {Way} way
 * @param {number} size
 */
function holdsAt(body, room, words, way, size) {
  set(words, way, size);
  if (body.scrollHeight > body.clientHeight) return false;
  const { left } = room.getBoundingClientRect();
  return words.scrollHeight <= room.clientHeight && words.scrollWidth <= room.clientWidth && words.offsetHeight <= room.clientHeight
    // What sticks out where a line begins counts as no scrolling.
    && [...words.querySelectorAll('li, .run, .times, span')].every((one) => one.scrollWidth <= one.clientWidth && one.getBoundingClientRect().left >= left - 1);
}
