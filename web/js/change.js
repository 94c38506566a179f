// What the phrases of the first sentence open: what the piece is for, its loom, its ends and its yarns, each changed in
// place.
import { begun, dyed, h } from './dom.js';
import { Panel } from './panel.js';

/**
 * @typedef {{uses: {word: string, words: string}[], weaves: {name: string, words: string, weave: object, rows: string[]}[], fibres: string[],
 *   colours: {name: string, colour: string}[], most_rows: number}} Choices
 * @typedef {{use: string, loom: Record<string, any>, warp: {ends: number, width: string | null, order: string[], yarns: string[], repeat: number | null, most: number},
 *   sizes: {name: string, size: string, fibre: string}[], needles: {name: string, yarn: string, colour: string}[],
 *   bands: import('./band.js').Band[], stack: import('./band.js').Entry[]}} Parts
 */

/** Keys of the frame that hold a length, and what they are called. */
const LENGTHS = [
  ['pitch', 'Pitch'], ['turn_to_turn', 'Turn to turn'], ['clear_height', 'Clear height'], ['out_of_reach', 'Out of reach at the top'],
];

/**
 * @param {import('./panel.js').Ways} ways
 * @param {() => {parts: Parts | undefined, choices: Choices, colours: Map<string, string>}} now
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
  if (part.about === 'purpose') return [purpose(panel, parts, choices)];
  if (part.about === 'loom') return loom(panel, parts);
  if (part.about === 'ends') return [ends(panel, parts)];
  if (part.about === 'yarn' && part.yarn) return yarn(panel, part.yarn, parts, choices, colours);
  return null;
}

/**
 * @param {Panel} panel
 * @param {Parts} parts
 * @param {Choices} choices
 */
function purpose(panel, parts, choices) {
  return panel.group('What it is for', choices.uses.map(({ word, words }) => panel.action(word, begun(words), { edit: 'use', use: word }, { pressed: word === parts.use, class: 'plain chosen' })));
}

/**
 * @param {Panel} panel
 * @param {Parts} parts
 */
function loom(panel, parts) {
  const { loom: frame } = parts;
  return [h('div', { class: 'fields' },
    panel.field('name', 'What you call it', frame.name ?? '', (name) => (name ? { edit: 'loom', name } : null)),
    panel.field('notches', 'Notches', String(frame.notches), (count) => (count ? { edit: 'loom', notches: Number(count) } : null), { number: [1, 9999, 1] }),
    ...LENGTHS.map(([key = '', label = '']) => panel.field(key, label, frame[key] ?? '', (length) => (length ? { edit: 'loom', [key]: length } : null))))];
}

/**
 * @param {Panel} panel
 * @param {Parts} parts
 */
function ends(panel, parts) {
  const { ends: count, repeat, most } = parts.warp;
  const to = (/** @type {number} */ ends) => (ends >= 1 && ends <= most ? { edit: 'warp_ends', ends } : null);
  // A repeat that the frame has no notches for is not offered.
  const repeats = repeat && repeat > 1 && (to(count - repeat) || to(count + repeat));
  return panel.group('Ends',
    repeats ? panel.action('repeat-fewer', `A repeat of ${repeat} fewer`, to(count - repeat)) : null,
    panel.action('fewer', 'One end fewer', to(count - 1)),
    panel.field('count', 'How many', String(count), (value) => (value ? { edit: 'warp_ends', ends: Number(value) } : null), { number: [1, most, 1], plain: true }),
    panel.action('more', 'One end more', to(count + 1)),
    repeats ? panel.action('repeat-more', `A repeat of ${repeat} more`, to(count + repeat)) : null);
}

/**
 * @param {Panel} panel
 * @param {string} name
 * @param {Parts} parts
 * @param {Choices} choices
 * @param {Map<string, string>} colours
 */
function yarn(panel, name, parts, choices, colours) {
  const keys = parts.sizes.find((one) => one.name === name);
  if (!keys) return null;
  const others = parts.warp.yarns.includes(name) ? parts.sizes.filter((one) => one.name !== name) : [];
  return [
    colour(panel, name, colours.get(name) ?? '#888888', choices),
    h('div', { class: 'fields' },
      panel.field('size', 'Size, as its label says', keys.size, (size) => (size ? { edit: 'yarn_size', yarn: name, size } : null), { wide: true }),
      panel.select('fibre', 'Made of', choices.fibres.map((fibre) => [fibre, fibre]), keys.fibre, (fibre) => ({ edit: 'yarn_size', yarn: name, size: keys.size, fibre }))),
    ...(others.length > 0 ? [panel.group('For the warp take', others.map((other) => panel.action(`warp ${other.name}`, [ball(colours.get(other.name)), begun(other.name)], { edit: 'warp_yarn', yarn: name, to: other.name }, { class: 'plain dyed' })))] : []),
  ];
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
