// The weaver's own pace, from rows done on this device one after the other.

const KEEP = 25;
const PAUSE = 15 * 60_000; // a longer gap is a pause, not a row
const QUICKEST = 5_000; // nobody weaves a row faster: one that was woven before is ticked now
const ENOUGH = 4; // rows before anything is said

export class Pace {
  /** @type {number[]} */
  #rows = [];
  #last = Date.now();

  /** @param {string} weaving */
  constructor(weaving) {
    this.key = `fellmark.pace.${weaving}`;
    try {
      this.#rows = JSON.parse(localStorage.getItem(this.key) ?? '[]');
    } catch {
      this.#rows = [];
    }
  }

  /** A row was done. */
  row() {
    const now = Date.now();
    const took = now - this.#last;
    this.#last = now;
    if (took > PAUSE || took < QUICKEST) return;
    this.#rows = [...this.#rows, took].slice(-KEEP);
    try {
      localStorage.setItem(this.key, JSON.stringify(this.#rows));
    } catch {
      // Not kept; it is learnt anew.
    }
  }

  /** A row was taken back: it is not known how long it takes. */
  back() {
    this.#rows.pop();
    this.#last = Date.now();
  }

  /**
   * What is left, at this pace, no more exactly than it can be known.
   * @param {number} rows
   * @param {number | null} minutes for a row, as the server knows it
   */
  left(rows, minutes) {
    const own = [...this.#rows].sort((a, b) => a - b);
    const middle = own.length >= ENOUGH ? (own[Math.floor(own.length / 2)] ?? 0) / 60_000 : minutes;
    if (middle === null || rows === 0) return '';
    const whole = middle * rows;
    if (whole < 1.5) return 'about a minute left';
    if (whole < 20) return `about ${Math.round(whole)} min left`;
    if (whole < 90) return `about ${Math.round(whole / 5) * 5} min left`;
    return `about ${Math.round(whole / 30) / 2} h left`.replace('.5', '½');
  }
}
