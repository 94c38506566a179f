// What the phrases of the first sentence and the yarns of the basket open: what the piece is for, its loom, its ends and
// its yarns, each changed in place.
import { Trouble } from './api.js';
import { begun, dyed, fill, h } from './dom.js';
import { Panel, fold } from './panel.js';

/**
 * @typedef {{word: string, words: string}} Word
 * @typedef {{uses: Word[], shows: Word[], finishes: Word[], paths: Word[], edges: Word[], loom: (Word & {called: string})[], strands_act_as: Word[], typed: {opening: string, step: string, beat: string}, weaves: {name: string, words: string, weave: object, rows: string[]}[], fibres: string[],
 *   colours: {name: string, colour: string}[], most_rows: number}} Choices
 * @typedef {{name: string, use: string, shows: string, finish: string, edges: string, finished: string | null, longest_float: string | null, floats: string, finished_hint: string, size_hint: string, loom: Record<string, any>, warp: {ends: number, width: string | null, order: string[], yarns: string[], repeat: number | null, repeat_fewer: number | null, repeat_more: number | null, most: number, path: string},
 *   header: {length: string | null, yarn: string | null, usual: string, about: string}, sizes: {name: string, size: string, fibre: string, known: {key: string, words: string, typed: string | null, hint: string}[], all_known: string, used: string, unused: boolean, instead: Offer[]}[], needles: Needle[],
 *   bands: import('./band.js').Band[], stack: import('./band.js').Entry[], borders: {band: string, by: number}[]}} Parts
 * @typedef {{name: string, yarn: string, colour: string, doubled: boolean | null, from: 'left' | 'right' | null, idle: boolean}} Needle
 * @typedef {{number: number, words: string, comes_of: string, edits: object[], new_findings: {severity: 'error' | 'warning', weight: string, words: string}[], keeps: string | null}} Fitting
 * @typedef {{said: string[], choices: Fitting[]}} Fit what would bring the piece near the size that is wanted
 * @typedef {{words: string, edit: object}} Offer
 * @typedef {{parts: Parts | undefined, choices: Choices, colours: Map<string, string>}} Now
 * @typedef {{yarn?: string, colour?: string, size?: string, fibre?: string}} Draft
 */

/** Keys of the frame that hold a length. */
const LENGTHS = ['pitch', 'turn_to_turn', 'clear_height', 'out_of_reach', 'notch_width', 'notch_depth'];

/**
 * @param {import('./panel.js').Ways} ways
 * @param {() => Now} now
 * @returns {import('./sentences.js').Change}
 */
export function changes(ways, now) {
  return (part) => {
    const { parts, choices, colours } = now();
    if (!parts) return null;
    const panel = new Panel(`asked ${part.about} ${part.yarn ?? ''}`, ways);
    const controls = controlsOf(panel, part, parts, choices, colours);
    return controls && [h('div', { class: 'panel' }, ...controls, panel.trouble, panel.foretold.element)];
  };
}

/**
 * @param {Panel} panel
 * @param {import('./sentences.js').Part} part
 * @param {Parts} parts
 * @param {Choices} choices
 * @param {Map<string, string>} colours
 * @returns {HTMLElement[] | null}
 */
function controlsOf(panel, part, parts, choices, colours) {
  if (part.about === 'purpose') return purpose(panel, parts, choices);
  if (part.about === 'size') return size(panel, parts, choices);
  if (part.about === 'loom') return loom(panel, parts, choices);
  if (part.about === 'ends') return ends(panel, parts, choices);
  if (part.about === 'header') return header(panel, parts);
  if (part.about === 'holds') return [oneOf(panel, 'At the edges each row goes', choices.edges, parts.edges, (edges) => ({ edit: 'piece_edges', edges }))];
  if (part.about === 'yarn' && part.yarn) return yarnPanel(panel, part.yarn, parts, choices, colours);
  return null;
}

/**
 * @param {Panel} panel
 * @param {Parts} parts
 * @param {Choices} choices
 */
function purpose(panel, parts, choices) {
  return [
    oneOf(panel, 'What it is for', choices.uses, parts.use, (use) => ({ edit: 'use', use })),
    panel.field('name', 'What you call it', parts.name, (name) => (name ? { edit: 'name', name } : null), { wide: true }),
    oneOf(panel, 'Its good side', choices.shows, parts.shows, (shows) => ({ edit: 'shows', shows })),
    panel.field('float', 'Longest float allowed', parts.longest_float ?? '', (length) => ({ edit: 'longest_float', length: length || null }), { hint: parts.floats }),
  ];
}

/**
 * Words of which one is so now.
 * @param {Panel} panel
 * @param {string} label
 * @param {Word[]} choices
 * @param {string} taken
 * @param {(word: string) => object} edit
 */
