// Weave along: one step at a time, as large as the screen allows. Rows, sides and words are the server's; this file
// keeps the place among them.
import { Trouble, at, get, post } from './api.js';
import { stayAwake } from './awake.js';
import { changedBelow } from './changed.js';
import { GREY, begun, fill, h } from './dom.js';
import { line, onLine, onNotice } from './events.js';
import { drawEdges } from './edge-picture.js';
import { Fell } from './fell.js';
import { fitted } from './fitted.js';
import { placeOf } from './place.js';
import { onSettings, openSettings, setting } from './settings.js';
import { BELONGS, banner, pictured, takeOut, waiting } from './step-pictures.js';
import { drawStrip, strip } from './strip.js';
import { Ticks } from './ticks.js';
import { phoneLink } from './phone-link.js';
import { FOLLOWS, isHere, mayEdit, onMe } from './who.js';
import { canListen, canRead, hush, listen, readAloud } from './voice.js';
import { windingPicture } from './winding.js';

/**
 * @typedef {{pass: string, ends: number}} Run
 * @typedef {{do: string, words: string, routine: boolean, weft?: string, other?: string, pass?: string, side?: 'left' | 'right',
 *   other_words?: string, other_goes?: 'waits' | 'turns' | 'ends', end?: number, lies?: string, other_lies?: string, since_row?: number, other_row?: number, tail_words?: string, apart_words?: string | null,
 *   if_narrower?: string, if_wider?: string, if_lower?: string, if_higher?: string, if_less?: string, if_more?: string,
 *   choices?: {rows: number, now: boolean, edit: object, words: string}[], yarn?: string | null, colour?: string | null, letters?: 'ink' | 'paper' | null, more?: string[]}} Step
 * @typedef {{number: number, band: string, weft: string, yarn: string, from: 'left' | 'right', ends: [number, number], comes: string, runs: Run[],
 *   phrases: {runs: Run[], times: number, times_words: string | null}[], words: string, unpick: string, before: Step[], after: Step[], crossings: string}} Row
 * @typedef {{id: string, piece: string, rev: string, name: string, mirrored: boolean, winding: Step[], rows: Row[], wefts: {name: string, yarn: string, colour: string, letters: 'ink' | 'paper'}[],
 *   bands: {name: string, first_row: number, rows: number, edge_habit: string | null}[], off_the_loom: string[], done: number[], left: string | null, next_row: number | null,
 *   needles: {weft: string, side: 'left' | 'right'}[], changed_below: import('./changed.js').Changed | null}} Weaving
 * @typedef {{row: Row, step: Step | null}} Screen a step before or after a row, or the row itself
 */

/** Milliseconds and pixels within which two taps are one: the finger that bounces, or the screen that feels it twice. Nobody
 * taps twice on purpose so soon (from memory: the quickest finger takes a seventh of a second). */
const [BOUNCE, SPOT] = [100, 24];

/**
 * Heeds a press, but for a tap that only bounces.
 * @param {() => void} press
 */
function once(press) {
  let [last, x, y] = [-Infinity, 0, 0];
  return (/** @type {MouseEvent} */ event) => {
    // What a key presses has no place.
    const bounces = event.detail > 0 && event.timeStamp - last < BOUNCE && Math.hypot(event.clientX - x, event.clientY - y) < SPOT;
    if (event.detail > 0) [last, x, y] = [event.timeStamp, event.clientX, event.clientY];
    if (!bounces) press();
  };
}

/**
 * What is done within a row: it belongs on the row's own screen, for it is not done before.
 * @param {Step} one
 */
const isWithin = (one) => one.do === 'join';

/**
 * @param {HTMLElement} root
 * @param {string} id
 */
