// A band's panel: its rows, its weave, its wefts, and its place in the stack. What makes sense for it, and what any of it
// comes to, the server says.
import { begun, dyed, h, s } from './dom.js';
import { colour, needle, oneOf } from './change.js';
import { Panel, fold } from './panel.js';

/**
 * @typedef {{name: string, words: string, weave: Record<string, any> | null, wefts: string[], rows: number, turn: number, length: string | null, fills: boolean, beat: string | null, beat_else: string, start: number | null, edges: string, edges_own: boolean, edges_else: string,
 *   repeat_ends: number | null, repeat_rows: number | null, places: number, everywhere: string | null, written: boolean, write_out: string | null, much_touched: boolean,
 *   exchanged: boolean | null, mirrored: boolean | null, over_for_under: boolean | null}} Band
 * @typedef {{sequence: string | null, at: number[], kind: 'band' | 'sequence' | 'repeat', words: string, times: number | null, places: number[],
 *   up: number[] | null, above: number[], down: number[] | null, alone: boolean, entries: Entry[]}} Entry
 */

/**
 * The lines of the stack that a place stands in, the outermost first.
 * @param {Entry[]} stack
 * @param {number} number the place's, from the bottom from 1
 * @returns {Entry[]}
 */
export function standsIn(stack, number) {
  const line = stack.find(({ places }) => places.includes(number));
  return line ? [line, ...standsIn(line.entries, number)] : [];
}

/**
 * A line of the stack, wherever it stands.
 * @param {Entry[]} stack
 * @param {{sequence: string | null, at: number[]}} wanted
 * @returns {Entry | undefined}
 */
export function lineAt(stack, wanted) {
  for (const line of stack) {
    if (line.sequence === wanted.sequence && line.at.join() === wanted.at.join()) return line;
    const within = lineAt(line.entries, wanted);
    if (within) return within;
  }
  return undefined;
}

/**
 * @param {{ways: import('./panel.js').Ways, place: import('./loom.js').Place, index: number, parts: import('./change.js').Parts,
 *   choices: import('./change.js').Choices, below: (() => void) | null, above: (() => void) | null, close: () => void}} given
 *   `below` and `above` go to the band's other places
 * @returns {(Node | string)[] | null}
 */
export function bandPanel({ ways, place, index, parts, choices, below, above, close }) {
  const band = parts.bands.find(({ name }) => name === place.name);
  if (!band) return null;
  const panel = new Panel('band', ways, band.name);
  const title = h('h2', { id: 'band-title', tabindex: '-1', 'data-key': 'band title' }, begun(band.name), place.of > 1 ? h('small', {}, ` ${place.nth} of ${place.of}`) : null);
  return [
    h('div', { class: 'band-head' }, title, h('button', { class: 'plain', 'data-key': 'band close', onclick: close }, 'Close')),
    place.of > 1 ? h('div', { class: 'its-places' },
      h('button', { class: 'plain', 'data-key': 'band below', 'aria-disabled': below ? false : 'true', onclick: () => below?.() }, 'The next below'),
      h('button', { class: 'plain', 'data-key': 'band above', 'aria-disabled': above ? false : 'true', onclick: () => above?.() }, 'The next above')) : null,
    h('p', { class: 'quiet' }, `${begun(band.words)}.`),
    band.everywhere ? h('p', { class: 'everywhere' }, `What you change here changes ${band.everywhere}. `,
      panel.action('part', 'Only here', { edit: 'part', band: band.name, place: place.nth }, { follow: 'index' })) : null,
    band.much_touched ? writeOut(panel, band, 'remedy') : null,
    rows(panel, band, choices),
    ...turned(panel, band),
    ...wefts(panel, band, parts, choices),
    weave(panel, band, choices),
    fold(panel, 'beat', ['How closely it is beaten'],
      panel.field('beat', 'Its rows', band.beat ?? '', (beat) => ({ edit: 'band_beat', band: band.name, beat: beat || null }), { hint: `Such as ${choices.typed.beat}; without it, ${band.beat_else}` })),
    fold(panel, 'name', ['What it is called'],
      panel.field('name', 'Its name', band.name, (name) => (name ? { edit: 'band_rename', band: band.name, name } : null))),
    fold(panel, 'edges', ['At its edges'],
      oneOf(panel, 'Each row goes', [...choices.edges, { word: '', words: band.edges_else }], band.edges_own ? band.edges : '', (edges) => ({ edit: 'band_edges', band: band.name, edges: edges || null }))),
    ...stands(panel, band, standsIn(parts.stack, index + 1), choices),
    band.written || band.much_touched ? null : panel.group('Row by row', writeOut(panel, band, 'plain')),
    panel.trouble, panel.foretold.element,
  ].flatMap((one) => (one ? [one] : []));
}

