// Asking the server. Every answer is what it says; nothing is worked out here.

/** Something that could not be done, in the server's words. */
export class Trouble extends Error {
  /**
   * @param {number} status 0 where no answer came
   * @param {any} body
   */
  constructor(status, body) {
    super(body?.message ?? body?.problem?.message ?? 'Fellmark does not answer.');
    this.status = status;
    this.help = String(body?.help ?? body?.problem?.help ?? (status === 0 ? 'Is it still running, and is this device on its network?' : ''));
    this.body = body;
  }
}

/**
 * @param {string} method
 * @param {string} path
 * @param {unknown} [body]
 * @returns {Promise<any>}
 */
async function ask(method, path, body) {
  /** @type {Response} */
  let response;
  try {
    response = await fetch(path, {
      method,
      headers: body === undefined ? {} : { 'content-type': body instanceof Blob ? 'application/octet-stream' : 'application/json' },
      body: body === undefined || body instanceof Blob ? body : JSON.stringify(body),
    });
  } catch {
    throw new Trouble(0, null);
  }
  const text = await response.text().catch(() => '');
  /** @type {any} */
  let answer = null;
  try {
    answer = text ? JSON.parse(text) : null;
  } catch {
    answer = null;
  }
  if (!response.ok) throw new Trouble(response.status, answer);
  return answer;
}

/**
 * Sends a file as it is.
 * @param {string} path
 * @param {Blob} file
 */
export const send = (path, file) => ask('POST', path, file);

/** @param {string} path */
export const get = (path) => ask('GET', path);

/**
 * @param {string} path
 * @param {unknown} [body]
 */
export const post = (path, body = {}) => ask('POST', path, body);

/**
 * The address of a part of something, each part made safe.
 * @param {TemplateStringsArray} strings
 * @param {...(string | number)} parts
 */
export function at(strings, ...parts) {
  return String.raw({ raw: strings }, ...parts.map((part) => encodeURIComponent(part)));
}
