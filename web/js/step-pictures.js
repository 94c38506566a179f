// What is handled in a step of weaving along, drawn: the yarn as it comes in or waits, two yarns that cross, the width that
// is measured.
import { GREY, dyed, h, lettered, s } from './dom.js';
import { apart, carried, crossing, header, tailed } from './edge-picture.js';

/**
 * @typedef {import('./along.js').Row} Row
 * @typedef {import('./along.js').Step} Step
 * @typedef {{colour: string, letters: 'ink' | 'paper'}} Yarn
 * @typedef {(weft: string) => Yarn} YarnOf
 */

/** What a step is about that is no part of a band. @type {Record<string, string>} */
export const BELONGS = { wind: 'the warp', header: 'the header', header_out: 'the header' };

/**
 * What is handled in a step; with a picture that may have no room what stands in its place then.
 * @param {Row} row the next one
 * @param {Step} one
 * @param {Row} woven the one that was woven last
 * @param {(number: number) => Row | undefined} rowOf
 * @param {YarnOf} yarnOf
 */
export function pictured(row, one, woven, rowOf, yarnOf) {
  if (one.do === 'cross') return crossing(row, one, rowOf, yarnOf);
  if (one.do === 'measure') return measuring(yarnOf(woven.weft));
  if (one.do === 'room') return openWarp(yarnOf(woven.weft));
  const instead = () => banner(row, yarnOf(row.weft), one.side ?? row.from, one.do === 'begin');
  if (one.do === 'begin' || one.do === 'cut') return [tailed(row, one, rowOf, yarnOf), instead()];
  if (one.do === 'carry') return [carried(row, one, rowOf, yarnOf), instead()];
  if (one.do === 'beat') return apart(one, yarnOf(row.weft));
  if (one.do === 'header') return header(one);
  // Neither the warp nor the header is the needle's.
  if (one.do in BELONGS) return one.yarn ? lettered(h('div', { class: 'banner' }, h('p', {}, h('b', {}, one.yarn))), { colour: one.colour ?? GREY.colour, letters: one.letters ?? GREY.letters }) : null;
  return instead();
}

/**
 * The yarn, coming in from its side; or where it lies at its side, and goes nowhere.
 * @param {Row} row
 * @param {Yarn} yarn
 * @param {'left' | 'right'} from
 * @param {boolean} [goes]
 */
export function banner(row, yarn, from, goes = true) {
  const where = goes ? row.comes : `at the ${from}`;
  return lettered(h('div', { class: `banner from-${from}` },
    h('p', {}, h('b', {}, row.weft), ' ', h('span', {}, row.yarn === row.weft ? where : `${row.yarn}, ${where}`)),
    goes ? arrow(from) : null), yarn);
}

/** @param {'left' | 'right'} from */
function arrow(from) {
  const d = from === 'left' ? 'M2 12H92M80 3L92 12L80 21' : 'M98 12H8M20 3L8 12L20 21';
  return s('svg', { class: 'arrow', viewBox: '0 0 100 24', 'aria-hidden': 'true' }, s('path', { d }));
}

/**
 * The fell, and a ruler along the row that was woven last.
 * @param {Yarn} woven its yarn
 */
function measuring(woven) {
  const warp = Array.from({ length: 12 }, (_, k) => `M${46 + k * 18}.9 4V60`).join('');
  return dyed(h('div', { class: 'measuring-picture' }, s('svg', { viewBox: '0 0 290 96', 'aria-hidden': 'true' },
    s('path', { class: 'warp', d: warp }), s('path', { class: 'cloth-edge', d: 'M36 60H254V96H36Z' }), s('path', { class: 'cloth-body', d: 'M38 62H252V96H38Z' }),
    s('path', { class: 'ruler', d: 'M36 38H254M36 26V50M254 26V50M46 31L36 38L46 45M244 31L254 38L244 45' }))), woven.colour);
}

/**
 * The far bar, the fell, and a ruler along the open warp between them.
 * @param {Yarn} woven the yarn of the last row
 */
function openWarp(woven) {
  const warp = Array.from({ length: 12 }, (_, k) => `M${46 + k * 18}.9 14V78`).join('');
  return dyed(h('div', { class: 'measuring-picture' }, s('svg', { viewBox: '0 0 290 96', 'aria-hidden': 'true' },
    s('path', { class: 'warp', d: warp }), s('path', { class: 'bar', d: 'M20 9H270' }), s('path', { class: 'cloth-edge', d: 'M36 78H254V96H36Z' }), s('path', { class: 'cloth-body', d: 'M38 80H252V96H38Z' }),
    s('path', { class: 'ruler', d: 'M145 17V77M133 17H157M133 77H157M138 27L145 17L152 27M138 67L145 77L152 67' }))), woven.colour);
}

/**
 * The yarn, going back out by the side it came in from.
 * @param {Row} row
 * @param {Yarn} yarn
 */
export function takeOut({ weft, from }, yarn) {
  return lettered(h('div', { class: `banner from-${from}` }, h('p', {}, h('b', {}, weft), ' ', h('span', {}, `back out to the ${from}`))), yarn);
}

/**
 * A needle that waits.
 * @param {{weft: string, side: 'left' | 'right'}} needle
 * @param {Yarn} yarn
 */
export function waiting({ weft, side }, yarn) {
  return lettered(h('li', { class: `banner from-${side} waits` }, h('p', {}, h('b', {}, weft), ' ', h('span', {}, `waits at the ${side}`))), yarn);
}