export async function showAlong(root, id) {
  const path = () => at`/api/weavings/${id}?units=${setting('units')}`;
  /** @type {Weaving} */
  let weaving = await get(path());
  let done = new Set(weaving.done);
  const awake = stayAwake();
  const ticks = new Ticks(id, {
    onPlace: (place) => {
      weaving = { ...weaving, ...place };
      done = new Set(place.done);
      markWaiting();
    },
    onState: () => {
      noticed();
      if (!ticks.cut) void follow();
    },
    onOthers: () => {
      const was = current()?.number;
      markWaiting();
      if (current()?.number !== was) step = start();
      if (!busy) show();
    },
  });
  markWaiting();

  /** Whether the warp is wound: then a weaving that is opened again begins after that. */
  let wound = done.size > 0 || sessionStorage.getItem(`fellmark.wound.${id}`) !== null;
  /** The screen's number among those of its row. */
  let step = start();
  let stopped = false;
  let busy = false;
  /** How many facts were told from here: an answer that was asked for before the last of them is behind it. */
  let facts = 0;
  /** Whether it was seen that all is woven. */
  let ended = false;
  /** Whether rows are being taken out. */
  let unpicking = false;
  /** The row that was just taken back: it may lie there still. */
  let back = 0;
  /** What was just changed of the piece from here, in words. */
  let edited = '';
  /** @type {(() => void) | null} */
  let deaf = null;
  let part = 0;

  /** @param {string} weft */
  const yarnOf = (weft) => weaving.wefts.find(({ name }) => name === weft) ?? GREY;
  const fell = new Fell(id, weaving.rows.map(({ weft }) => yarnOf(weft).colour));
  const count = h('h1', { class: 'count', tabindex: '-1' });
  const band = h('p', { class: 'quiet band' });
  const turned = h('p', { class: 'quiet turned' }, weaving.mirrored ? 'Mirrored' : '');
  const left = h('p', { class: 'quiet left' });
  const kept = h('p', { class: 'kept', role: 'status' });
  const aside = h('div', { class: 'aside', role: 'status' });
  const body = h('div', { class: 'step' });
  const next = h('button', { class: 'needle next', onclick: once(() => void (woven() ? location.assign(at`#/piece/${weaving.piece}`) : forward())) }, 'Done');
  const last = h('button', { class: 'plain', onclick: once(() => void backward()) }, 'Back');
  const read = h('button', { class: 'plain', onclick: () => aloud() }, 'Read aloud');
  const stop = h('button', { class: 'plain', onclick: () => pause() }, 'Stop here');
  const how = h('button', { class: 'plain', onclick: () => settings() }, 'Settings');
  // What a finger or a mouse pressed is not what a pedal presses next.
  const handBack = (/** @type {MouseEvent} */ { detail }) => detail > 0 && next.focus({ preventScroll: true });
  for (const one of [last, read]) one.addEventListener('click', handBack);
  how.addEventListener('click', (event) => document.querySelector('dialog')?.addEventListener('close', () => handBack(event)));
  const live = h('p', { class: 'unseen', role: 'status', 'aria-live': 'assertive', 'aria-atomic': 'true', id: 'row-said' });
  const main = h('main', { class: 'along', id: 'main' },
    h('header', {}, count, band, turned, left, kept, aside), fell.element, body,
    h('footer', {}, next, h('div', { class: 'small-actions' }, last, read, stop,
      h('a', { class: 'plain only-follows', href: at`#/piece/${weaving.piece}` }, 'The piece'), how)), live);
  fill(root, main);

  /** @param {number} row @param {boolean} isDone */
  function mark(row, isDone) {
    if (isDone) done.add(row);
    else done.delete(row);
  }

  /** Rows that this device keeps, in any of its windows, are done or taken back although the server doesn't know it yet. */
  function markWaiting() {
    for (const { row, done: isDone } of ticks.waiting) mark(row, isDone);
  }

  function place() {
    return placeOf(weaving.rows, done);
  }

  /** The row that comes next. */
  function current() {
    return place().next;
  }

  /** Whether nothing is left to do here. */
  const woven = () => current() === null && !unpicking;

  /**
   * What comes before the first row of all.
   * @param {Row | null} row
   */
  function winding(row) {
    return row !== null && row === weaving.rows[0] ? weaving.winding : [];
  }

  /** The first screen of the row that is next. */
  function start() {
    return wound ? winding(current()).length : 0;
  }

  /** The warp is wound, step by step or long ago. */
  function isWound() {
    wound = true;
    sessionStorage.setItem(`fellmark.wound.${id}`, '1');
  }

  function passWinding() {
    isWound();
    step = start();
    show();
    next.focus({ preventScroll: true });
  }

  /** @param {Row} row @returns {Screen[]} */
  function screens(row) {
    const own = (/** @type {Step} */ one) => ({ row, step: one });
    return [...winding(row).map(own), ...row.before.filter((one) => !one.routine && !isWithin(one)).map(own), { row, step: null }, ...row.after.filter(({ routine }) => !routine).map(own)];
  }

  async function forward() {
    if (busy) return;
    if (unpicking) return takenOut();
    if (stopped) return resume();
    const row = current();
    // A pedal that is pressed once too often leaves what comes next to be read.
    if (!row || !mayEdit()) return;
    back = 0;
    edited = '';
    if (step + 1 < screens(row).length) {
      step += 1;
      if (!wound && step >= winding(row).length) isWound();
      return show();
    }
    if (!await fact(row.number, true)) return show();
    step = start();
    show();
  }

  async function backward() {
    if (busy || !mayEdit()) return;
    if (unpicking) {
      unpicking = false;
      return show();
    }
    if (stopped) return resume();
    if (step > 0) {
      step -= 1;
      return show();
    }
    const { before } = place();
    if (!before) return;
    if (!await fact(before.number, false)) return show();
    back = before.number;
    step = screens(before).length - 1;
    show();
  }

  /**
   * @param {number} row
   * @param {boolean} isDone
   * @returns {Promise<boolean>} false where the server refused it for good
   */
  async function fact(row, isDone) {
    busy = true;
    facts += 1;
    next.setAttribute('aria-disabled', 'true');
    try {
      const taken = await ticks.put(row, isDone, weaving.rev);
      if (taken) mark(row, isDone);
      return taken;
    } finally {
      facts += 1;
      busy = false;
      next.removeAttribute('aria-disabled');
      notice();
    }
  }

  function notice() {
    const away = isHere() ? 'open' : line();
    const kinds = [
      ticks.refused && ticks.waiting.length > 0 && `${ticks.refused.message} ${ticks.refused.help} What was ticked is kept on this phone.`,
      away === 'shut' && (mayEdit() ? 'Closed on the computer: rows done are kept on this phone, and sent when it is opened again.' : 'Closed on the computer. This goes on when it is opened again.'),
      ticks.cut && ticks.waiting.length > 0 && 'No answer: kept on this phone.',
      (ticks.cut || away === 'lost') && ticks.waiting.length === 0 && 'No answer from the computer.',
      !mayEdit() && FOLLOWS,
      !awake.can && done.size === 0 && 'This browser can’t keep the screen on: set this device so that it stays on.',
    ];
    const words = kinds.find(Boolean) || '';
    // Said once, not again with every row.
    if (kept.textContent !== words) fill(kept, words);
    const refused = ticks.aside;
    const all = refused.map(({ row, why }) => `${row} ${why}`).join('\n');
    if (aside.dataset.of === all) return;
    aside.dataset.of = all;
    fill(aside, ...refused.map(({ row, why }) => h('p', {}, `Row ${row}: ${why}`)),
      refused.length > 0 && h('button', { class: 'plain', onclick: () => ticks.seen() }, 'I have read it'));
  }

  /** What is told takes its room from the words, which are fitted anew. */
  function noticed() {
    const [before, then] = [kept.textContent, aside.textContent];
    notice();
    if (!busy && (kept.textContent !== before || aside.textContent !== then)) show();
  }

  function pause() {
    hush();
    stopped = true;
    show();
  }

  function resume() {
    stopped = false;
    sessionStorage.setItem(`fellmark.going.${id}`, '1');
    show();
  }

  function unpick() {
    unpicking = true;
    show();
    next.focus({ preventScroll: true });
  }

  /** The row to take out next. */
  const toTakeOut = () => weaving.changed_below?.unpick.find((number) => done.has(number));

  /** The row that was to come out is out. */
  async function takenOut() {
    const number = toTakeOut();
    if (number === undefined) return;
    if (!await fact(number, false)) return show();
    step = start();
    await follow();
  }

  function show() {
    const row = current();
    const rows = weaving.rows.length;
    // Who follows is where the weaver is.
    const rests = stopped && mayEdit();
    fill(read, setting('aloud') === 'part' ? 'Read on' : 'Read aloud');
    const out = unpicking && mayEdit() ? weaving.rows.find(({ number }) => number === toTakeOut()) : undefined;
    unpicking = out !== undefined;
    main.classList.toggle('is-still', rests || !row);
    // All of it is there, until it is seen what has no room.
    main.classList.remove('tight', 'scrolls');
    [body.dataset.gives, body.dataset.strip] = ['0', ''];
    read.hidden = rests || unpicking || !row || !canRead();
    stop.hidden = rests || unpicking || !row || !mayEdit();
    last.hidden = (rests && !unpicking) || !mayEdit() || (done.size === 0 && step === 0);
    next.hidden = !mayEdit() && row !== null;
    document.title = row ? `Row ${row.number} of ${rows} – ${weaving.name}` : `${weaving.name}, woven`;
    fell.to(row ? row.number - 1 : rows, row?.from ?? 'left', weaving.rev);
    // What the server has not been told yet it can't reckon with.
    fill(left, row && ticks.waiting.length === 0 ? weaving.left ?? '' : '');
    notice();
    if (out) {
      fill(count, 'Take out row ', h('b', {}, String(out.number)));
      fill(band, begun(out.band));
      fill(body, h('div', { class: 'fitted' }, h('p', { class: 'do' }, begun(out.unpick))), takeOut(out, yarnOf(out.weft)));
      fill(next, 'It is out');
      fitted(body, [1]);
      tell(`Take out row ${out.number}: ${out.unpick}.`);
    } else if (!row) still(null);
    else if (rests) still(row);
    else if (!mayEdit()) one({ row, step: null });
    else one(screens(row)[Math.min(step, screens(row).length - 1)] ?? { row, step: null });
    // What a pedal presses leads away from here when all is woven: what comes next has the focus, to be read.
    if (woven() && !ended) count.focus({ preventScroll: true });
    ended = woven();
  }

  /**
   * A row's words, run by run.
   * @param {Row} row
   */
  function listed({ phrases }) {
    return h('ol', { class: 'runs' }, phrases.map((phrase) => h('li', { class: phrase.times > 1 ? 'again' : '' },
      h('div', {}, phrase.runs.map((run) => h('p', { class: `run ${run.pass}` }, h('span', {}, run.pass), ' ', h('b', {}, String(run.ends))))),
      phrase.times_words ? h('span', { class: 'times' }, phrase.times_words) : null)));
  }

  /** @param {Screen} screen */
  const whenOf = ({ row, step: only }) => (only && row.after.includes(only) ? 'After row' : only ? 'Before row' : 'Row');

  /** @param {Screen} screen */
  function one({ row, step: only }) {
    const rows = weaving.rows.length;
    const all = screens(row);
    const when = whenOf({ row, step: only });
    fill(count, `${when} `, h('b', {}, String(row.number)), h('span', { class: 'quiet' }, ` of ${rows}`));
    fill(band, begun(only ? BELONGS[only.do] ?? row.band : row.band));
    fill(next, 'Done');
    const changed = edited ? h('p', { class: 'advice' }, edited) : null;
    if (only) {
      fill(body, h('div', { class: 'fitted' }, h('p', { class: 'do' }, begun(only.words))),
        only.do === 'wind' ? windingPicture(at`/api/weavings/${id}/winding.svg?units=${setting('units')}&task=${weaving.winding.indexOf(only)}`, 'edge-picture') : null, pictured(row, only, place().before ?? row, (number) => weaving.rows[number - 1], yarnOf),
        changed, advice(only).map((words) => h('p', { class: 'advice' }, words)), roomFor(only),
        only.do === 'wind' && only !== weaving.winding.at(-1) ? h('p', { class: 'ways' }, h('button', { class: 'plain', onclick: passWinding }, 'The warp is wound')) : null);
      fitted(body, [1]);
      drawEdges(body);
      tell([`${when} ${row.number}: ${only.words}.`, ...advice(only)].join(' '));
      return;
    }
    const habits = row.after.filter(({ routine }) => routine).map(({ words }) => words);
    const within = row.before.filter(isWithin);
    const below = strip(row, yarnOf(row.weft).colour);
    const own = all.findIndex(({ step: one }) => one === null);
    const [first, then] = [all.slice(0, own), all.slice(own + 1)].map((some) => some.map(({ step: one }) => one)
      // What was measured leaves nothing to look back at, and the warp is there to be seen.
      .filter((one) => one?.do !== 'wind' && ((one?.do !== 'measure' && one?.do !== 'room') || !mayEdit())).map((one) => one?.words ?? '').join('; '));
    const { first_row: lowest, rows: many } = weaving.bands.find((one) => row.number >= one.first_row && row.number < one.first_row + one.rows) ?? { first_row: row.number, rows: 1 };
    const before = first ? h('p', { class: 'quiet done-before' }, `${mayEdit() ? 'Done' : 'First'}: ${first}.`) : null;
    fill(body,
      banner(row, yarnOf(row.weft), row.from),
      changed,
      mayEdit() ? null : before,
      h('div', { class: 'fitted' }, listed(row)),
      within.map(({ words }) => h('p', { class: 'within' }, `${begun(words)}.`)),
      back === row.number ? h('p', { class: 'within' }, `If it lies there already, take it out: ${row.weft} ${row.unpick}.`) : null,
      // Where the words begin is the same whatever was done before.
      mayEdit() ? before : null,
      then && !mayEdit() ? h('p', { class: 'quiet then' }, `Then: ${then}.`) : null,
      habits.length > 0 ? h('p', { class: 'quiet habits' }, `${begun(habits.join(', '))}.`) : null,
      below);
    fitted(body, [1, 2, 3], {
      key: `${weaving.rev} ${weaving.mirrored} ${lowest} ${mayEdit()}`,
      draw: () => drawStrip(below, row),
      // Rows whose words take the same room are one.
      lists: () => [...new Map(weaving.rows.slice(lowest - 1, lowest - 1 + many).map((one) => [JSON.stringify(one.phrases.map(({ runs, times_words: times }) => [runs.map(({ ends }) => String(ends).length), times])), one])).values()].map(listed),
    });
    tell([`Row ${row.number} of ${rows}. ${row.weft} ${row.comes}: ${row.words}.`, ...within.map(({ words }) => `${begun(words)}.`)].join(' '));
  }

  /**
   * What to do where it measures otherwise than it should; what else there is to know.
   * @param {Step} one
   */
  const advice = (one) => [one.if_narrower, one.if_wider, one.if_lower, one.if_higher, one.if_less, one.if_more, ...one.more ?? []].flatMap((words) => words ?? []);

  /**
   * Another number of rows for what is open up to the far bar: a change of the piece, which this weaving follows.
   * @param {Step} one
   */
  function roomFor({ choices }) {
    if (!choices || !mayEdit()) return null;
    const told = h('span', { class: 'mend', role: 'alert' });
    const select = h('select', {}, choices.map(({ rows, now, words }) => h('option', { value: String(rows), selected: now }, words)));
    const make = async () => {
      const choice = choices.find(({ rows }) => String(rows) === select.value);
      if (busy || !choice || choice.now) return;
      busy = true;
      try {
        const piece = await post(at`/api/pieces/${weaving.piece}/edit?units=${setting('units')}`, { base: weaving.rev, edit: choice.edit });
        edited = piece.said ? `${begun(piece.said)}.` : '';
      } catch (error) {
        if (!(error instanceof Trouble)) throw error;
        fill(told, error.message, ' ', error.help);
        return;
      } finally {
        busy = false;
      }
      step = start();
      await follow();
    };
    return h('p', { class: 'ways room' }, h('label', {}, 'Open up to the far bar ', select), h('button', { class: 'plain', onclick: once(() => void make()) }, 'Weave so many rows'), told);
  }

  /**
   * Where everything stands, for tomorrow; or that it is done.
   * @param {Row | null} row
   */
  function still(row) {
    const { before, needles } = place();
    fill(count, row ? (before ? `Row ${before.number} is woven` : weaving.name) : `All ${weaving.rows.length} rows are woven`);
    fill(band, row && before ? weaving.name : '');
    const first = row && screens(row)[start()];
    fill(body, h('div', { class: 'still' },
      needles.length > 0 ? h('ul', { class: 'waiting', 'aria-label': 'Where the needles wait' }, needles.map((needle) => waiting(needle, yarnOf(needle.weft)))) : null,
      row && first ? h('p', { class: 'coming' }, h('span', { class: 'quiet' }, before ? 'Next: ' : 'First: '), first.step ? `${first.step.do === 'wind' ? 'the warp is wound' : first.step.words}; then row ${row.number}.` : `row ${row.number}, ${row.weft} ${row.comes}.`) : null,
      row ? null : h('section', { class: 'off-loom', 'aria-labelledby': 'off-loom' },
        h('h2', { id: 'off-loom' }, 'What comes next'), h('ol', {}, weaving.off_the_loom.map((words) => h('li', {}, words)))),
      weaving.changed_below ? changedBelow(id, weaving.changed_below, { unpick, parted: () => void follow() }) : null,
      row && !awake.can ? h('p', { class: 'quiet' }, 'This browser can’t keep the screen on. Set this device so that its screen stays on, or touch it now and then: the place is kept.') : null,
      h('p', { class: 'ways' }, h('a', { class: 'plain', href: at`#/piece/${weaving.piece}` }, 'The piece'), ' ', h('a', { class: 'plain', href: '#/' }, 'All pieces'), ' ', phoneLink(id))));
    fill(next, row ? `Go on with row ${row.number}` : 'Back to the piece');
    tell([`${count.textContent}.`, ...needles.map(({ weft, side }) => `${weft} waits at the ${side}.`), ...row ? [] : weaving.off_the_loom].join(' '));
  }

  /** @param {string} words */
  function tell(words) {
    // Said once, however often it is drawn.
    if (live.textContent === words) return;
    live.textContent = words;
    part = 0;
    if (setting('aloud') !== 'asked') aloud();
  }

  /**
   * What there is to hear, part by part, and where it stands.
   * @returns {{words: string, mark?: Element}[]}
   */
  function heard() {
    const row = current();
    const own = row && (mayEdit() ? screens(row)[Math.min(step, screens(row).length - 1)] : { row, step: null });
    const screen = unpicking || (stopped && mayEdit()) ? null : own;
    if (!row || !screen) return [{ words: live.textContent ?? '' }];
    const number = `${whenOf(screen)} ${row.number}`;
    return screen.step ? [
      { words: `${number}: ${screen.step.words}`, mark: body.querySelector('.do') ?? undefined },
      ...advice(screen.step).map((words, k) => ({ words, mark: body.querySelectorAll('.advice')[k] })),
    ] : [
      { words: `${number}: ${row.weft} ${row.comes}`, mark: body.querySelector('.banner') ?? undefined },
      ...row.phrases.map((phrase, k) => ({
        words: [phrase.runs.map(({ pass, ends }) => `${pass} ${ends}`).join(', '), phrase.times_words ?? ''].join(' '),
        mark: body.querySelectorAll('.runs > li')[k],
      })),
      ...row.before.filter(isWithin).map(({ words }, k) => ({ words, mark: body.querySelectorAll('.within')[k] })),
    ];
  }

  function aloud() {
    if (!canRead()) return;
    const parts = heard();
    for (const one of body.querySelectorAll('.spoken')) one.classList.remove('spoken');
    if (setting('aloud') === 'part') {
      const mine = parts[part % parts.length];
      part += 1;
      if (mine) void readAloud([mine]);
    } else {
      void readAloud(parts);
    }
  }

  function settings() {
    openSettings(h('p', {}, phoneLink(id)), canListen() ? h('p', {},
      h('button', { class: 'plain', 'aria-pressed': String(deaf !== null), onclick: (/** @type {Event} */ event) => {
        if (deaf) {
          deaf();
          deaf = null;
        } else {
          deaf = listen((word) => (word === 'next' ? void forward() : word === 'back' ? void backward() : aloud()));
        }
        /** @type {HTMLElement} */ (event.target).setAttribute('aria-pressed', String(deaf !== null));
      } }, 'Listen for “next”, “back” and “again”'),
      h('br'), h('small', {}, 'Some browsers send what they hear to their maker.')) : '');
  }

  /** @param {KeyboardEvent} event */
  function key(event) {
    const target = event.target instanceof Element ? event.target : null;
    if (event.ctrlKey || event.metaKey || event.altKey || target?.closest('dialog, input, select, textarea')) return;
    const pressed = event.key;
    const native = target?.closest('button, a') && (pressed === ' ' || pressed === 'Enter');
    if (native || event.repeat) return;
    if ([' ', 'Enter', 'ArrowRight', 'ArrowDown', 'PageDown'].includes(pressed)) void forward();
    else if (['Backspace', 'ArrowLeft', 'ArrowUp', 'PageUp'].includes(pressed)) void backward();
    else if (pressed === 'r') aloud();
    else return;
    event.preventDefault();
  }

  /** @returns {Promise<void>} */
  async function follow() {
    const before = facts;
    const now = /** @type {Weaving | null} */ (await get(path()).catch(() => null));
    if (!now) return;
    // While it came a row was ticked here: it is asked for anew, or by that tick's own notice.
    if (facts !== before) return busy ? undefined : follow();
    const was = current()?.number;
    weaving = now;
    done = new Set(now.done);
    markWaiting();
    wound ||= done.size > 0;
    if (current()?.number !== was) step = start();
    // The weaver who is reading a step keeps it.
    if (!busy) show();
  }

  document.addEventListener('keydown', key);
  const refit = () => show();
  window.addEventListener('resize', refit);
  const unset = onSettings(() => void follow());
  const unline = onLine(noticed);
  const unmet = onMe(() => {
    show();
    if (mayEdit() && ticks.waiting.length > 0) void ticks.send();
  });
  const deafen = onNotice((notice) => {
    if (notice.weaving !== undefined ? notice.weaving === id : notice.all || notice.piece === weaving.piece) void follow();
    if (notice.all) void ticks.send();
  });
  if (ticks.waiting.length > 0) void ticks.send();
  stopped = done.size > 0 && sessionStorage.getItem(`fellmark.going.${id}`) === null;
  show();
  if (!woven()) next.focus({ preventScroll: true });
  document.fonts.ready.then(() => main.isConnected && show());
  return () => {
    document.removeEventListener('keydown', key);
    window.removeEventListener('resize', refit);
    unset();
    unline();
    unmet();
    deafen();
    ticks.leave();
    awake.leave();
    fell.leave();
    deaf?.();
    hush();
  };
}
