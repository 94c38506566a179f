// Keeping the screen on, where the browser can.

/**
 * Asks for the screen to stay on until the answer is called.
 * @returns {{can: boolean, leave: () => void}}
 */
export function stayAwake() {
  if (!('wakeLock' in navigator)) return { can: false, leave: () => {} };
  /** @type {any} */
  let lock = null;
  let gone = false;
  const ask = () => {
    if (gone || document.visibilityState !== 'visible') return;
    navigator.wakeLock.request('screen').then((got) => {
      if (gone) void got.release();
      else lock = got;
    }, () => {
      // The device is low on power, or does not want to; nothing is lost.
    });
  };
  ask();
  document.addEventListener('visibilitychange', ask);
  return {
    can: true,
    leave() {
      gone = true;
      document.removeEventListener('visibilitychange', ask);
      void lock?.release();
    },
  };
}
