// The page on which a device on the network is let in, by the code that the computer shows.
import { Trouble, at, post } from './api.js';
import { fill, h, styled } from './dom.js';

/**
 * @param {HTMLElement} root
 * @param {string} code from the address; it is tried at once
 * @param {Trouble} [why] why the code is asked for
 * @returns {Promise<() => void>}
 */
export async function showLetIn(root, code, why) {
  document.title = 'Weave from your phone – Fellmark';
  await styled('phone');
  // A code stays in no history.
  if (code) history.replaceState(null, '', '#/let-in');
  const said = h('div', { role: 'alert', class: 'let-in-said', id: 'let-in-said' });
  const field = h('input', {
    type: 'text', id: 'code', class: 'code', maxlength: 12, size: 8, autocomplete: 'off', autocapitalize: 'characters', spellcheck: 'false',
    enterkeyhint: 'go', 'aria-describedby': 'let-in-said',
  });
  field.value = code;
  let busy = false;

  async function attempt() {
    if (busy) return;
    busy = true;
    try {
      const { weaving } = await post('/api/pair', { code: field.value });
      if (weaving) sessionStorage.setItem(`fellmark.going.${weaving}`, '1');
      location.replace(weaving ? at`#/weave/${weaving}` : '#/');
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      fill(said, h('p', { class: 'mend' }, error.message), h('p', {}, error.help));
      field.focus();
      field.select();
    } finally {
      busy = false;
    }
  }

  const title = h('h1', { tabindex: '-1' }, why?.message ?? 'Weave from your phone');
  fill(root, h('main', { class: 'trouble let-in', id: 'main' },
    title,
    h('p', {}, why?.help ?? 'On the computer, choose “Weave from your phone”. It shows a code: type it here.'),
    h('form', { onsubmit: (/** @type {Event} */ event) => {
      event.preventDefault();
      void attempt();
    } },
    h('label', { for: 'code' }, 'Code'),
    field,
    h('button', { class: 'needle', type: 'submit' }, 'Let me in')),
    said));
  // Who only hears the page hears that it is another one now.
  if (why) title.focus();
  if (code) await attempt();
  return () => {};
}
