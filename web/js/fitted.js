// What is to be read from where one weaves, as large as its room allows.

/** Letters that are read at arm's length, in pixels; the least; and the most that serve. */
const [FAR, LEAST, MOST] = [44, 26, 148];

/**
 * Makes what is to be read as large as its room allows, in as many columns as serve best. It has the first claim on the
 * room: where the letters would be too small, what else there is gives way one thing after the other (`data-gives`, in the
 * order that the style says); where that isn't enough the page scrolls.
 * @param {HTMLElement} body
 * @param {number[]} columns to try
 */
export function fitted(body, columns) {
  const room = /** @type {HTMLElement | null} */ (body.querySelector('.fitted'));
  const words = /** @type {HTMLElement | null} */ (room?.firstElementChild);
  const main = /** @type {HTMLElement | null} */ (body.closest('.along'));
  if (!room || !words || !main) return;
  const largest = (/** @type {number} */ gives) => {
    body.dataset.gives = String(gives);
    let best = { gives, size: 0, columns: 1 };
    for (const many of columns) {
      if (many > 1 && room.clientWidth < many * 240) continue;
      words.style.columnCount = String(many);
      let [low, high] = [0, MOST];
      // The least is tried first: where that has no room nothing has.
      for (let size = LEAST; high - low > 1 && high > LEAST; size = (low + high) / 2) {
        words.style.fontSize = `${size}px`;
        if (holds(room, words) && body.scrollHeight <= body.clientHeight) low = size;
        else high = size;
      }
      // Another column must be worth it: one list is read more surely than two.
      if (low > best.size * 1.15) best = { gives, size: low, columns: many };
    }
    return best;
  };
  let way = largest(0);
  if (way.size < FAR) {
    const ways = [way, largest(1), largest(2), largest(3)];
    const most = Math.max(...ways.map(({ size }) => size));
    way = ways.find(({ size }) => size >= Math.min(FAR, most * 0.95)) ?? way;
  }
  main.classList.toggle('scrolls', way.size === 0);
  body.dataset.gives = String(way.gives);
  words.style.columnCount = String(way.columns);
  words.style.fontSize = `${Math.floor(way.size) || LEAST}px`;
}

/**
 * Whether all of it is seen, with nothing over anything else: what sticks out of a line lies over its neighbour.
 * @param {HTMLElement} room
 * @param {HTMLElement} words
 */
function holds(room, words) {
  const { left } = room.getBoundingClientRect();
  return words.scrollHeight <= room.clientHeight && words.scrollWidth <= room.clientWidth && words.offsetHeight <= room.clientHeight
    // What sticks out where a line begins counts as no scrolling.
    && [...words.querySelectorAll('li, .run, .times, span')].every((one) => one.scrollWidth <= one.clientWidth && one.getBoundingClientRect().left >= left - 1);
}
