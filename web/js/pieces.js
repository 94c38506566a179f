// All pieces: what is on the loom, what there is, and what to begin from.
import { Trouble, at, get, post, send } from './api.js';
import { begun, fill, h, keepFocus, say } from './dom.js';
import { onNotice } from './events.js';
import { phoneLink } from './phone-link.js';
import { onSettings, openSettings, setting } from './settings.js';
import { swatch } from './swatch.js';
import { FOLLOWS } from './who.js';

/**
 * @typedef {{id: string, started: number, done: number, rows: number, mirrored: boolean, next_row: number | null, words: string}} Under a weaving
 * @typedef {{id: string, name: string | null, rows: number | null, ends: number | null, to_mend: string | null, updated: number, head: string, weavings: Under[]}} Piece
 * @typedef {{name: string, title: string, asked: string, to_mend: number}} Example
 * @typedef {{name: string, words: string}} Start
 */

/** @param {HTMLElement} root */
export async function showPieces(root) {
  document.title = 'Fellmark';
  const list = h('main', { id: 'main', class: 'pieces' });
  const trouble = h('div', { role: 'alert', class: 'pieces-trouble' });
  const told = h('p', { role: 'status', class: 'told pieces-told' });

  /** @param {() => Promise<void>} work */
  const tried = async (work) => {
    try {
      fill(trouble);
      fill(told);
      await work();
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      const line = error.body?.problem?.line;
      fill(trouble, h('p', { class: 'mend' }, line ? `Line ${line}: ` : '', error.message, ' ', error.help));
      window.scrollTo(0, 0);
    }
  };

  /** @param {object} body */
  const begin = (body) => tried(async () => {
    const { id } = await post('/api/pieces', body);
    location.hash = at`#/piece/${id}`;
  });

  /** @param {File} file */
  const bringIn = (file) => tried(async () => {
    const { said } = await send('/api/archive', file);
    fill(told, said.join(' '));
    await look();
    // What came stands at the top of the page, and so does what is said of it.
    window.scrollTo(0, 0);
  });

  /**
   * @param {string} words
   * @param {string} accept
   * @param {(file: File) => Promise<void>} take
   */
  const fromFile = (words, accept, take) => h('label', { class: 'plain file' }, words,
    h('input', { type: 'file', class: 'unseen', accept, onchange: async (/** @type {Event} */ event) => {
      const input = /** @type {HTMLInputElement} */ (event.target);
      const file = input.files?.[0];
      if (file) await take(file);
      input.value = '';
    } }));

  /** Whether those that were put away are looked at. */
  let looking = false;

  /**
   * @param {Piece} piece
   * @param {'put-away' | 'bring-back'} way
   * @param {number} index where it stood among its like
   */
  const move = (piece, way, index) => tried(async () => {
    const all = await post(at`/api/pieces/${piece.id}/` + at`${way}?units=${setting('units')}`, {});
    show(all);
    const name = piece.name ?? 'The plan';
    say(way === 'put-away' ? `${name} is put away, with its history and weavings. It stands at the end of this page.` : `${name} is back among your pieces.`);
    // To what stands in its place now, or what is before it.
    const alike = [...list.querySelectorAll(`[data-way="${way}"]`)];
    const next = alike[Math.min(index, alike.length - 1)] ?? list.querySelector(way === 'put-away' ? '.away summary' : '#yours');
    if (next instanceof HTMLElement) next.focus();
  });

  /**
   * @param {Piece} piece
   * @param {'put-away' | 'bring-back'} way
   * @param {number} index
   */
  const mover = (piece, way, index) => h('button', { class: 'plain changes', 'data-way': way, 'data-key': `${way} ${piece.id}`, onclick: () => void move(piece, way, index) },
    way === 'put-away' ? 'Put away' : 'Bring back', h('span', { class: 'unseen' }, ` ${piece.name ?? 'this plan'}`));

  /** @typedef {{pieces: Piece[], put_away: Piece[], examples: Example[], starts: Start[], no_backup: {message: string, help: string} | null}} All */
  const look = async () => show(/** @type {All} */ (await get(at`/api/pieces?units=${setting('units')}`)));

  const show = (/** @type {All} */ all) => keepFocus(list, () => showAll(all));

  /** @param {All} all */
  const showAll = ({ pieces, put_away: away, examples, starts, no_backup: noBackup }) => {
    const first = pieces.length === 0;
    fill(list,
      first ? h('p', { class: 'what-it-is' }, 'Fellmark plans what you weave on a small notched frame loom, shows how it will look and what yarn it takes, and says each row while you weave it.') : null,
      first ? null : h('section', { 'aria-labelledby': 'yours' },
        h('h2', { id: 'yours', tabindex: '-1' }, 'Your pieces'),
        h('ul', { class: 'book' }, pieces.map((piece, k) => h('li', {}, ...leaf(piece, mover(piece, 'put-away', k)))))),
      h('section', { class: 'changes', 'aria-labelledby': 'examples' },
        h('h2', { id: 'examples' }, first ? 'Begin with an example' : 'Examples'),
        h('ul', { class: 'book' }, examples.map((example) => h('li', {},
          h('button', { class: 'leaf', 'data-example': example.name, onclick: () => void begin({ example: example.name }) },
            swatch(at`/api/examples/${example.name}/swatch?`),
            h('span', { class: 'name' }, example.title)),
          h('div', { class: 'about' }, h('p', { class: 'quiet' }, example.asked), example.to_mend > 0 ? h('p', { class: 'mend' }, 'It has flaws, and is there to be mended.') : null))))),
      h('section', { class: 'changes', 'aria-labelledby': 'new' },
        h('h2', { id: 'new' }, 'A new piece'),
        h('ul', { class: 'book small' }, starts.map(({ name, words }) => h('li', {},
          h('button', { class: 'leaf', 'data-start': name, onclick: () => void begin({ start: name }) },
            swatch(at`/api/starts/${name}/swatch?`),
            h('span', { class: 'name' }, begun(words)))))),
        h('ul', { class: 'starts' },
          h('li', {}, fromFile('A plan from a file', '.toml,text/plain', async (file) => begin({ text: await file.text() }))))),
      h('section', { 'aria-labelledby': 'keep' },
        h('h2', { id: 'keep' }, 'To keep, or for another computer'),
        noBackup ? h('p', { class: 'mend' }, noBackup.message, ' ', noBackup.help) : null,
        h('ul', { class: 'starts' },
          first && away.length === 0 ? null : h('li', {}, h('a', { class: 'plain', href: '/api/archive', download: '' }, 'All pieces in one file')),
          h('li', { class: 'changes' }, fromFile('Pieces from such a file', '.zip', bringIn)))),
      away.length === 0 ? null : h('section', { 'aria-label': 'Put away' },
        h('details', { class: 'away', open: looking, ontoggle: (/** @type {Event} */ event) => {
          looking = /** @type {HTMLDetailsElement} */ (event.target).open;
        } },
        h('summary', { 'data-key': 'away' }, `Put away (${away.length})`),
        h('ul', {}, away.map((piece, k) => h('li', {},
          h('a', { class: 'plain', href: at`#/piece/${piece.id}` }, piece.name ?? 'A plan that can’t be read'),
          h('span', { class: 'quiet' }, [when(piece.updated), ...piece.weavings.filter(({ done }) => done > 0).map(({ words }) => words)].join(', ')),
          mover(piece, 'bring-back', k)))))),
      h('p', { class: 'quiet only-follows' }, FOLLOWS));
  };

  fill(root,
    h('header', { class: 'top' },
      h('h1', { class: 'mark' }, 'Fellmark'),
      phoneLink(),
      h('button', { class: 'plain', onclick: () => openSettings() }, 'Settings')),
    trouble, told, list);
  await look();
  const stop = onNotice((notice) => {
    if (notice.piece !== undefined || notice.weaving !== undefined || notice.all) look().catch(() => {});
  });
  // The pictures lie on the ground of the page, by day and in the evening.
  const unset = onSettings(() => void look().catch(() => {}));
  return () => {
    stop();
    unset();
  };
}

