// Weave along: one step at a time, as large as the screen allows. Rows, sides and words are the server's; this file
// keeps the place among them.
import { at, get } from './api.js';
import { stayAwake } from './awake.js';
import { changedBelow, takeOut } from './changed.js';
import { begun, dyed, fill, h, s, unbroken } from './dom.js';
import { line, onLine, onNotice } from './events.js';
import { Fell } from './fell.js';
import { Pace } from './pace.js';
import { onSettings, openSettings, setting } from './settings.js';
import { drawStrip, strip } from './strip.js';
import { Ticks } from './ticks.js';
import { phoneLink } from './phone-link.js';
import { FOLLOWS, isHere, mayEdit, onMe } from './who.js';
import { canListen, canRead, hush, listen, readAloud } from './voice.js';

/**
 * @typedef {{pass: string, ends: number}} Run
 * @typedef {{do: string, words: string, routine: boolean, weft?: string, other?: string, pass?: string, side?: 'left' | 'right',
 *   if_narrower?: string, if_wider?: string, yarn?: string | null, colour?: string | null, more?: string[]}} Step
 * @typedef {{number: number, band: string, weft: string, yarn: string, from: 'left' | 'right', ends: [number, number], over_ends: string | null, runs: Run[],
 *   phrases: {runs: Run[], times: number, times_words: string | null}[], words: string, unpick: string, before: Step[], after: Step[], crossings: string}} Row
 * @typedef {{id: string, piece: string, rev: string, name: string, mirrored: boolean, winding: Step[], rows: Row[], wefts: {name: string, yarn: string, colour: string}[],
 *   bands: {name: string, first_row: number, rows: number, edge_habit: string | null}[], off_the_loom: string[], done: number[], pace_minutes: number | null, next_row: number | null,
 *   needles: {weft: string, side: 'left' | 'right'}[], changed_below: import('./changed.js').Changed | null}} Weaving
 * @typedef {{row: Row, step: Step | null}} Screen a step before or after a row, or the row itself
 */

/**
 * @param {HTMLElement} root
 * @param {string} id
 */
