// One piece: in two sentences, on its loom, with what there is to mend, its yarns and its text.
import { Trouble, at, get, post } from './api.js';
import { bandPanel, lineAt, standsIn } from './band.js';
import { Basket } from './basket.js';
import { beside } from './beside.js';
import { changes } from './change.js';
import { begun, fill, h, keepFocus, say } from './dom.js';
import { onNotice } from './events.js';
import { Findings } from './findings.js';
import { Hands } from './hands.js';
import { Loom } from './loom.js';
import { OnPaper } from './on-paper.js';
import { planText } from './plan-text.js';
import { choice, choose, onSettings, openSettings, setting } from './settings.js';
import { when } from './pieces.js';
import { forget } from './panel.js';
import { phoneLink } from './phone-link.js';
import { Sentences } from './sentences.js';
import { MODES } from './touch.js';
import { FOLLOWS, mayEdit, onMe } from './who.js';
import { windingPicture } from './winding.js';

/**
 * @typedef {{kind: string, severity: 'error' | 'warning' | 'note', weight: string, words: string,
 *   place: {rows: [number, number] | null, ends: [number, number] | null, edge: 'left' | 'right' | null, band: string | null}}} Finding
 * @typedef {{plan: {name: string, ends: number, rows: number}, asked: string, follows: string, resolved: string[], to_mend: number, findings: Finding[], caution: string | null} & import('./sentences.js').Said} Check
 * @typedef {{id: string, head: string, text: string, check?: Check, problem?: import('./plan-text.js').Problem, yarns?: {name: string, colour: string, need: any}[],
 *   places?: import('./loom.js').Place[], winding?: string[], lies?: import('./cloth.js').Lies, parts?: import('./change.js').Parts, said?: string, can_undo: boolean, can_redo: boolean, put_away: boolean,
 *   moved?: {sequence: string | null, at: number[]}, weavings: import('./pieces.js').Under[]}} Shown
 */

/** @typedef {import('./panel.js').Follow} Follow */

/** As in style/piece.css. */
const NARROW = window.matchMedia('(max-width: 759px)');
const FINGER = 44; // pixels

/**
 * @param {HTMLElement} root
 * @param {string} id
 */
