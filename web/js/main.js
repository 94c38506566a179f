// The page's beginning: lets the browser in, and shows the view that the address names.
import { Trouble, post } from './api.js';
import { fill, h } from './dom.js';
import { follow, line, onLine, whenSentAway } from './events.js';
import { wake } from './settings.js';
import { isHere, meet } from './who.js';
import { showPieces } from './pieces.js';

/** @typedef {() => void} Leave what a view does when it goes */

// What the first view doesn't need is loaded when it is come to. (Weaving along is one view: it needs the line no more
// once it is there.)
const showPiece = async (/** @type {HTMLElement} */ root, /** @type {string} */ id) => (await import('./piece.js')).showPiece(root, id);
const showAlong = async (/** @type {HTMLElement} */ root, /** @type {string} */ id) => (await import('./along.js')).showAlong(root, id);
const showPhone = async (/** @type {HTMLElement} */ root, /** @type {string} */ weaving) => (await import('./phone.js')).showPhone(root, weaving);
const showLetIn = async (/** @type {HTMLElement} */ root, /** @type {string} */ code, /** @type {Trouble | undefined} */ why = undefined) => (await import('./let-in.js')).showLetIn(root, code, why);

/** @type {[RegExp, (root: HTMLElement, id: string) => Promise<Leave>][]} */
const VIEWS = [
  // What a piece needs comes when the first is opened.
  [/^#\/piece\/([^/]+)$/, async (view, id) => (await import('./piece.js')).showPiece(view, id)],
  [/^#\/weave\/([^/]+)$/, showAlong],
  [/^#\/phone(?:\/([^/]+))?$/, showPhone],
  [/^#\/let-in(?:\/([^/]*))?$/, showLetIn],
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
    if (view !== showLetIn) await meet();
    const going = await view(root, id);
    if (mine !== turn) return going();
    leave = going;
    if (view !== showLetIn) follow();
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
    if (!found) continue;
    try {
      return [view, decodeURIComponent(found[1] ?? '')];
    } catch {
      // It was cut off or mistyped, and names nothing.
      break;
    }
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
  // Where a code helps it can be typed; if that page does not come any more, the words stand.
  if (known.body?.pair) showLetIn(root, '', known).catch(() => {});
}

/** What is said of the line to the computer, on a device that is not that computer. */
function news() {
  const words = {
    open: '',
    lost: 'No answer from the computer. Is this device still on its network?',
    shut: 'Closed on the computer. This comes back when it is opened there again.',
  };
  fill(/** @type {HTMLElement} */ (document.getElementById('news')), isHere() ? '' : words[line()]);
}

wake();
onLine(news);
whenSentAway((error) => {
  turn += 1;
  leave();
  leave = () => {};
  trouble(error);
});
window.addEventListener('hashchange', () => void show());
void show();