export function oneOf(panel, label, choices, taken, edit) {
  return panel.group(label, choices.map(({ word, words }) => panel.action(word, begun(words), edit(word), { pressed: word === taken, class: 'plain chosen' })));
}

/**
 * The finished size: what is done off the loom, the size it should have, and how to come near that.
 * @param {Panel} panel
 * @param {Parts} parts
 * @param {Choices} choices
 */
function size(panel, parts, choices) {
  return [
    oneOf(panel, 'Off the loom it is', choices.finishes, parts.finish, (finish) => ({ edit: 'finish', finish })),
    panel.field('finished', 'Size it should have then', parts.finished ?? '', (size) => ({ edit: 'finished', size: size || null }), { wide: true, hint: parts.finished_hint }),
    ...(parts.finished ? [fits(panel)] : []),
  ];
}

/** Whether a choice was taken whose list is made anew: the focus goes there. */
let took = false;

/**
 * What to change for the size that is wanted, the best first, each with what it costs.
 * @param {Panel} panel
 */
function fits(panel) {
  const element = h('div', { class: 'fits', tabindex: '-1', role: 'group', 'aria-label': 'How to come near', 'data-key': `${panel.name} fits` });
  const show = (/** @type {Fit} */ { said, choices }) => {
    fill(element, said.map((words) => h('p', {}, words)), h('ol', {}, choices.map((one) => h('li', {},
      one.edits.length > 0
        ? panel.action(`fit ${one.number}`, `${begun(one.words)}.`, { edit: 'together', edits: one.edits }, { class: 'remedy' })
        : h('b', {}, `${begun(one.words)}.`),
      h('p', {}, one.comes_of),
      one.new_findings.map(({ severity, weight, words }) => h('p', { class: severity === 'error' ? 'mend' : '' }, h('b', {}, `${begun(weight)}: `), words)),
      one.keeps ? h('p', {}, one.keeps) : null))));
    if (took) element.focus({ preventScroll: true });
    took = false;
  };
  element.addEventListener('click', (event) => {
    took ||= event.target instanceof Element && event.target.closest('.remedy') !== null;
  });
  const found = panel.ways.fit();
  if (found instanceof Promise) {
    found.then(show, (error) => {
      if (!(error instanceof Trouble)) throw error;
      fill(element, h('p', { class: 'mend' }, error.message, ' ', error.help));
    });
  } else {
    show(found);
  }
  return element;
}

/**
 * @param {Panel} panel
 * @param {Parts} parts
 * @param {Choices} choices
 */
function loom(panel, parts, choices) {
  const { loom: frame } = parts;
  const told = (/** @type {string} */ key) => choices.loom.find(({ word }) => word === key) ?? { called: key, words: '' };
  const called = (/** @type {string} */ key) => begun(told(key).called);
  const about = (/** @type {string} */ key) => told(key).words;
  const count = (/** @type {string} */ key) => (/** @type {string} */ value) => (value ? { edit: 'loom', [key]: Number(value) } : null);
  return [h('div', { class: 'fields told-of' },
    panel.field('name', 'What you call it', frame.name ?? '', (name) => (name ? { edit: 'loom', name } : null)),
    panel.field('notches', called('notches'), String(frame.notches), count('notches'), { number: [1, 9999, 1], hint: about('notches') }),
    ...LENGTHS.map((key) => panel.field(key, called(key), frame[key] ?? '', (length) => (length ? { edit: 'loom', [key]: length } : null), { hint: about(key) })),
    panel.field('strands', called('strands'), String(frame.strands), count('strands'), { number: [1, 64, 1], hint: about('strands') })),
  ...(frame.strands > 1 ? [oneOf(panel, 'The strands of a notch are', choices.strands_act_as, frame.strands_act_as, (word) => ({ edit: 'loom', strands_act_as: word }))] : [])];
}

/**
 * @param {Panel} panel
 * @param {Parts} parts
 * @param {Choices} choices
 */
function ends(panel, parts, choices) {
  const { ends: count, repeat, repeat_fewer: fewer, repeat_more: more, most, width, order, path } = parts.warp;
  const to = (/** @type {number} */ ends) => (ends >= 1 && ends <= most ? { edit: 'warp_ends', ends } : null);
  const repeats = fewer !== null || more !== null;
  return [
    panel.group('Ends',
      repeats ? panel.action('repeat-fewer', `${repeat} fewer, a repeat of its weaves`, fewer === null ? null : to(fewer)) : null,
      panel.action('fewer', 'One end fewer', to(count - 1)),
      panel.field('count', 'How many', String(count), (value) => (value ? { edit: 'warp_ends', ends: Number(value) } : null), { number: [1, most, 1], plain: true }),
      panel.action('more', 'One end more', to(count + 1)),
      repeats ? panel.action('repeat-more', `${repeat} more, a repeat of its weaves`, more === null ? null : to(more)) : null),
    h('div', { class: 'fields' },
      panel.field('width', 'Or so wide on the loom', width ?? '', (value) => (value ? { edit: 'warp_width', width: value } : null)),
      panel.field('order', 'Their yarns from the left', order.join(', '), (value) => (value ? { edit: 'warp_order', order: value.split(',').map((run) => run.trim()) } : null),
        { wide: true, hint: `Such as ${parts.sizes.slice(0, 2).map(({ name }, k) => `${2 - k} ${name}`).join(', ')}; they begin again if they fall short` })),
    oneOf(panel, 'It is wound', choices.paths, path, (path) => ({ edit: 'warp_path', path })),
    ...header(panel, parts),
  ];
}