export async function showPiece(root, id) {
  /** @type {Shown} */
  let piece;
  /** @type {import('./change.js').Choices} */
  let choices;
  [piece, choices] = await Promise.all([get(at`/api/pieces/${id}?units=${setting('units')}`), get('/api/choices')]);
  let back = false;
  let size = 'whole';
  let busy = false;

  let touch = 'looks';
  const loom = new Loom((edit) => change('edit', { edit }, '', false));
  /** Which place's panel is open. */
  let picked = -1;
  /** @type {{of: string, found: import('./change.js').Fit | Promise<import('./change.js').Fit>} | null} what fits, of which revision */
  let fitted = null;
  /** Changes that panels ask for, one after the other. */
  let making = Promise.resolve(true);
  const colours = () => new Map((piece.yarns ?? []).map(({ name, colour }) => [name, colour]));
  /** @type {import('./panel.js').Ways} */
  const ways = {
    make: (edit, follow = 'place') => {
      const made = making.then(() => make(edit, follow));
      making = made.catch(() => true);
      return made;
    },
    preview: (edit) => post(at`/api/pieces/${id}/preview?units=${setting('units')}`, { base: piece.head, edit }),
    fit: () => {
      const of = at`rev=${piece.head}&units=${setting('units')}`;
      if (fitted?.of !== of) {
        const found = get(at`/api/pieces/${id}/fit?` + of).then((fit) => {
          if (fitted?.of === of) fitted.found = fit;
          return fit;
        });
        fitted = { of, found };
      }
      return fitted.found;
    },
  };
  const now = () => ({ parts: mayEdit() ? piece.parts : undefined, choices, colours: colours() });
  const sentences = new Sentences(changes(ways, now));
  const entry = (/** @type {number} */ index) => standsIn(piece.parts?.stack ?? [], index + 1).at(-1);
  const hands = new Hands({
    ways, entry, parts: () => piece.parts, picked: () => picked, most: () => choices.most_rows,
    rows: (index) => piece.places?.[index]?.rows,
    gaps: ({ sequence, at: line }) => get(at`/api/pieces/${id}/gaps?rev=${piece.head}&at=${line.join(',')}` + (sequence === null ? '' : at`&sequence=${sequence}`)).then(({ gaps }) => gaps, () => []),
    told: (preview) => foresee(preview),
    trouble: (trouble) => fill(told, trouble.message, ' ', trouble.help),
    follow: (edit) => loom.follow(piece.head, edit),
    letGo: (changes) => loom.letGo(changes),
  });
  loom.element.append(hands.element);
  const panel = h('section', { class: 'band-panel', 'aria-labelledby': 'band-title', 'data-home': 'band title\nundo', hidden: true });
  panel.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape' || event.defaultPrevented) return;
    event.preventDefault();
    /** @type {HTMLElement | null} */ (panel.querySelector('[data-key="band close"]'))?.click();
  });
  const head = h('div', { class: 'said' });
  // What goes on from here is first; on a phone it stands beside the name, and the rest after the cloth.
  const goesOn = h('div', {});
  const otherWays = h('div', {});
  const weave = h('div', { class: 'weave-it' }, goesOn, otherWays);
  const atName = h('div', { class: 'weave-it' });
  const told = h('p', { class: 'told', role: 'status' });
  const history = h('div', { class: 'history changes' });
  const findings = new Findings({
    id, now: () => piece, ways, light: (rows) => loom.light(rows), take: ({ edit, words }) => change('edit', { edit }, `Done: ${words}.`),
    trouble: (trouble) => fill(told, trouble.message, ' ', trouble.help),
  });
  const basket = new Basket(ways, now);
  const band = h('p', { class: 'band-said', role: 'status' });
  // Where bands lie too close to be named, each is come to by its name here, or by the row that is looked at.
  const names = h('ul', {});
  const bands = h('nav', { class: 'all-bands', 'aria-label': 'Its bands', hidden: true }, h('span', { 'aria-hidden': 'true' }, 'Its bands'), names);
  const paper = new OnPaper();
  const opens = h('p', { class: 'opens' });
  const views = h('div', { class: 'views' });
  const wound = h('ol', {});
  const windingDrawn = h('div', {});
  const winding = h('details', { class: 'fold winding', ontoggle: () => showWinding() }, h('summary', {}, 'How to wind the warp'), windingDrawn, wound);
  const files = h('div', { class: 'files' });
  const editor = planText({ id, text: piece.text, save: async (text) => {
    take(await post(at`/api/pieces/${id}/text?units=${setting('units')}`, { base: piece.head, text }));
    told.replaceChildren('The text is saved.');
  }, found: () => tellKept() });
  const text = h('details', { class: 'text' }, h('summary', {}, 'The plan’s text'), editor.element);

  /**
   * @param {Shown} next
   * @param {Follow} [follow] whether the open panel stays with its band, with its line, which has been moved, or with its
   *   place in the stack, or goes to a band that has come in
   */
  function take(next, follow = 'place') {
    if (follow !== 'index') picked = nearest(places(next, follow));
    piece = next;
    editor.take(next.text);
    show();
  }

  /**
   * Where the picked band stands now: wherever its line stands that has been moved, or its name.
   * @param {Shown} next
   * @param {Follow} follow
   */
  function places(next, follow) {
    const line = follow === 'line' && next.moved ? lineAt(next.parts?.stack ?? [], next.moved) : null;
    if (line) return line.places.map((number) => number - 1);
    const known = new Set(piece.places?.map(({ name }) => name));
    if (follow === 'new') {
      return (next.places ?? []).flatMap((place, index) => (known.has(place.name) ? [] : [index]));
    }
    const name = piece.places?.[picked]?.name;
    const named = (next.places ?? []).flatMap((place, index) => (place.name === name ? [index] : []));
    if (named.length > 0 || next.places?.length !== piece.places?.length) return named;
    // It may be called otherwise now.
    const here = next.places?.[picked];
    return here && !known.has(here.name) ? [picked] : [];
  }

  /** @param {number[]} all of which the one that is nearest to the picked place is meant; -1 if there is none */
  function nearest(all) {
    return all.reduce((best, index) => (best < 0 || Math.abs(index - picked) < Math.abs(best - picked) ? index : best), -1);
  }

  /**
   * Makes a change and says what was done; the focus stays where it is.
   * @param {object} edit
   * @param {Follow} follow
   */
  async function make(edit, follow) {
    busy = true;
    try {
      const next = await post(at`/api/pieces/${id}/edit?units=${setting('units')}`, { base: piece.head, edit });
      take(next, follow);
      if (follow === 'new') meet(picked);
      fill(told, next.said ? `${begun(next.said)}.` : '');
      return true;
    } catch (error) {
      if (!(error instanceof Trouble) || error.status !== 409 || error.body?.text === undefined) throw error;
      take(error.body);
      fill(told, error.message, ' ', error.help);
      return false;
    } finally {
      busy = false;
    }
  }

  /**
   * Asks for a change, one at a time, and says what came of it.
   * @param {string} way
   * @param {object} body
   * @param {string} words where the server says none
   * @param {boolean} [move] whether the focus goes to what there is to find
   */
  async function change(way, body, words, move = true) {
    // An undo that is asked for while another change is under way waits its turn; a second press of an edit is one too
    // many.
    if (busy && way === 'edit') return;
    const made = making.then(() => changeNow(way, body, words, move));
    making = made.then(() => true, () => true);
    await made;
  }

  /**
   * @param {string} way
   * @param {object} body
   * @param {string} words
   * @param {boolean} move
   */
  async function changeNow(way, body, words, move) {
    busy = true;
    const held = document.activeElement !== document.body;
    try {
      const next = await post(at`/api/pieces/${id}/` + `${way}?units=${setting('units')}`, { base: piece.head, ...body });
      take(next);
      fill(told, next.said ? `${begun(next.said)}.` : words);
      // What had the focus may not be pressed any more: it is not lost for that.
      if (move || (held && document.activeElement === document.body)) /** @type {HTMLElement | null} */ (findings.element.querySelector('h2'))?.focus({ preventScroll: !move });
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      if (error.status === 409 && error.body?.text !== undefined) {
        take(error.body);
        fill(told, 'The piece was changed elsewhere meanwhile. This is how it is now; look again and choose.');
      } else {
        fill(told, error.message, ' ', error.help);
      }
    } finally {
      busy = false;
    }
  }

  /**
   * Undo and redo by key, but for who is writing: a field takes back its own letters.
   * @param {KeyboardEvent} event
   */
  function shortcut(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== 'z' || !mayEdit()) return;
    if (event.target instanceof Element && event.target.closest('dialog, textarea, input:not([type=radio], [type=checkbox], [type=color])')) return;
    event.preventDefault();
    // Each press waits for what is under way, and finds out then whether there is anything left.
    void change(event.shiftKey ? 'redo' : 'undo', {}, event.shiftKey ? 'Done again.' : 'Taken back.', false);
  }

  /** @param {boolean} mirrored whether left and right change places */
  async function weaveIt(mirrored) {
    try {
      const { id: weaving } = await post(at`/api/pieces/${id}/weavings`, { mirrored });
      sessionStorage.setItem(`fellmark.going.${weaving}`, '1');
      location.hash = at`#/weave/${weaving}`;
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      fill(told, error.message, ' ', error.help);
    }
  }

  /** Puts the piece away from the list, or brings it back. */
  async function move() {
    const away = !piece.put_away;
    const way = away ? 'put-away' : 'bring-back';
    try {
      await post(at`/api/pieces/${id}/` + way, {});
      piece.put_away = away;
      show();
      fill(told, away ? 'It is put away, with its history and weavings. It stands at the end of the page of all pieces.' : 'It is back among your pieces.');
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      fill(told, error.message, ' ', error.help);
    }
  }

  const isGrave = (/** @type {Check | undefined} */ check) => check ? check.to_mend > 0 : true;

  function show() {
    keepFocus(root, showAll);
  }

  function showWeavings() {
    const { check } = piece;
    // The one that was woven on last is the one on the loom. One with no row done is nothing yet, but for who follows.
    const unfinished = piece.weavings.filter(({ next_row: next }) => next !== null);
    const going = unfinished.filter(({ done }) => done > 0 || !mayEdit());
    const [now, ...others] = going;
    const another = (/** @type {boolean} */ mirrored, /** @type {string} */ words) => h('button', {
      class: now || mirrored ? 'plain changes' : 'needle changes', 'data-key': mirrored ? 'weave it mirrored' : 'weave it', onclick: () => void weaveIt(mirrored),
    }, words);
    fill(goesOn,
      now ? h('p', { class: 'on-loom' },
        h('a', { class: 'needle', 'data-key': `weaving ${now.id}`, href: at`#/weave/${now.id}` }, h('span', { class: 'changes' }, 'Go on with row '), h('span', { class: 'only-follows' }, 'Follow row '), String(now.next_row), h('small', {}, ` of ${now.rows}${now.mirrored ? ', mirrored' : ''}`)),
        h('small', { class: 'quiet' }, `begun ${when(now.started)}`)) : check && another(false, 'Weave it'));
    fill(otherWays,
      now && check ? another(false, 'Weave another') : null,
      check ? another(true, now ? 'Weave another mirrored' : 'Weave it mirrored') : null,
      others.length > 0 ? h('details', { class: 'others', open: otherWays.querySelector('details')?.open ?? false }, h('summary', { 'data-key': 'other weavings' }, others.length === 1 ? 'One more on its way' : `${others.length} more on their way`),
        h('ul', {}, others.map((one) => h('li', {}, h('a', { class: 'plain', 'data-key': `weaving ${one.id}`, href: at`#/weave/${one.id}` }, begun(one.words)), h('small', { class: 'quiet' }, `begun ${when(one.started)}`))))) : null);
  }

  function showAll() {
    const { check, problem, places = [], yarns = [] } = piece;
    document.title = `${check?.plan.name ?? 'A piece'} – Fellmark`;
    if (check) sentences.show(check, isGrave(check));
    main.classList.remove('foreseen');
    fill(head,
      h('div', { class: 'titled' }, h('h1', {}, check?.plan.name ?? 'This plan can’t be read'), NARROW.matches ? atName : null),
      check ? sentences.element : [h('p', { class: 'asked mend' }, problem?.message ?? ''), h('p', { class: 'follows' }, problem?.help ?? '')],
      check && check.resolved.length > 0 ? h('p', { class: 'resolved' }, check.resolved.join(' ')) : null);
    showWeavings();
    showWinding();
    fill(history,
      h('button', { class: 'plain', 'data-key': 'undo', 'aria-keyshortcuts': 'Control+Z Meta+Z', disabled: !piece.can_undo, onclick: () => void change('undo', {}, 'Taken back.') }, 'Undo'),
      h('button', { class: 'plain', 'data-key': 'redo', 'aria-keyshortcuts': 'Control+Shift+Z Meta+Shift+Z', disabled: !piece.can_redo, onclick: () => void change('redo', {}, 'Done again.') }, 'Redo'));
    findings.show(check?.findings ?? null, check?.caution ?? null);
    basket.show(yarns);
    fill(views,
      choice('Seen from', [['front', 'the front'], ['back', 'the back']], back ? 'back' : 'front', (value) => {
        back = value === 'back';
        show();
      }),
      choice('Measure in', [['cm', 'cm'], ['inch', 'inches']], setting('units'), (value) => choose('units', value)),
      choice('Shown', [['whole', 'whole'], ['closer', 'closer'], ['rows', 'row by row'], ['true', 'in true size']], size, (value) => {
        size = value;
        draw();
      }),
      check && piece.lies && setting('drawn') === 'cloth' && !back && mayEdit() ? choice('A finger on the cloth', MODES, touch, (value) => {
        touch = value;
        draw();
      }) : check && piece.lies && mayEdit() ? h('p', { class: 'quiet no-touch' }, 'A finger changes crossings on the front, drawn as cloth.') : null,
      choice('As', [['cloth', 'cloth'], ['lines', 'lines']], setting('drawn'), (value) => choose('drawn', value)));
    fill(files,
      h('a', { class: 'plain', href: at`/api/pieces/${id}/plan.toml`, download: '' }, 'Save as file'),
      piece.weavings.filter(({ next_row: next }) => next === null).map(({ id: weaving, started, mirrored }) => h('a', { class: 'plain', href: at`#/weave/${weaving}` }, `Woven${mirrored ? ' mirrored' : ''}, begun ${when(started)}`)),
      h('button', { class: 'plain changes', 'data-key': 'move', onclick: () => void move() }, piece.put_away ? 'Bring back to your pieces' : 'Put away'));
    if (problem) {
      text.open = true;
      editor.tell(problem);
    }
    showBand();
    draw();

    function draw() {
      loom.room.hidden = !check;
      const url = at`/api/pieces/${id}/drawing.svg?rev=${piece.head}&units=${setting('units')}&back=${back ? 1 : 0}`;
      const title = `${check?.plan.name}, ${back ? 'from the back' : 'from the front'}. ${check?.asked}`;
      paper.take(check ? { id, rev: piece.head, units: setting('units'), drawing: url, winding: piece.winding ?? [] } : null);
      if (!check) return;
      loom.touch.onNear = size === 'rows' ? null : near;
      const pictured = loom.show({
        id, rev: piece.head, lines: setting('drawn') === 'lines', lies: piece.lies ?? null, ends: check.plan.ends, url, title,
        places, colours: colours(), back, size, touch: mayEdit() ? touch : 'looks', changes: mayEdit(), picked,
        onLaid: (lay) => keepFocus(hands.element, () => hands.lay(lay)),
        pins: check.findings.map((finding, k) => ({ number: k + 1, rows: finding.place.rows, edge: finding.place.edge, grave: finding.severity === 'error', words: finding.words })),
        onBand: pick,
        onNamed: (all) => {
          bands.hidden = all;
        },
        onPin: (pin) => /** @type {HTMLElement | null} */ (findings.element.querySelector(`[data-finding="${pin.number}"]`))?.focus(),
      });
      // First the piece is there to be seen.
      void pictured.then((isLast) => (isLast ? findings.mend() : null));
    }
  }

  const near = (/** @type {number} */ x, /** @type {number} */ y) => {
    loom.hold(x, y);
    size = 'rows';
    show();
  };
  loom.touch.onTold = (row) => {
    const index = (piece.places ?? []).findIndex(({ first_row: first, rows }) => first <= row && row < first + rows);
    const place = piece.places?.[index];
    keepFocus(opens, () => fill(opens, place && mayEdit() ? h('button', { class: 'plain', 'data-key': 'opens', onclick: () => pick(index) }, `Open ${place.name}`, place.of > 1 ? `, ${place.nth} of ${place.of}` : '') : null));
  };

  /** What opened the band's panel, to which the focus goes back. */
  let opener = '';

  /** @param {number} index of a place, or -1 */
  function pick(index) {
    opener = document.activeElement instanceof HTMLElement ? document.activeElement.dataset.key ?? '' : '';
    picked = index;
    keepFocus(bands, showBand);
    loom.pick(picked);
    meet(index);
  }

  /**
   * The panel of a band has opened.
   * @param {number} index of a place, or -1
   */
  function meet(index) {
    if (index < 0) return;
    panel.scrollTop = 0;
    /** @type {HTMLElement | null} */ (panel.querySelector('h2'))?.focus({ preventScroll: NARROW.matches });
    if (NARROW.matches) overSheet(index);
  }

  /**
   * On a phone the panel lies over the page's lower half: what it is about is brought into the upper one.
   * @param {number} index of a place
   */
  function overSheet(index) {
    const span = loom.span(index);
    if (panel.hidden || !span) return;
    const [top, bottom] = span;
    const room = panel.getBoundingClientRect().top;
    // Its upper border is what the hand draws.
    const down = Math.max(FINGER, (room - (bottom - top)) / 2);
    window.scrollBy(0, loom.element.getBoundingClientRect().top + top - down);
  }

  /** On a phone the cloth comes first after what is said of it. */
  function arrange() {
    if (NARROW.matches) {
      atName.append(goesOn);
      head.querySelector('.titled')?.append(atName);
      band.after(weave);
      findings.element.after(basket.element);
    } else {
      weave.prepend(goesOn);
      atName.remove();
      head.after(weave, basket.element);
    }
  }

  /**
   * While a hand is on the loom the page tells of the piece as it would be: what can't is dim (`.foreseen`).
   * @param {import('./hands.js').Told | null} preview
   */
  function foresee(preview) {
    const { check, yarns = [], places = [] } = preview ?? piece;
    if (check) sentences.show(check, isGrave(check));
    main.classList.toggle('foreseen', preview !== null);
    loom.foresee(preview);
    findings.show(check?.findings ?? null, check?.caution ?? null);
    basket.show(yarns);
    sayBand(places);
  }

  /** How the warp is wound: its picture isn't asked for while the fold is shut. */
  function showWinding() {
    const lines = piece.winding ?? [];
    winding.hidden = lines.length === 0;
    fill(wound, lines.map((line) => h('li', {}, line)));
    if (!winding.open || windingDrawn.dataset.of === piece.head) return;
    windingDrawn.dataset.of = piece.head;
    fill(windingDrawn, windingPicture(at`/api/pieces/${id}/winding.svg?rev=${piece.head}&units=${setting('units')}`));
  }

  /** @param {import('./loom.js').Place[]} places */
  function sayBand(places) {
    const place = places[picked];
    fill(band, place ? [h('b', {}, begun(place.name)), place.of > 1 ? `, ${place.nth} of ${place.of}` : '', `: rows ${place.first_row} to ${place.first_row + place.rows - 1}, ${place.wefts.join(' and ')}`, place.edge_habit ? `; ${place.edge_habit}` : '', '.'] : '');
  }

  function tellKept() {
    text.open = true;
    fill(told, 'What you wrote into the plan’s text is kept, and not saved yet: it stands at the end of this page.');
  }

  /** The picked band, in words and in its panel. */
  function showBand() {
    const places = piece.places ?? [];
    const place = places[picked];
    sayBand(places);
    nameBands(places);
    const twins = places.flatMap(({ name }, index) => (name === place?.name ? [index] : []));
    const to = (/** @type {number | undefined} */ index) => (index === undefined ? null : () => {
      picked = index;
      keepFocus(panel, showBand);
      loom.pick(picked);
    });
    const open = place && piece.parts && mayEdit() ? bandPanel({
      ways, place, index: picked, parts: piece.parts, choices,
      below: to(twins.findLast((index) => index < picked)), above: to(twins.find((index) => index > picked)),
      close: () => {
        const keys = [opener, `name ${picked}`];
        pick(-1);
        for (const key of keys) {
          const name = /** @type {HTMLElement | null} */ (key && main.querySelector(`[data-key="${CSS.escape(key)}"]`));
          name?.focus();
          if (name && document.activeElement === name) return;
        }
      },
    }) : null;
    fill(panel, open ?? []);
    panel.hidden = !open;
    if (!place) picked = -1;
  }

  /** @param {import('./loom.js').Place[]} places */
  function nameBands(places) {
    const lowest = places.flatMap((place, index) => (places.findIndex(({ name }) => name === place.name) === index ? [{ place, index }] : []));
    fill(names, lowest.map(({ place: { name, of }, index }) => h('li', {},
      h('button', { class: 'plain', 'data-key': `open ${name}`, 'aria-pressed': String(places[picked]?.name === name), onclick: () => pick(places[picked]?.name === name ? -1 : index) },
        name, of > 1 ? h('small', { class: 'quiet' }, `\u00a0${of} times`) : null))));
  }

  const done = h('div', { class: 'done' }, told, history);
  const main = h('main', { id: 'main', class: 'piece' });
  const aside = beside([sentences.opened, basket.opened], [head, basket.element, weave, done]);
  fill(root,
    h('header', { class: 'top' },
      h('a', { class: 'mark', href: '#/' }, 'Fellmark'),
      h('a', { class: 'plain', href: '#/' }, 'All pieces'),
      phoneLink(),
      h('button', { class: 'plain', onclick: () => openSettings() }, 'Settings')),
    main);
  fill(main, head, weave, basket.element,
    h('div', { class: 'bench' },
      h('section', { class: 'middle', 'aria-label': 'The piece on its loom' }, loom.room, bands, loom.touch.keys, loom.touch.line, opens, band, views),
      h('div', { class: 'beside' }, done, aside.slots, h('p', { class: 'quiet only-follows' }, FOLLOWS), panel, findings.element, winding, files)),
    text, paper.element);
  arrange();
  NARROW.addEventListener('change', arrange);
  show();
  void findings.mend();
  if (editor.isChanged() && mayEdit()) tellKept();

  const stop = onNotice(async (notice) => {
    if (!notice.all && notice.piece !== id) return;
    if (notice.put_away !== undefined && notice.put_away !== piece.put_away) {
      piece.put_away = notice.put_away;
      show();
      say(piece.put_away ? 'The piece was put away.' : 'The piece is back among your pieces.');
    }
    // Rows that are done elsewhere are done here too.
    if (busy || (notice.weaving === undefined && notice.rev === piece.head)) return;
    const next = await get(at`/api/pieces/${id}?units=${setting('units')}`).catch(() => null);
    if (!next || busy) return;
    if (next.head !== piece.head) {
      take(next);
      say('The piece was changed elsewhere.');
    } else {
      piece.weavings = next.weavings;
      keepFocus(main, showWeavings);
    }
  });
  let units = setting('units');
  const unset = onSettings(async () => {
    if (units === setting('units')) return show();
    units = setting('units');
    take(await get(at`/api/pieces/${id}?units=${units}`));
  });
  // Who may change a piece has panels, and who may not has none.
  const unmet = onMe(() => {
    editor.meet();
    show();
  });
  document.addEventListener('keydown', shortcut);
  return () => {
    document.removeEventListener('keydown', shortcut);
    NARROW.removeEventListener('change', arrange);
    stop();
    unset();
    unmet();
    hands.leave();
    loom.leave();
    paper.leave();
    forget();
    editor.leave();
    aside.leave();
  };
}