/** @param {Under} weaving */
const link = (weaving) => h('p', {}, h('a', { class: weaving.done > 0 ? 'plain' : 'plain only-follows', href: at`#/weave/${weaving.id}` }, weaving.words),
  weaving.done > 0 ? h('span', { class: 'quiet' }, ` begun ${when(weaving.started)}`) : null);

/**
 * The weavings of a piece: the one that was woven on last, and the others folded. One with no row done is nothing yet, but
 * for who follows.
 * @param {Under[]} weavings
 */
function links(weavings) {
  const [last, ...others] = [...weavings.filter(({ done }) => done > 0), ...weavings.filter(({ done }) => done === 0)];
  const more = others.filter(({ done }) => done > 0).length;
  return [
    last && link(last),
    more > 0 ? h('details', { class: 'others' }, h('summary', {}, more === 1 ? 'One more weaving' : `${more} more weavings`), others.map(link)) : null,
  ];
}

/**
 * A piece in the book.
 * @param {Piece} piece
 * @param {HTMLElement} away what puts it away
 */
function leaf(piece, away) {
  const url = at`/api/pieces/${piece.id}/swatch?rev=${piece.head}&`;
  return [
    h('a', { class: 'leaf', href: at`#/piece/${piece.id}` }, swatch(url), h('span', { class: 'name' }, piece.name ?? 'A plan that can’t be read')),
    h('div', { class: 'about' },
      h('p', { class: 'quiet' }, when(piece.updated)),
      piece.to_mend ? h('p', { class: 'mend' }, piece.to_mend) : null,
      ...links(piece.weavings),
      h('p', { class: 'changes' }, away)),
  ];
}

/**
 * When something was last touched, as people say it.
 * @param {number} moment milliseconds since 1970
 */
export function when(moment) {
  const then = new Date(moment);
  const day = (/** @type {Date} */ date) => new Date(date.getFullYear(), date.getMonth(), date.getDate()).getTime();
  const days = Math.round((day(new Date()) - day(then)) / 86_400_000);
  const time = then.toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
  if (days === 0) return `today at ${time}`;
  if (days === 1) return `yesterday at ${time}`;
  return then.toLocaleDateString('en-GB', { day: 'numeric', month: 'long', year: 'numeric' });
}
