// The plan's text, in a plain editor. It is saved when asked, and what can't be read is shown where it stands. What is not
// saved yet is kept on this device until it is, or until it is thrown away.
import { Trouble } from './api.js';
import { fill, h } from './dom.js';
import { Drafts } from './drafts.js';
import { mayEdit } from './who.js';

/** @typedef {{message: string, help: string, line: number | null, column: number | null}} Problem */

/**
 * @param {{id: string, text: string, save: (text: string) => Promise<void>, found: () => void}} given `found`: what was
 *   written and not saved is there again
 */
export function planText({ id, text, save, found }) {
  const drafts = new Drafts(id);
  const kept = drafts.get();
  const trouble = h('div', { role: 'alert', class: 'problem' });
  const state = h('span', { class: 'quiet', role: 'status' });
  const keep = h('button', { class: 'needle small', onclick: () => void store(), disabled: true }, 'Save the text');
  const area = h('textarea', {
    class: 'plan', spellcheck: 'false', autocapitalize: 'off', autocomplete: 'off', wrap: 'off', 'aria-label': 'The plan’s text', rows: 24,
    oninput: () => changed(),
    onkeydown: (/** @type {KeyboardEvent} */ event) => {
      if ((event.ctrlKey || event.metaKey) && event.key === 's') {
        event.preventDefault();
        void store();
      }
    },
  });
  area.value = kept?.text ?? text;
  let saved = text;
  /** The text that was there when this one was begun. */
  let from = kept?.from ?? text;
  const away = h('button', { class: 'plain', hidden: true, onclick: () => throwAway() }, 'Throw it away');
  let loses = false;

  // A field has one kind of line end.
  const isChanged = () => area.value !== saved.replace(/\r\n?/g, '\n');

  function changed() {
    if (!isChanged()) from = saved;
    keep.disabled = away.hidden = !isChanged();
    fill(state, isChanged() ? words() : '');
    loses = !drafts.put(isChanged() ? { text: area.value, from } : null);
  }

  const words = () => (!mayEdit() ? 'Not saved: this device only follows now. What you wrote is kept on it.' : from === saved ? 'Not saved yet; it is kept on this device.'
    : 'Not saved yet. The piece was changed since you began: saving puts your text in its place, and Undo brings that back.');

  function throwAway() {
    area.value = saved;
    fill(trouble);
    changed();
    area.focus();
  }

  async function store() {
    if (!isChanged()) return;
    const sent = area.value;
    try {
      await save(sent);
      saved = sent;
      fill(trouble);
      changed();
      fill(state, 'saved');
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      const problem = error.body?.problem;
      if (problem) tell(problem);
      else fill(trouble, h('p', { class: 'mend' }, error.message), h('p', {}, error.help));
    }
  }

  /** @param {Problem} problem */
  function tell(problem) {
    const { message, help, line, column } = problem;
    const said = line ? area.value.split('\n')[line - 1] ?? '' : '';
    const before = said.slice(0, Math.max(0, (column ?? 1) - 1));
    fill(trouble,
      h('p', { class: 'mend' }, line ? `Line ${line}, column ${column}: ` : '', message),
      line ? h('pre', { 'aria-hidden': 'true' }, said, '\n', before.replace(/[^\t]/g, ' '), h('b', {}, '^')) : null,
      help ? h('p', {}, help) : null,
      line ? h('button', { class: 'plain', onclick: () => go(line, column ?? 1) }, `Go to line ${line}`) : null);
  }

  /**
   * @param {number} line
   * @param {number} column
   */
  function go(line, column) {
    const lines = area.value.split('\n');
    const at = lines.slice(0, line - 1).reduce((sum, one) => sum + one.length + 1, 0) + column - 1;
    area.focus();
    area.setSelectionRange(at, at + Math.max(1, (/^\S+/.exec(area.value.slice(at)) ?? [''])[0].length));
    area.scrollTop = Math.max(0, (line - 6) * (area.scrollHeight / lines.length));
  }

  const warn = (/** @type {Event} */ event) => {
    if (loses) event.preventDefault();
  };
  window.addEventListener('beforeunload', warn);
  changed();
  meet();
  void drafts.find((left) => {
    if (isChanged()) return false;
    [area.value, from] = [left.text, left.from];
    changed();
    if (isChanged()) found();
    return !loses;
  }).then(() => {
    area.dataset.looked = 'yes';
  });

  /** Who may not change a piece reads its text. */
  function meet() {
    area.readOnly = !mayEdit();
    keep.hidden = !mayEdit();
    changed();
  }

  return {
    element: h('div', { class: 'plan-text' }, area, h('div', { class: 'plan-keep' }, keep, away, state), trouble),
    meet,
    tell,
    isChanged,
    /**
     * Another text has come from elsewhere; what is being written is left alone.
     * @param {string} other
     */
    take(other) {
      if (!isChanged()) area.value = other;
      saved = other;
      changed();
    },
    leave: () => window.removeEventListener('beforeunload', warn),
  };
}