/**
 * What is put in below the first row to spread the warp.
 * @param {Panel} panel
 * @param {Parts} parts
 */
function header(panel, { header: { length, yarn, usual, about }, sizes }) {
  const chosen = (/** @type {boolean} */ pressed) => ({ pressed, class: 'plain chosen' });
  return [
    panel.group('Below the first row',
      panel.action('header none', 'Nothing: it begins at the bar', { edit: 'header', length: null }, chosen(length === null)),
      panel.action('header', 'A header', { edit: 'header', length: length ?? usual, yarn }, chosen(length !== null))),
    ...(length === null ? [] : [h('div', { class: 'fields told-of' },
      panel.field('header length', 'Of the warp it takes', length, (value) => (value ? { edit: 'header', length: value, yarn } : null), { hint: about }),
      panel.select('header yarn', 'The header is', [['', 'a strip of card'], ...sizes.map(({ name }) => /** @type {[string, string]} */ ([name, `woven with ${name}`]))], yarn ?? '',
        (name) => ({ edit: 'header', length, yarn: name || null })))]),
  ];
}

/**
 * A yarn: its colour, its size, where it is, and out it goes if it is nowhere.
 * @param {Panel} panel
 * @param {string} name
 * @param {Parts} parts
 * @param {Choices} choices
 * @param {Map<string, string>} colours
 * @returns {HTMLElement[] | null}
 */
export function yarnPanel(panel, name, parts, choices, colours) {
  const keys = parts.sizes.find((one) => one.name === name);
  if (!keys) return null;
  const others = parts.warp.yarns.includes(name) ? parts.sizes.filter((one) => one.name !== name) : [];
  const place = [
    h('p', { class: 'quiet' }, keys.used),
    ...(keys.instead.length > 0 ? [fold(panel, `instead ${name}`, [`Take ${name} in place of another`],
      ...keys.instead.map(({ words, edit }) => panel.action(`instead ${words}`, begun(words), edit)))] : []),
  ];
  return [
    // What is not woven with yet is looked for a place; of what is, one rather changes the looks.
    ...(keys.unused ? place : []),
    colour(panel, name, colours.get(name) ?? '#888888', choices),
    h('div', { class: 'fields' },
      panel.field('size', 'Size, as its label says', keys.size, (size) => (size ? { edit: 'yarn_size', yarn: name, size } : null), { wide: true, hint: parts.size_hint }),
      panel.select('fibre', 'Made of', choices.fibres.map((fibre) => [fibre, fibre]), keys.fibre, (fibre) => ({ edit: 'yarn_size', yarn: name, size: keys.size, fibre }))),
    fold(panel, `known ${name}`, [keys.all_known], h('div', { class: 'fields' }, ...keys.known.map(({ key, words, typed, hint }) =>
      panel.field(key, begun(words), typed ?? '', (value) => ({ edit: `yarn_${key}`, yarn: name, [key]: value || null }), { wide: true, hint })))),
    ...parts.needles.filter((needle) => needle.yarn === name).flatMap((one) => needle(panel, one)),
    ...(keys.unused ? [] : place),
    ...(others.length > 0 ? [panel.group('For the warp take', others.map((other) => panel.action(`warp ${other.name}`, [ball(colours.get(other.name)), begun(other.name)], { edit: 'warp_yarn', yarn: name, to: other.name }, { class: 'plain dyed' })))] : []),
    ...parts.needles.filter((one) => one.yarn === name && one.idle).map((one) => h('div', {}, panel.action(`remove needle ${one.name}`, `Take the needle ${one.name} out`, { edit: 'weft_remove', weft: one.name }))),
    ...(keys.unused ? [h('div', {}, panel.action('remove', `Take ${name} out of the basket`, { edit: 'yarn_remove', yarn: name }))] : []),
  ];
}

/**
 * How a yarn lies on its needle, and from which side that begins; of a yarn that is no weft nothing.
 * @param {Panel} panel
 * @param {Needle} needle
 */