export async function showAlong(root, id) {
  const path = () => at`/api/weavings/${id}?units=${setting('units')}`;
  /** @type {Weaving} */
  let weaving = await get(path());
  let done = new Set(weaving.done);
  const pace = new Pace(id);
  const awake = stayAwake();
  const ticks = new Ticks(id, {
    onPlace: (place) => {
      done = new Set(place.done);
      weaving = { ...weaving, ...place };
    },
    onState: () => {
      notice();
      if (!ticks.cut) follow();
    },
  });
  for (const { row, done: isDone } of ticks.waiting) mark(row, isDone);

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
  /** @type {(() => void) | null} */
  let deaf = null;
  let part = 0;

  const dye = new Map(weaving.wefts.map(({ name, colour: its }) => [name, its]));
  const fell = new Fell(id, weaving.rows.map(({ weft }) => dye.get(weft) ?? '#888888'));
  const count = h('h1', { class: 'count', tabindex: '-1' });
  const band = h('p', { class: 'quiet band' });
  const turned = h('p', { class: 'quiet turned' }, weaving.mirrored ? 'Mirrored' : '');
  const left = h('p', { class: 'quiet left' });
  const kept = h('p', { class: 'kept', role: 'status' });
  const body = h('div', { class: 'step' });
  const next = h('button', { class: 'needle next', onclick: () => void (woven() ? location.assign(at`#/piece/${weaving.piece}`) : forward()) }, 'Done');
  const last = h('button', { class: 'plain', onclick: () => void backward() }, 'Back');
  const read = h('button', { class: 'plain', onclick: () => aloud() }, 'Read aloud');
  const stop = h('button', { class: 'plain', onclick: () => pause() }, 'Stop here');
  const how = h('button', { class: 'plain', onclick: () => settings() }, 'Settings');
  const live = h('p', { class: 'unseen', role: 'status', 'aria-live': 'assertive', 'aria-atomic': 'true', id: 'row-said' });
  const main = h('main', { class: 'along', id: 'main' },
    h('header', {}, count, band, turned, left, kept), fell.element, body,
    h('footer', {}, next, h('div', { class: 'small-actions' }, last, read, stop,
      h('a', { class: 'plain only-follows', href: at`#/piece/${weaving.piece}` }, 'The piece'), how)), live);
  fill(root, main);

  /** @param {string} name */
  const colour = (name) => weaving.wefts.find((weft) => weft.name === name)?.colour ?? '#888888';

  /** @param {number} row @param {boolean} isDone */
  function mark(row, isDone) {
    if (isDone) done.add(row);
    else done.delete(row);
  }

  /** The first row that is not done, in the order of weaving. */
  function current() {
    return weaving.rows.find(({ number }) => !done.has(number)) ?? null;
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
    return [...winding(row).map(own), ...row.before.filter(({ routine }) => !routine).map(own), { row, step: null }, ...row.after.filter(({ routine }) => !routine).map(own)];
  }

  async function forward() {
    if (busy) return;
    if (unpicking) return takenOut();
    if (stopped) return resume();
    const row = current();
    // A pedal that is pressed once too often leaves what comes next to be read.
    if (!row || !mayEdit()) return;
    part = 0;
    if (step + 1 < screens(row).length) {
      step += 1;
      if (!wound && step >= winding(row).length) isWound();
      return show();
    }
    await fact(row.number, true);
    pace.row();
    step = start();
    show();
  }

  async function backward() {
    if (busy || !mayEdit()) return;
    part = 0;
    if (unpicking) {
      unpicking = false;
      return show();
    }
    if (stopped) return resume();
    if (step > 0) {
      step -= 1;
      return show();
    }
    const row = current();
    const before = weaving.rows[(row ? weaving.rows.indexOf(row) : weaving.rows.length) - 1];
    if (!before) return;
    await fact(before.number, false);
    pace.back();
    step = screens(before).length - 1;
    show();
  }

  /**
   * @param {number} row
   * @param {boolean} isDone
   */
  async function fact(row, isDone) {
    busy = true;
    facts += 1;
    next.setAttribute('aria-disabled', 'true');
    await ticks.put(row, isDone, weaving.rev);
    mark(row, isDone);
    facts += 1;
    busy = false;
    next.removeAttribute('aria-disabled');
    notice();
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
    await fact(number, false);
    step = start();
    await follow();
  }

  function show() {
    const row = current();
    const rows = weaving.rows.length;
    // Who follows is where the weaver is.
    const rests = stopped && mayEdit();
    const out = unpicking && mayEdit() ? weaving.rows.find(({ number }) => number === toTakeOut()) : undefined;
    unpicking = out !== undefined;
    main.classList.toggle('is-still', rests || !row);
    // All of it is there, until it is seen what has no room.
    main.classList.remove('scrolls');
    body.dataset.gives = '0';
    read.hidden = rests || unpicking || !row || !canRead();
    stop.hidden = rests || unpicking || !row || !mayEdit();
    last.hidden = (rests && !unpicking) || !mayEdit() || (done.size === 0 && step === 0);
    next.hidden = !mayEdit() && row !== null;
    document.title = row ? `Row ${row.number} of ${rows} – ${weaving.name}` : `${weaving.name}, woven`;
    fell.to(row ? row.number - 1 : rows, row?.from ?? 'left', weaving.rev);
    fill(left, row ? pace.left(rows - done.size, weaving.pace_minutes) : '');
    if (out) {
      fill(count, 'Take out row ', h('b', {}, String(out.number)));
      fill(band, begun(out.band));
      fill(body, h('div', { class: 'fitted' }, h('p', { class: 'do' }, begun(out.unpick))), dyed(takeOut(out), colour(out.weft)));
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
    notice();
  }

  /** @param {Screen} screen */
  function one({ row, step: only }) {
    const rows = weaving.rows.length;
    const all = screens(row);
    const when = only && row.after.includes(only) ? 'After row' : only ? 'Before row' : 'Row';
    fill(count, `${when} `, h('b', {}, String(row.number)), h('span', { class: 'quiet' }, ` of ${rows}`));
    fill(band, begun(only ? BELONGS[only.do] ?? row.band : row.band));
    fill(next, 'Done');
    if (only) {
      fill(body, h('div', { class: 'fitted' }, h('p', { class: 'do' }, unbroken(begun(only.words)))), pictured(row, only),
        advice(only).map((words) => h('p', { class: 'advice' }, words)),
        only.do === 'wind' && only !== weaving.winding.at(-1) ? h('p', { class: 'ways' }, h('button', { class: 'plain', onclick: passWinding }, 'The warp is wound')) : null);
      fitted(body, [1]);
      tell([`${when} ${row.number}: ${only.words}.`, ...advice(only)].join(' '));
      return;
    }
    const habits = row.after.filter(({ routine }) => routine).map(({ words }) => words);
    const below = strip(row, colour(row.weft));
    const own = all.findIndex(({ step: one }) => one === null);
    const [first, then] = [all.slice(0, own), all.slice(own + 1)].map((some) => some.map(({ step: one }) => one)
      // What was measured leaves nothing to look back at, and the warp is there to be seen.
      .filter((one) => one?.do !== 'wind' && (one?.do !== 'measure' || !mayEdit())).map((one) => one?.words ?? '').join('; '));
    fill(body,
      banner(row, row.from),
      first ? h('p', { class: 'quiet done-before' }, `${mayEdit() ? 'Done' : 'First'}: ${first}.`) : null,
      h('div', { class: 'fitted' },
        h('ol', { class: 'runs' }, row.phrases.map((phrase) => h('li', { class: phrase.times > 1 ? 'again' : '' },
          h('div', {}, phrase.runs.map((run) => h('p', { class: `run ${run.pass}` }, h('span', {}, run.pass), ' ', h('b', {}, String(run.ends))))),
          phrase.times_words ? h('span', { class: 'times' }, phrase.times_words) : null)))),
      then && !mayEdit() ? h('p', { class: 'quiet then' }, `Then: ${then}.`) : null,
      habits.length > 0 ? h('p', { class: 'quiet habits' }, `${begun(habits.join(', '))}.`) : null,
      below);
    drawStrip(below, row);
    fitted(body, [1, 2, 3]);
    tell(`Row ${row.number} of ${rows}. ${row.weft} ${comesFrom(row)}: ${row.words}.`);
    if (setting('aloud') === 'row') aloud();
  }

  /**
   * What is handled in a step.
   * @param {Row} row
   * @param {Step} one
   */
  function pictured(row, one) {
    if (one.do === 'cross') return crossing(one);
    if (one.do === 'measure') return measuring(row);
    // Neither the warp nor the header is the needle's.
    if (one.do in BELONGS) return one.yarn ? dyed(h('div', { class: 'banner' }, h('p', {}, h('b', {}, one.yarn))), one.colour ?? '#888888') : null;
    return banner(row, one.side ?? row.from, one.do === 'begin');
  }

  /**
   * The yarn, coming in from its side; or where it lies at its side, and goes nowhere.
   * @param {Row} row
   * @param {'left' | 'right'} from
   * @param {boolean} [goes]
   */
  function banner(row, from, goes = true) {
    const where = goes ? comesFrom(row) : `at the ${from}`;
    return dyed(h('div', { class: `banner from-${from}` },
      h('p', {}, h('b', {}, row.weft), ' ', h('span', {}, row.yarn === row.weft ? where : `${row.yarn}, ${where}`)),
      goes ? arrow(from) : null), colour(row.weft));
  }

  /** @param {'left' | 'right'} from */
  function arrow(from) {
    const d = from === 'left' ? 'M2 12H92M80 3L92 12L80 21' : 'M98 12H8M20 3L8 12L20 21';
    return s('svg', { class: 'arrow', viewBox: '0 0 100 24', 'aria-hidden': 'true' }, s('path', { d }));
  }

  /**
   * How two yarns lie where one is taken round the other.
   * @param {Step} cross
   */
  function crossing(cross) {
    const [mine, other] = [colour(cross.weft ?? ''), colour(cross.other ?? '')];
    const strand = (/** @type {string} */ d, /** @type {string} */ dye) => [s('path', { class: 'strand-edge', d }), dyed(s('path', { class: 'strand', d }), dye)];
    const here = strand('M6 40H134', mine);
    const there = strand('M70 6V74', other);
    return h('div', { class: 'crossing-picture' },
      s('svg', { viewBox: '0 0 140 80', 'aria-hidden': 'true' }, ...(cross.pass === 'under' ? [...here, ...there] : [...there, ...here])),
      h('p', {}, h('span', {}, dyed(h('i', { class: 'yarn', 'aria-hidden': 'true' }), mine), ' ', cross.weft ?? ''), h('span', {}, ` ${cross.pass} `), h('span', {}, dyed(h('i', { class: 'yarn', 'aria-hidden': 'true' }), other), ' ', cross.other ?? '')));
  }

  /**
   * What to do where it measures otherwise than it should; what else there is to know.
   * @param {Step} one
   */
  const advice = (one) => [one.if_narrower, one.if_wider, ...one.more ?? []].flatMap((words) => words ?? []);

  /**
   * The fell, and a ruler along the row that was woven last.
   * @param {Row} row the next one
   */
  function measuring(row) {
    const woven = weaving.rows[weaving.rows.indexOf(row) - 1] ?? row;
    const warp = Array.from({ length: 12 }, (_, k) => `M${46 + k * 18}.9 4V60`).join('');
    return dyed(h('div', { class: 'measuring-picture' }, s('svg', { viewBox: '0 0 290 96', 'aria-hidden': 'true' },
      s('path', { class: 'warp', d: warp }), s('path', { class: 'cloth-edge', d: 'M36 60H254V96H36Z' }), s('path', { class: 'cloth-body', d: 'M38 62H252V96H38Z' }),
      s('path', { class: 'ruler', d: 'M36 38H254M36 26V50M254 26V50M46 31L36 38L46 45M244 31L254 38L244 45' }))), colour(woven.weft));
  }

  /**
   * Where everything stands, for tomorrow; or that it is done.
   * @param {Row | null} row
   */
  function still(row) {
    const before = weaving.rows[(row ? weaving.rows.indexOf(row) : weaving.rows.length) - 1];
    fill(count, row ? (before ? `Row ${before.number} is woven` : weaving.name) : `All ${weaving.rows.length} rows are woven`);
    fill(band, row && before ? weaving.name : '');
    // Where a needle waits is where its next row starts; the server says so with each row.
    const waiting = weaving.wefts.flatMap(({ name }) => {
      const mine = weaving.rows.filter((one) => one.weft === name);
      const coming = mine.find((one) => !done.has(one.number));
      return coming && mine.some((one) => done.has(one.number)) ? [{ name, side: coming.from }] : [];
    });
    const first = row && screens(row)[start()];
    fill(body, h('div', { class: 'still' },
      waiting.length > 0 ? h('ul', { class: 'waiting', 'aria-label': 'Where the needles wait' }, waiting.map(({ name, side }) => dyed(h('li', { class: `banner from-${side} waits` },
        h('p', {}, h('b', {}, name), ' ', h('span', {}, `waits at the ${side}`))), colour(name)))) : null,
      row && first ? h('p', { class: 'coming' }, h('span', { class: 'quiet' }, before ? 'Next: ' : 'First: '), first.step ? `${first.step.do === 'wind' ? 'the warp is wound' : first.step.words}; then row ${row.number}.` : `row ${row.number}, ${row.weft} ${comesFrom(row)}.`) : null,
      row ? null : h('section', { class: 'off-loom', 'aria-labelledby': 'off-loom' },
        h('h2', { id: 'off-loom' }, 'What comes next'), h('ol', {}, weaving.off_the_loom.map((words) => h('li', {}, unbroken(words))))),
      weaving.changed_below ? changedBelow(id, weaving.changed_below, { unpick, parted: () => void follow() }) : null,
      row && !awake.can ? h('p', { class: 'quiet' }, 'This browser can’t keep the screen on. Set this device so that its screen stays on, or touch it now and then: the place is kept.') : null,
      h('p', { class: 'ways' }, h('a', { class: 'plain', href: at`#/piece/${weaving.piece}` }, 'The piece'), ' ', h('a', { class: 'plain', href: '#/' }, 'All pieces'), ' ', phoneLink(id))));
    fill(next, row ? `Go on with row ${row.number}` : 'Back to the piece');
    tell([`${count.textContent}.`, ...waiting.map(({ name, side }) => `${name} waits at the ${side}.`), ...row ? [] : weaving.off_the_loom].join(' '));
  }

  /** @param {string} words */
  function tell(words) {
    live.textContent = words;
  }

  function aloud() {
    const row = current();
    if (!row || !canRead()) return;
    const screen = screens(row)[step];
    const parts = screen?.step ? [
      { words: screen.step.words, mark: body.querySelector('.do') ?? undefined },
      ...advice(screen.step).map((words, k) => ({ words, mark: body.querySelectorAll('.advice')[k] })),
    ] : [
      { words: `${row.weft} ${comesFrom(row)}`, mark: body.querySelector('.banner') ?? undefined },
      ...row.phrases.map((phrase, k) => ({
        words: [phrase.runs.map(({ pass, ends }) => `${pass} ${ends}`).join(', '), phrase.times_words ?? ''].join(' '),
        mark: body.querySelectorAll('.runs > li')[k],
      })),
    ];
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
    if (event.ctrlKey || event.metaKey || event.altKey || target?.closest('dialog, input, textarea')) return;
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
    for (const { row, done: isDone } of ticks.waiting) mark(row, isDone);
    wound ||= done.size > 0;
    if (current()?.number !== was) step = start();
    // The weaver who is reading a step keeps it.
    if (!busy) show();
  }

  document.addEventListener('keydown', key);
  const refit = () => show();
  window.addEventListener('resize', refit);
  const unset = onSettings(() => void follow());
  const unline = onLine(notice);
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

/** What a step is about that is no part of a band. @type {Record<string, string>} */
const BELONGS = { wind: 'the warp', header: 'the header', header_out: 'the header' };

/**
 * Where a row comes from, and the ends that it passes if they aren't all.
 * @param {Row} row
 */
function comesFrom(row) {
  return `from the ${row.from}${row.over_ends ? `, ${row.over_ends}` : ''}`;
}

/** Letters that are read at arm's length, in pixels; the least; and the most that serve. */
const [FAR, LEAST, MOST] = [44, 26, 148];

/**
 * Makes what is to be read as large as its room allows, in as many columns as serve best. It has the first claim on the
 * room: where the letters would be too small, what else there is gives way one thing after the other (`data-gives`, in the
 * order that the style says); where that isn't enough the page scrolls.
 * @param {HTMLElement} body
 * @param {number[]} columns to try
 */
function fitted(body, columns) {
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
