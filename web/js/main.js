// The page's beginning: lets the browser in, and shows the view that the address names.
import { Trouble, post } from './api.js';
import { fill, h } from './dom.js';
import { follow } from './events.js';
import { wake } from './settings.js';
import { showPieces } from './pieces.js';
import { showAlong } from './along.js';

/** @typedef {() => void} Leave what a view does when it goes */

/** @type {[RegExp, (root: HTMLElement, id: string) => Promise<Leave>][]} */
const VIEWS = [
  // What a piece needs comes when the first is opened.
  [/^#\/piece\/([^/]+)$/, async (view, id) => (await import('./piece.js')).showPiece(view, id)],
  [/^#\/weave\/([^/]+)$/, showAlong],
  [/^(?:#\/?)?$/, showPieces],
];

const root = /** @type {HTMLElement} */ (document.getElementById('view'));
/** @type {Leave} */
let leave = () => {};
let turn = 0;

/** @returns {Promise<void>} */
async function show() {
  const mine = ++turn;
  const hash = location.hash;
  if (hash.length > 1 && !hash.startsWith('#/')) return enter(hash.slice(1));
  const [view, id] = viewOf(hash);
  leave();
  leave = () => {};
  root.removeAttribute('data-ready');
  try {
    const going = await view(root, id);
    if (mine !== turn) return going();
    leave = going;
    follow();
    root.dataset.ready = hash;
    window.scrollTo(0, 0);
  } catch (error) {
    if (mine === turn) trouble(error);
  }
}

/**
 * @param {string} hash
 * @returns {[(root: HTMLElement, id: string) => Promise<Leave>, string]}
 */
function viewOf(hash) {
  for (const [pattern, view] of VIEWS) {
    const found = pattern.exec(hash);
    if (found) return [view, decodeURIComponent(found[1] ?? '')];
  }
  return [showPieces, ''];
}

/**
 * The token stands after the #, so that it is sent to nobody by accident; it is traded for a session once. What to
 * show first may follow it.
 * @param {string} hash
 * @returns {Promise<void>}
 */
async function enter(hash) {
  const [token, ...way] = hash.split('/');
  try {
    await post('/api/enter', { token });
  } catch (error) {
    return trouble(error);
  }
  history.replaceState(null, '', `#/${way.join('/')}`);
  return show();
}

/** @param {unknown} error */
function trouble(error) {
  const known = error instanceof Trouble ? error : new Trouble(0, { message: 'Something went wrong on this page.', help: 'Load it again; what was saved is safe.' });
  if (!(error instanceof Trouble)) console.error(error);
  document.title = 'Fellmark';
  fill(root, h('main', { class: 'trouble', id: 'main' },
    h('h1', {}, known.message),
    h('p', {}, known.help),
    known.status === 401 ? null : h('p', {}, h('button', { class: 'plain', onclick: () => void show() }, 'Try again'), ' ',
      h('a', { class: 'plain', href: '#/' }, 'All pieces'))));
  root.dataset.ready = location.hash;
}

wake();
window.addEventListener('hashchange', () => void show());
void show();
