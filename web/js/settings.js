// How the reader wants the page: kept on this device, never part of a plan.
import { h } from './dom.js';

const KEY = 'fellmark.settings';

/**
 * Every setting: what it is called, and its choices, the usual one first.
 * @type {Record<string, {label: string, choices: [string, string][]}>}
 */
const ALL = {
  units: { label: 'Measure in', choices: [['cm', 'cm'], ['inch', 'inches']] },
  hand: { label: 'Needle in the', choices: [['right', 'right hand'], ['left', 'left hand']] },
  print: { label: 'Print', choices: [['usual', 'usual'], ['large', 'large']] },
  light: { label: 'Light', choices: [['auto', 'as this device'], ['day', 'day'], ['evening', 'evening']] },
  contrast: { label: 'Contrast', choices: [['usual', 'usual'], ['high', 'high']] },
  drawn: { label: 'Pieces drawn as', choices: [['cloth', 'cloth'], ['lines', 'lines']] },
  aloud: { label: 'Read aloud', choices: [['asked', 'when I ask'], ['row', 'each row'], ['part', 'part by part']] },
  pace: { label: 'It is read', choices: [['usual', 'calmly'], ['slow', 'slowly'], ['quick', 'quickly']] },
};

/** @type {Record<string, string>} */
let chosen = {};
/** @type {Set<() => void>} */
const listeners = new Set();

/** Takes the settings that this device has kept. */
export function wake() {
  try {
    chosen = JSON.parse(localStorage.getItem(KEY) ?? '{}');
  } catch {
    chosen = {};
  }
  show();
}

/** @param {string} name */
export function setting(name) {
  const usual = ALL[name]?.choices[0]?.[0] ?? '';
  const value = chosen[name];
  return ALL[name]?.choices.some(([choice]) => choice === value) ? String(value) : usual;
}

/**
 * @param {string} name
 * @param {string} value
 */
export function choose(name, value) {
  chosen[name] = value;
  try {
    localStorage.setItem(KEY, JSON.stringify(chosen));
  } catch {
    // This device keeps nothing; the choice holds until the page goes.
  }
  show();
  for (const listener of [...listeners]) listener();
}

const dark = window.matchMedia('(prefers-color-scheme: dark)');
dark.addEventListener('change', () => {
  if (setting('light') === 'auto') for (const listener of [...listeners]) listener();
});

/** Whether the page is shown in its evening colours. */
export function evening() {
  const light = setting('light');
  return light === 'evening' || (light === 'auto' && dark.matches);
}

/**
 * @param {() => void} listener
 * @returns {() => void}
 */
export function onSettings(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function show() {
  for (const name of Object.keys(ALL)) document.documentElement.dataset[name] = setting(name);
}

/**
 * Two or three choices in a row, one of them taken.
 * @param {string} label
 * @param {[string, string][]} choices
 * @param {string} taken
 * @param {(value: string) => void} take
 */
export function choice(label, choices, taken, take) {
  const name = `choice-${Math.random().toString(36).slice(2)}`;
  return h('fieldset', { class: 'choice' },
    h('legend', {}, label),
    h('div', {}, choices.map(([value, words]) => h('label', {},
      h('input', { type: 'radio', name, value, checked: value === taken, onchange: () => take(value) }),
      h('span', {}, words)))));
}

/**
 * The settings, in a dialogue of their own.
 * @param {(Node | string)[]} more what a view adds
 */
export function openSettings(...more) {
  const close = h('button', { class: 'needle', onclick: () => dialog.close() }, 'Done');
  const dialog = h('dialog', { class: 'sheet', 'aria-labelledby': 'settings-title', onclose: () => dialog.remove() },
    h('h2', { id: 'settings-title' }, 'How you read it'),
    h('p', { class: 'quiet' }, 'Kept on this device. It changes no side, no row and no finding.'),
    Object.entries(ALL).map(([name, { label, choices }]) => choice(label, choices, setting(name), (value) => choose(name, value))),
    ...more, h('div', { class: 'closes' }, close));
  document.body.append(dialog);
  dialog.showModal();
}