/**
 * @param {Panel} panel
 * @param {Band} band
 * @param {import('./change.js').Choices} choices
 */
function rows(panel, band, choices) {
  // Said of a band that fills the rest, a number of rows is its own; its border, drawn, is the other band's.
  const kind = band.fills ? 'band_rows' : 'length';
  const to = (/** @type {number} */ count) => (count >= 1 ? { edit: kind, band: band.name, rows: count } : null);
  const named = (/** @type {string} */ which) => (band.turn === 1 ? `One row ${which}` : `${band.turn} rows ${which}`);
  return panel.group('Rows',
    panel.action('fewer', named('fewer'), to(band.rows - band.turn)),
    panel.field('rows', 'How many', String(band.rows), (value) => (value ? to(Number(value)) : null), { number: [1, choices.most_rows, band.turn], plain: true }),
    panel.action('more', named('more'), to(band.rows + band.turn)));
}

/**
 * A band's rows written out, and what that means.
 * @param {Panel} panel
 * @param {Band} band
 * @param {string} look
 */
function writeOut(panel, band, look) {
  return h('div', { class: 'write-out' },
    h('p', { class: look === 'remedy' ? '' : 'quiet' }, band.write_out ?? ''),
    panel.action('write', 'Write it out as rows', { edit: 'write_out', band: band.name }, { class: look }));
}

/**
 * @param {Panel} panel
 * @param {Band} band
 */
function turned(panel, band) {
  /** @type {[string, string, boolean | null][]} */
  const flags = [['exchanged', 'Exchange the wefts', band.exchanged], ['mirrored', 'Mirror', band.mirrored], ['over-for-under', 'Over for under', band.over_for_under]];
  const there = flags.filter(([, , on]) => on !== null);
  return there.length > 0 ? [panel.group('Turned', there.map(([flag, words, on]) => panel.action(flag, words, { edit: 'toggle', band: band.name, flag, on: !on }, { pressed: on === true, class: 'plain chosen' })))] : [];
}

/**
 * @param {Panel} panel
 * @param {Band} band
 * @param {import('./change.js').Parts} parts
 * @param {import('./change.js').Choices} choices
 */
function wefts(panel, band, parts, choices) {
  const take = (/** @type {string[]} */ names) => ({ edit: 'band_wefts', band: band.name, wefts: names });
  const needles = parts.needles.map(({ name, yarn }) => /** @type {[string, string]} */ ([name, name === yarn ? name : `${name} (${yarn})`]));
  const free = parts.needles.find(({ name }) => !band.wefts.includes(name))?.name ?? band.wefts[0] ?? '';
  const many = band.wefts.length;
  const own = [...new Set(band.wefts)].flatMap((weft) => parts.needles.filter(({ name }) => name === weft));
  return [
    panel.group('Wefts in turn',
      h('div', { class: 'fields' }, band.wefts.map((weft, k) => panel.select(`weft ${k}`, many === 1 ? 'Every row' : `Weft ${k + 1}`, needles, weft, (name) => take(band.wefts.map((old, j) => (j === k ? name : old)))))),
      many === 2 ? panel.action('swap', 'Swap', take([...band.wefts].reverse())) : null,
      panel.action('weft-more', 'One weft more', take([...band.wefts, free])),
      many > 1 ? panel.action('weft-fewer', 'One weft fewer', take(band.wefts.slice(0, -1))) : null),
    ...own.map((one, k) => fold(panel, `needle ${one.name}`, [dyed(h('i', { class: 'yarn', 'aria-hidden': 'true' }), one.colour), `The needle ${one.name}`],
      // What is changed here changes wherever it is.
      h('p', { class: 'quiet' }, parts.sizes.find(({ name }) => name === one.yarn)?.used ?? ''),
      // Two needles may have one yarn, which has one colour.
      ...(own.findIndex(({ yarn }) => yarn === one.yarn) === k ? [colour(panel, one.yarn, one.colour, choices)] : []),
      ...needle(panel, one))),
  ];
}

/**
 * @param {Panel} panel
 * @param {Band} band
 * @param {import('./change.js').Choices} choices
 */
