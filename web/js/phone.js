// Weave from your phone: the door for devices on the network, opened and closed here, and who was let in.
import { Trouble, at, get, post } from './api.js';
import { fill, h, styled } from './dom.js';
import { onNotice } from './events.js';
import { when } from './pieces.js';
import { choice, openSettings } from './settings.js';

/**
 * @typedef {{id: string, name: string, may: 'follow' | 'edit', since: number, seen: number, now: boolean}} Device
 * @typedef {{words: string, link: string, may: 'follow' | 'edit', weaving: string | null, ends: number}} Code
 * @typedef {{open: boolean, addresses: string[], code: Code | null, over: null | 'used' | 'late' | 'guessed', devices: Device[]}} Network
 */

/** @type {Record<string, string>} */
const OVER = {
  late: 'The code’s time is over. Ask for another.',
  guessed: 'Five tries were wrong, so the code is void. If it was not you, somebody on this network is guessing: close it.',
};

/**
 * @param {HTMLElement} root
 * @param {string} weaving the weaving that a device is to show first, or nothing
 */
export async function showPhone(root, weaving) {
  document.title = 'Weave from your phone – Fellmark';
  /** @type {Network} */
  let network = await get('/api/network');
  await styled('phone');
  let timer = 0;
  /** The device that is given another name now, and the form for it, which stays while the list is drawn anew. */
  let renaming = /** @type {{id: string, form: HTMLElement} | null} */ (null);

  const door = h('section', { class: 'door', 'aria-label': 'Open or closed' });
  const told = h('p', { class: 'told', role: 'status' });
  const inside = h('section', { class: 'letting', 'aria-labelledby': 'letting' });
  const list = h('section', { class: 'devices', 'aria-labelledby': 'devices' });

  /**
   * Asks for something, says what came of it, and puts the focus where it goes on.
   * @param {string} path
   * @param {object} body
   * @param {string} words
   * @param {string} [then] what is looked at next
   * @returns {Promise<boolean>} whether it was done
   */
  async function ask(path, body, words, then) {
    try {
      take(await post(path, body));
      fill(told, words);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      // What went wrong is said last: what is looked at anew may say something too, and who hears it goes on at once.
      await look().catch(() => {});
      fill(told, error.message, ' ', error.help);
      return false;
    }
    if (then) /** @type {HTMLElement | null} */ (root.querySelector(then))?.focus();
    return true;
  }

  /** @param {Device} device */
  function rename({ id, name }) {
    const field = h('input', { type: 'text', maxlength: 40, size: 20, autocomplete: 'off', 'aria-label': `Name of ${name}`, value: name });
    const leave = () => {
      renaming = null;
      show();
      /** @type {HTMLElement | null} */ (root.querySelector(`[data-device="${id}"] [data-way=rename]`))?.focus();
    };
    const form = h('form', { class: 'renaming',
      onsubmit: async (/** @type {Event} */ event) => {
        event.preventDefault();
        if (field.value.trim() === name) return leave();
        const done = await ask(at`/api/devices/${id}/name`, { name: field.value }, 'It has its new name.');
        if (done) leave();
        else field.focus();
      },
      onkeydown: (/** @type {KeyboardEvent} */ event) => event.key === 'Escape' && leave(),
    }, field, h('button', { class: 'plain', type: 'submit' }, 'Keep this name'), h('button', { class: 'plain', type: 'button', onclick: leave }, 'Leave it as it was'));
    renaming = { id, form };
    show();
    field.focus();
    field.select();
  }

  async function look() {
    take(await get('/api/network'));
  }

  /** @param {Network} next */
  function take(next) {
    const known = new Set(network.devices.map(({ id }) => id));
    const come = next.devices.find(({ id }) => !known.has(id));
    const over = next.over !== network.over && next.over !== null ? OVER[next.over] : undefined;
    network = next;
    if (come) fill(told, `${come.name} is let in.`);
    else if (over) fill(told, over);
    show();
  }

  function show() {
    const held = place(document.activeElement);
    const { open, addresses, code, devices } = network;
    clearTimeout(timer);
    if (code) timer = window.setTimeout(() => void look(), Math.max(0, code.ends - Date.now()) + 250);
    const [address, ...others] = addresses;
    fill(door,
      open
        ? [h('p', {}, h('b', {}, 'It is open.'), ' A device that you let in reaches this computer at ', h('b', { class: 'address' }, address ?? ''), others.length > 0 ? `, or else at ${others.join(' or ')}` : '', '.'),
          h('button', { class: 'needle', 'data-door': 'shut', onclick: () => void ask('/api/network/shut', {}, 'Closed. No other device reaches Fellmark now.', '[data-door]') }, 'Close it')]
        : [h('p', {}, 'A phone or tablet on the same network can show your pieces and weave along. It is closed: no other device reaches Fellmark until you open it.'),
          h('button', { class: 'needle', 'data-door': 'open', onclick: () => void ask('/api/network/open', {}, 'It is open. Now let a device in.', '#letting') }, 'Open it')]);
    inside.hidden = !open;
    const offer = (/** @type {'follow' | 'edit'} */ may, /** @type {string} */ words, /** @type {string} */ about) => h('li', {},
      h('button', { class: 'plain', 'data-right': may, onclick: () => void ask('/api/network/code', weaving ? { may, weaving } : { may }, 'Here is a code.', '#code-title') }, words),
      h('p', { class: 'quiet' }, about));
    fill(inside,
      h('h2', { id: 'letting', tabindex: '-1' }, 'Let a device in'),
      h('ul', { class: 'rights' },
        offer('edit', 'One that may edit', 'It ticks rows and changes pieces, as this computer does: the phone beside the loom.'),
        offer('follow', 'One that may follow', 'It sees everything and changes nothing: for someone who looks on.')),
      code && address ? shown(code, address) : null);
    fill(list,
      h('h2', { id: 'devices', tabindex: '-1' }, 'Devices that are let in'),
      devices.length === 0 ? h('p', { class: 'quiet' }, 'None.') : h('ul', {}, devices.map((device) => h('li', { 'data-device': device.id },
        renaming?.id === device.id ? renaming.form : h('p', {}, h('b', {}, device.name), h('span', { class: 'quiet' }, device.now ? ', here now ' : `, seen ${when(device.seen)} `),
          h('button', { class: 'plain', 'data-way': 'rename', onclick: () => rename(device) }, 'Rename', h('span', { class: 'unseen' }, ` ${device.name}`))),
        choice(`${device.name}:`, [['edit', 'may edit'], ['follow', 'may follow']], device.may,
          (may) => void ask(at`/api/devices/${device.id}/may`, { may }, `${device.name} may ${may} now.`)),
        h('button', { class: 'plain', 'data-way': 'send-away', onclick: () => void ask(at`/api/devices/${device.id}/send-away`, {}, `${device.name} is sent away.`, '#devices') },
          'Send away', h('span', { class: 'unseen' }, ` ${device.name}`))))));
    // What is drawn anew must not lose the place of who goes through it by keys.
    const again = held && root.querySelector(held);
    if (again instanceof HTMLElement && again !== document.activeElement) again.focus();
  }

  /**
   * @param {Code} code
   * @param {string} address
   */
  function shown(code, address) {
    return h('div', { class: 'offered' },
      h('img', { class: 'qr', src: `/api/network/code.svg?of=${code.ends}`, alt: `QR code of the address ${code.link}`, width: 240, height: 240 }),
      h('div', {},
        h('h3', { id: 'code-title', tabindex: '-1' }, 'Scan this with the phone’s camera'),
        h('p', {}, 'or open ', h('b', { class: 'address' }, address), ' on it and type'),
        h('p', { class: 'code' }, code.words),
        h('p', { class: 'quiet' }, `It lets in one device that may ${code.may}`, code.weaving ? ', and shows it the weaving you came from' : '', `. It works once, until ${clock(code.ends)}.`)));
  }

  fill(root,
    h('header', { class: 'top' },
      h('a', { class: 'mark', href: '#/' }, 'Fellmark'),
      weaving ? h('a', { class: 'plain', href: at`#/weave/${weaving}` }, 'Back to weaving') : null,
      h('a', { class: 'plain', href: '#/' }, 'All pieces'),
      h('button', { class: 'plain', onclick: () => openSettings() }, 'Settings')),
    h('main', { id: 'main', class: 'phone' },
      h('h1', {}, 'Weave from your phone'), door, told, inside, list,
      h('section', { 'aria-labelledby': 'know' },
        h('h2', { id: 'know' }, 'What to know before you open it'),
        h('p', {}, 'Between the device and this computer everything goes as plain http. Anyone on this network who listens could read it, and could then do what that device may, until you send it away. At home those are the people who have your network’s password. Close it when you are done; it also closes when Fellmark ends, when this computer leaves the network, and after twelve hours.'),
        h('p', {}, 'On a network that you share with people you don’t know, as in a school, a shared studio or a guest house, leave it closed, or ask whoever looks after the network first.'),
        h('p', {}, 'If the phone finds nothing: is it on the same network, and not on one for guests? This computer’s firewall may have to let Fellmark through.'),
        h('p', {}, 'Over plain http a browser can’t keep the screen on. Set the phone so that its screen stays on; its place is kept anyway.'))));
  show();
  const stop = onNotice((notice) => {
    if (notice.devices || notice.all) void look().catch(() => {});
  });
  return () => {
    clearTimeout(timer);
    stop();
  };
}

/**
 * How to find an element again after it was drawn anew.
 * @param {Element | null} element
 */
function place(element) {
  const device = element?.closest('[data-device]')?.getAttribute('data-device');
  if (device) {
    const way = element?.getAttribute('data-way');
    const one = element?.matches('[type=radio]') ? 'input:checked' : way ? `[data-way=${way}]` : element?.matches('button') ? `.renaming button[type=${element.getAttribute('type')}]` : '.renaming input';
    return `[data-device="${device}"] ${one}`;
  }
  if (element?.matches('[data-right]')) return `[data-right="${element.getAttribute('data-right')}"]`;
  if (element?.matches('[data-door]')) return '[data-door]';
  return element?.id && element.closest('.phone') ? `#${element.id}` : null;
}

/** @param {number} moment */
function clock(moment) {
  return new Date(moment).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
}