export function needle(panel, { name, doubled, from }) {
  if (doubled === null) return [];
  const chosen = (/** @type {boolean} */ pressed) => ({ pressed, class: 'plain chosen' });
  return [
    panel.group(`On the needle ${name}`,
      [false, true].map((two) => panel.action(`needle ${name} ${two ? 'doubled' : 'single'}`, two ? 'doubled' : 'single', { edit: 'weft_doubled', weft: name, doubled: two }, chosen(two === doubled)))),
    panel.group(`The needle ${name} starts from`,
      ['left', 'right'].map((side) => panel.action(`needle ${name} ${side}`, `the ${side}`, { edit: 'weft_from', weft: name, from: side }, chosen(side === from)))),
  ];
}

/**
 * Another yarn, which comes in when all of it is said.
 * @param {Panel} panel
 * @param {Draft} draft
 * @param {Parts} parts
 * @param {Choices} choices
 * @param {(name: string) => void} added
 * @returns {HTMLElement[]}
 */
export function anew(panel, draft, parts, choices, added) {
  const free = choices.colours.filter(({ name }) => !parts.sizes.some((yarn) => yarn.name === name));
  draft.colour ??= free[0]?.colour ?? '#888888';
  const edit = () => ({ edit: 'yarn_new', yarn: draft.yarn ?? '', colour: draft.colour, size: draft.size ?? '', fibre: draft.fibre || undefined });
  const tell = () => (draft.yarn && draft.size ? panel.foretold.ask(edit()) : panel.foretold.hush());
  const name = panel.blank('name', 'What you call it', draft.yarn ?? '', (typed) => {
    draft.yarn = typed;
    tell();
  });
  const any = h('input', { type: 'color', value: draft.colour, 'data-key': 'new yarn colour', oninput: () => dye(any.value) });
  const code = h('span', { class: 'quiet' }, draft.colour);
  const theirs = free.map((one) => h('button', {
    type: 'button', class: 'plain dyed chosen', 'data-key': `new yarn colour ${one.name}`, 'data-colour': one.colour, 'aria-pressed': String(one.colour === draft.colour),
    onclick: () => dye(one.colour),
  }, ball(one.colour), one.name));
  /** @param {string} colour */
  function dye(colour) {
    draft.colour = any.value = code.textContent = colour;
    for (const one of theirs) one.setAttribute('aria-pressed', String(one.dataset.colour === colour));
    tell();
  }
  const add = async () => {
    if (await panel.make(edit())) added(draft.yarn ?? '');
  };
  return [h('form', {
    class: 'panel', 'aria-label': 'Another yarn',
    onsubmit: (/** @type {Event} */ event) => {
      event.preventDefault();
      void add();
    },
  },
  h('div', { class: 'fields' }, name,
    panel.blank('size', 'Size, as its label says', draft.size ?? '', (typed) => {
      draft.size = typed;
      tell();
    }, { wide: true, hint: parts.size_hint }),
    panel.select('fibre', 'Made of', [['', 'what its size says, else cotton'], ...choices.fibres.map((fibre) => /** @type {[string, string]} */ ([fibre, fibre]))], draft.fibre ?? '', (fibre) => {
      draft.fibre = fibre;
      tell();
      return null;
    })),
  panel.group('Colour', h('label', { class: 'any-colour' }, any, h('span', { class: 'unseen' }, 'Its colour '), code), theirs),
  h('div', {}, h('button', { class: 'needle small', 'data-key': 'new yarn add' }, 'Put it into the basket')))];
}

/** @param {string | undefined} its */
const ball = (its) => dyed(h('i', { class: 'yarn', 'aria-hidden': 'true' }), its ?? '#888888');

/**
 * A yarn's colour: any, or one that the studio has.
 * @param {Panel} panel
 * @param {string} name
 * @param {string} its
 * @param {Choices} choices
 */
export function colour(panel, name, its, choices) {
  const code = h('span', { class: 'quiet' }, its);
  const input = h('input', {
    type: 'color', value: its, 'data-key': `${panel.name} colour ${name}`,
    oninput: () => {
      code.textContent = input.value;
      panel.foretold.ask({ edit: 'yarn_colour', yarn: name, colour: input.value });
    },
    onchange: () => input.value !== its && void panel.make({ edit: 'yarn_colour', yarn: name, colour: input.value }),
  });
  return panel.group(`Colour of ${name}`,
    h('label', { class: 'any-colour' }, input, h('span', { class: 'unseen' }, `Colour of ${name} `), code),
    choices.colours.map((one) => panel.action(`colour ${name} ${one.name}`, [ball(one.colour), one.name], { edit: 'yarn_colour', yarn: name, colour: one.colour }, { pressed: one.colour === its, class: 'plain dyed chosen' })));
}