function weave(panel, band, choices) {
  const own = band.weave ?? {};
  const woven = (/** @type {Record<string, any>} */ keys) => ({ edit: 'band_weave', band: band.name, ...own, ...keys });
  return fold(panel, 'weave', ['Another weave'],
    h('ul', { class: 'weaves' }, choices.weaves.map(({ name, words, weave: keys, rows: shown }) => h('li', {},
      panel.action(`weave ${name}`, [strands(shown), h('span', {}, h('b', {}, begun(name)), h('span', { class: 'quiet' }, words))], { edit: 'band_weave', band: band.name, ...keys }, { class: 'weave' })))),
    h('div', { class: 'fields own' },
      panel.field('opening', 'Your own opening', own.opening ?? '', (opening) => (opening ? woven({ opening }) : null), { wide: true, hint: `Such as ${choices.typed.opening}` }),
      band.weave ? panel.field('step', 'How it moves', own.step ?? '', (step) => woven({ step: step || undefined }), { wide: true, hint: `Such as ${choices.typed.step}` }) : null,
      band.weave ? panel.field('start', 'Starts on row', String(band.start ?? ''), (row) => ({ edit: 'band_start', band: band.name, start: row ? Number(row) : null }), { number: [1, choices.most_rows, 1], hint: 'Of its weave; without it, as it comes' }) : null),
    ...(band.weave ? [panel.action('opposite', 'Each opening followed by its opposite', woven({ opposite: !own.opposite }), { pressed: own.opposite === true, class: 'plain chosen' })] : []));
}

/**
 * Rows of a weave as strands that pass over and under.
 * @param {string[]} shown from the bottom up
 */
function strands(shown) {
  const [cell, many, ends] = [5, shown.length, shown[0]?.length ?? 0];
  const middle = (/** @type {number} */ at) => (at + 0.5) * cell;
  const y = (/** @type {number} */ row) => middle(many - 1 - row);
  const over = shown.flatMap((row, k) => [...row].map((pass, end) => (pass === 'o' ? `M${end * cell} ${y(k)}h${cell}` : ''))).join('');
  return s('svg', { class: 'strands', viewBox: `0 0 ${ends * cell} ${many * cell}`, width: ends * cell, height: many * cell, 'aria-hidden': 'true' },
    s('path', { class: 'strand-weft under', d: shown.map((_, k) => `M0 ${y(k)}H${ends * cell}`).join('') }),
    s('path', { class: 'strand-warp', d: Array.from({ length: ends }, (_, end) => `M${middle(end)} 0V${many * cell}`).join('') }),
    s('path', { class: 'strand-weft', d: over }));
}

const NEW_ROWS = 4; // of a band that comes in: a plain one with the same wefts, to be made what it shall be

/**
 * Where a band stands, and what stands with it.
 * @param {Panel} panel
 * @param {Band} band
 * @param {Entry[]} lines
 * @param {import('./change.js').Choices} choices
 */
function stands(panel, band, lines, choices) {
  const line = lines.at(-1);
  if (!line) return [];
  const { sequence, at } = line;
  const move = (/** @type {number[] | null} */ to) => to && { edit: 'stack_move', sequence, from: at, to };
  const repeat = lines.findLast(({ kind }) => kind === 'repeat');
  const times = (/** @type {Entry} */ group, /** @type {number} */ count) => (count >= 1 ? { edit: 'stack_times', sequence: group.sequence, at: group.at, times: count } : null);
  return [
    panel.group('Place',
      panel.action('up', 'Move up', move(line.up), { follow: 'line' }),
      panel.action('down', 'Move down', move(line.down), { follow: 'line' }),
      panel.action('new', 'Another band above', { edit: 'stack_insert', sequence, at: line.above, what: { new: { wefts: band.wefts, weave: 'plain', rows: NEW_ROWS } } }, { follow: 'new' }),
      panel.action('copy', 'Copy it above', { edit: 'stack_insert', sequence, at: line.above, what: { copy: at } }),
      panel.action('remove', 'Take it out', line.alone ? null : { edit: 'stack_remove', sequence, at }),
      panel.field('times', 'Weave it several times over', '1', (value) => (Number(value) > 1 ? { edit: 'stack_group', sequence, at, count: 1, times: Number(value) } : null), { number: [1, choices.most_rows, 1] })),
    ...(repeat?.times ? [panel.group(begun(repeat.words),
      panel.action('times-fewer', 'Once fewer', times(repeat, repeat.times - 1)),
      panel.field('repeat', 'How often', String(repeat.times), (value) => (value ? times(repeat, Number(value)) : null), { number: [1, choices.most_rows, 1], plain: true }),
      panel.action('times-more', 'Once more', times(repeat, repeat.times + 1)),
      panel.action('repeat-up', 'Move all of it up', repeat.up && { edit: 'stack_move', sequence: repeat.sequence, from: repeat.at, to: repeat.up }),
      panel.action('repeat-down', 'Move all of it down', repeat.down && { edit: 'stack_move', sequence: repeat.sequence, from: repeat.at, to: repeat.down }),
      panel.action('ungroup', 'Weave it once, line by line', { edit: 'stack_ungroup', sequence: repeat.sequence, at: repeat.at }))] : []),
  ];
}
