// What a hand does at an edge of the cloth, drawn: the outermost ends over the fell, the rows that lie there, the yarn in
// the hand with its needle, and what it passes. What lies where is the server's; this file draws it as large as it may.
import { dyed, fill, h, lettered, s } from './dom.js';

/**
 * @typedef {import('./along.js').Row} Row
 * @typedef {import('./along.js').Step} Step
 * @typedef {import('./step-pictures.js').Yarn} Yarn
 * @typedef {{x: (at: number) => number, wide: number, high: number, u: number, edge: number, gap: number, thick: number, letters: number, side: 'left' | 'right'}} Ground
 *   `x` counts from the outside inward, at whichever side; `edge` is where the edge end stands, `gap` how far the next one
 * @typedef {(ground: Ground) => SVGElement[]} Drawing
 * @typedef {(number: number) => Row | undefined} RowOf
 * @typedef {(weft: string) => Yarn} YarnOf
 */

/** As far as the picture goes. */
const MOST_ENDS = 9;

/**
 * A picture that is drawn as large as there is room for it.
 * @param {string} name
 * @param {'left' | 'right'} side at which it is done
 * @param {Drawing} drawing
 */
function picture(name, side, drawing) {
  const element = h('div', { class: `edge-picture ${name} at-${side}`, 'aria-hidden': 'true' });
  const draw = () => {
    const [wide, high] = [Math.min(element.clientWidth, 640), Math.min(element.clientHeight, 440)];
    if (wide < 40 || high < 40) {
      fill(element);
      return;
    }
    const u = Math.min(wide / 320, high / 240);
    fill(element, s('svg', { width: wide, height: high }, ...drawing({
      x: (at) => (side === 'left' ? at : wide - at), wide, high, u, edge: wide * 0.56, gap: Math.max(22, 34 * u),
      thick: Math.min(26, Math.max(10, 20 * u)), letters: Math.min(34, Math.max(16, 24 * u)), side,
    })));
  };
  drawings.set(element, draw);
  new ResizeObserver(draw).observe(element);
  return element;
}

/** How each picture is drawn. @type {WeakMap<Element, () => void>} */
const drawings = new WeakMap();

/**
 * Draws what there is at once: by now it is known how much room there is.
 * @param {HTMLElement} body
 */
export function drawEdges(body) {
  for (const one of body.querySelectorAll('.edge-picture')) drawings.get(one)?.();
}

/**
 * The side of the frame where it is near, and the ends: those of the cloth, and bare ones outside of a row that stops short.
 * @param {Ground} ground
 * @param {{outside: number, inside: number}} ends how many there are beside the edge end
 * @param {number | null} cloth where the cloth begins that lies below what is drawn
 */
function loom({ x, high, u, edge, gap, wide }, { outside, inside }, cloth) {
  const post = Math.max(9, 15 * u);
  const inner = at(edge, gap, Math.min(inside, MOST_ENDS) + 1).filter((at) => at < wide + gap);
  const beyond = at(edge - gap, -gap, Math.min(outside, MOST_ENDS)).filter((at) => at > post);
  const rows = cloth === null ? [] : at(cloth, 9 * u, Math.ceil((high - cloth) / (9 * u)));
  const last = inner.length > inside ? inner.at(-1) ?? edge : wide + gap;
  const frame = (/** @type {number} */ from) => s('rect', { class: 'post', x: Math.min(x(from), x(from + post)), y: -2, width: post, height: high + 4 });
  return [
    ...(outside === 0 ? [frame(0)] : []), ...(inner.length > inside && last + gap < wide - post ? [frame(wide - post)] : []),
    s('path', { class: 'warp beyond', 'stroke-width': 7 * u, d: beyond.map((at) => `M${x(at)} 0V${high}`).join('') }),
    s('path', { class: 'warp', 'stroke-width': 8 * u, d: inner.map((at) => `M${x(at)} 0V${high}`).join('') }),
    s('path', { class: 'rows-below', 'stroke-width': 6 * u, d: rows.map((y) => `M${x(edge - gap * 0.3)} ${y}H${x(last + gap * 0.3)}`).join('') }),
  ];
}

/** @param {number} first @param {number} step @param {number} count */
function at(first, step, count) {
  return Array.from({ length: Math.max(0, count) }, (_, k) => first + k * step);
}

/**
 * A yarn, with an edge of its own so that it is seen on any ground.
 * @param {Ground} ground
 * @param {Yarn} yarn
 * @param {string} d
 * @param {string} [over] the part with which it passes over another: there is a gap round it
 */
function strand({ thick }, yarn, d, over) {
  const line = (/** @type {string} */ name, /** @type {number} */ width, way = d) => s('path', { class: name, 'stroke-width': width, d: way });
  return [...(over ? [line('strand-gap', thick + 10, over)] : []), line('strand-edge', thick + 2.5), dyed(line('strand', thick), yarn.colour)];
}

/**
 * The ends that a yarn lies under, over it again.
 * @param {Ground} ground
 * @param {number} y
 * @param {string[]} passes from the edge end inward
 */
function endsOver({ x, edge, gap, u, thick, wide }, y, passes) {
  const d = passes.map((pass, k) => ({ pass, at: edge + k * gap })).filter(({ pass, at }) => pass === 'under' && at < wide + gap)
    .map(({ at }) => `M${x(at)} ${y - thick / 2 - 3}V${y + thick / 2 + 3}`).join('');
  return [s('path', { class: 'warp-gap', 'stroke-width': 8 * u + 5, d }), s('path', { class: 'warp', 'stroke-width': 8 * u, d })];
}

/**
 * The needle, on its way in under the edge end or over it.
 * @param {Ground} ground
 * @param {number} from
 * @param {number} y
 * @param {string} lies
 */
function needle(ground, from, y, lies) {
  const { x, u, edge, gap } = ground;
  const half = Math.max(5, 7 * u);
  const [back, eye, point, shoulder] = [x(from), x(from + 9 * u), x(edge + gap * 0.72), x(edge + gap * 0.72 - 18 * u)];
  return [
    s('path', { class: 'needle-shape', d: `M${back} ${y - half * 0.7}Q${x(from - half)} ${y} ${back} ${y + half * 0.7}L${shoulder} ${y + half}L${point} ${y}L${shoulder} ${y - half}Z` }),
    s('path', { class: 'needle-eye', 'stroke-width': half * 0.7, d: `M${eye} ${y}H${x(from + 20 * u)}` }),
    ...endsOver({ ...ground, thick: half * 2 }, y, [lies]),
  ];
}

/**
 * A yarn's name on it, as a tag that it is threaded through.
 * @param {Ground} ground
 * @param {Yarn} yarn
 * @param {string} words
 * @param {[number, number]} room from the outside inward
 * @param {number} y
 * @param {boolean} [inner] whether it keeps to the inner end of that
 */
function tag({ x, letters }, yarn, words, [from, to], y, inner = false) {
  const most = Math.abs(to - from);
  const { size, lines, wide } = typeset(words, letters, most - letters);
  const [width, high] = [Math.min(most, wide + size * 1.1), size * (0.5 + 1.1 * lines.length)];
  const left = Math.min(...(inner ? [x(to - width), x(to)] : [x(from), x(from + width)]));
  const first = y - high / 2 + size * 1.08;
  return lettered(s('g', { class: 'tag' },
    s('rect', { x: left, y: y - high / 2, width, height: high, rx: size * 0.8 }),
    ...lines.map((line, k) => s('text', { x: left + width / 2, y: first + k * size * 1.1, 'text-anchor': 'middle', 'font-size': size }, line))), yarn);
}

/** @type {OffscreenCanvasRenderingContext2D | null} */
let pen = null;

/**
 * Words in a room: as large as they may be, in two lines where one is too small, never smaller than can be read.
 * @param {string} words
 * @param {number} most
 * @param {number} room
 */
function typeset(words, most, room) {
  pen ??= new OffscreenCanvas(1, 1).getContext('2d');
  const wide = (/** @type {string} */ line, /** @type {number} */ size) => {
    if (!pen) return line.length * size * 0.56;
    pen.font = `700 ${size}px "Atkinson Hyperlegible Next", system-ui, sans-serif`;
    return pen.measureText(line).width;
  };
  const set = (/** @type {string[]} */ lines) => {
    const longest = (/** @type {number} */ size) => Math.max(...lines.map((line) => wide(line, size)));
    const size = Math.max(16, Math.min(most, (most * room) / longest(most)));
    return { lines, size, wide: longest(size) };
  };
  const whole = set([words]);
  if (whole.size === most) return whole;
  const parts = words.split(/(?<=[ -])/);
  const broken = parts.slice(1).map((_, k) => set([parts.slice(0, k + 1).join('').trim(), parts.slice(k + 1).join('')]));
  return [whole, ...broken].reduce((best, one) => (one.size > best.size * 1.05 || (best.wide > room && one.wide < best.wide) ? one : best));
}

/** @param {Ground} ground @param {string} words @param {number} at @param {number} y */
function word({ x, letters }, words, at, y) {
  return s('text', { class: 'word', x: x(at), y, 'text-anchor': 'middle', 'font-size': letters * 1.05 }, words);
}

/**
 * Which way a yarn is led, on the yarn itself.
 * @param {Ground} ground
 * @param {Yarn} yarn
 * @param {[number, number][]} places
 */
function upwards({ x, thick }, yarn, places) {
  const by = thick * 0.24;
  return lettered(s('path', { class: 'way-on', d: places.map(([at, y]) => `M${x(at) - by * 1.2} ${y + by}l${by * 1.2} ${-by * 2}l${by * 1.2} ${by * 2}`).join('') }), yarn);
}

/** @param {Row} row @param {'left' | 'right'} side @param {number} end */
function beside(row, side, end) {
  const all = row.crossings.length;
  return side === 'left' ? { outside: end - 1, inside: all - end } : { outside: all - end, inside: end - 1 };
}

/**
 * How a row passes the ends, from one of them inward.
 * @param {Row | undefined} row
 * @param {'left' | 'right'} side
 * @param {number} end
 */
function inward(row, side, end) {
  const all = [...row?.crossings ?? ''].slice(side === 'left' ? end - 1 : 0, side === 'left' ? undefined : end);
  return (side === 'left' ? all : all.reverse()).map((pass) => ({ o: 'over', u: 'under' }[pass] ?? ''));
}

/**
 * A yarn that hangs down outside from a row, as far as a height; with a bend that the eye follows.
 * @param {Ground} ground
 * @param {number} y of the row
 * @param {number} foot
 * @param {number} from
 */
function hanging({ x, u, wide }, y, foot, from) {
  const [at, bend] = [Math.max(wide * 0.11, 30 * u), 36 * u];
  return { at, d: `M${x(from)} ${y}H${x(at + bend)}Q${x(at)} ${y} ${x(at)} ${Math.min(y + bend, foot)}V${foot}` };
}

/**
 * The weft that goes round another at the edge: it comes out of its row, passes the other and goes in again above it.
 * @param {Row} row
 * @param {Step} cross
 * @param {RowOf} rowOf
 * @param {YarnOf} yarnOf
 */
export function crossing(row, cross, rowOf, yarnOf) {
  const { side = 'left', end = 1, weft = '', other = '', since_row: since = 1 } = cross;
  const [mine, its] = [yarnOf(weft), yarnOf(other)];
  return picture('crossing', side, (ground) => {
    const { x, high, edge, gap, wide, thick, letters } = ground;
    const [above, middle, below] = [high * 0.19, high * 0.46, high * 0.73];
    // Where it leaves the ends, and the loop's outermost, where the two yarns meet.
    const [out, far] = [edge - gap * 1.05, wide * 0.3];
    const bow = (far - out * 0.25) / 0.75;
    const loop = `M${x(out)} ${below}C${x(bow)} ${below} ${x(bow)} ${above} ${x(out)} ${above}`;
    const [foot, half] = [high - letters * 0.95, thick * 0.65];
    const turns = cross.other_goes === 'turns';
    const lift = thick * 0.75 + (turns ? half : 0);
    const [hang, inside] = [hanging(ground, middle, foot, wide + 9), edge - gap * 0.3];
    // A loop that has gone in again (how its two rows lie further in is not what is shown); or a tail, or the yarn of a needle that waits.
    const [passing, at] = turns ? [`M${x(inside)} ${middle + half}H${x(hang.at + half)}A${half} ${half} 0 0 ${side === 'left' ? 1 : 0} ${x(hang.at + half)} ${middle - half}H${x(inside)}`, foot] : [hang.d, foot];
    const met = (/** @type {boolean} */ over) => strand(ground, its, passing, over ? `M${x(out)} ${middle}H${x(hang.at + thick * 2)}` : undefined);
    const meeting = (/** @type {boolean} */ over) => strand(ground, mine, `M${x(wide + 9)} ${below}H${x(out)}${loop.replace('M', 'L')}`, over ? loop : undefined);
    return [
      ...loom(ground, beside(row, side, end), since > 1 ? below + thick * 0.9 : null), ...(cross.pass === 'under' ? [...meeting(false), ...met(true)] : [...met(false), ...meeting(true)]),
      upwards(ground, mine, [[far, middle + thick * 1.5], [far, middle - thick * 1.5]]),
      ...endsOver(ground, below, [cross.lies ?? '', ...inward(rowOf(since), side, end).slice(1)]),
      ...(turns ? [] : endsOver(ground, middle, [cross.other_lies ?? '', ...inward(rowOf(cross.other_row ?? 1), side, end).slice(1)])),
      ...needle(ground, out, above, cross.lies ?? ''),
      tag(ground, mine, weft, [3, out + 3], above, true),
      tag(ground, its, cross.other_words ?? other, [3, edge - gap * 0.4], turns ? middle + half + letters : at),
      // Where it has room between the two.
      ...(middle - above > lift + letters * 1.9 ? [word(ground, cross.pass ?? '', far / 2 + 2, middle - lift - 5)] : []),
    ];
  });
}

/**
 * A weft that begins at the edge, or is cut there: its tail hangs out, as long as the step says.
 * @param {Row} row the one that it begins, or ends
 * @param {Step} step
 * @param {RowOf} rowOf
 * @param {YarnOf} yarnOf
 */
export function tailed(row, step, rowOf, yarnOf) {
  const { side = 'left', end = 1, weft = '' } = step;
  const [mine, begins] = [yarnOf(weft), step.do === 'begin'];
  return picture(step.do, side, (ground) => {
    const { x, high, edge, gap, wide, thick, letters, u } = ground;
    const [y, foot, out] = [high * 0.3, high * 0.86, edge - gap * 1.05];
    const under = rowOf(row.number - 1);
    const tail = hanging(ground, y, foot, begins ? out : wide + 9);
    const ruled = tail.at + thick + 12 * u;
    const [top, by] = [y + thick + letters * 0.5, 6 * u];
    const passes = inward(row, side, end);
    const lower = high * 0.66;
    return [
      ...loom(ground, beside(row, side, end), under ? lower + (begins ? thick * 0.9 : 0) : null),
      ...(under && begins ? [...strand(ground, yarnOf(under.weft), `M${x(wide + 9)} ${lower}H${x(out)}`), ...endsOver(ground, lower, inward(under, side, end))] : []),
      ...strand(ground, mine, tail.d),
      ...(begins ? needle(ground, out, y, passes[0] ?? '') : endsOver(ground, y, passes)),
      // How long the tail is, and where it is cut.
      s('path', { class: 'ruled', d: `M${x(ruled - by)} ${top}H${x(ruled + by)}M${x(ruled)} ${top}V${foot}M${x(ruled - by)} ${foot}H${x(ruled + by)}` }),
      begins ? s('g') : s('path', { class: 'ruled', d: `M${x(tail.at) - thick} ${foot - thick * 0.55}L${x(tail.at) + thick} ${foot + thick * 0.55}M${x(tail.at) - thick} ${foot + thick * 0.55}L${x(tail.at) + thick} ${foot - thick * 0.55}` }),
      ...(step.tail_words ? [word(ground, step.tail_words, ruled + by + 8 + typeset(step.tail_words, letters * 1.05, wide).wide / 2, Math.min((top + foot) / 2 + letters * 0.4, lower - thick / 2 - letters * 0.35))] : []),
      tag(ground, mine, weft, [3, out + 3], y, true),
    ];
  });
}

/**
 * A weft that has waited while others were woven: it goes up along the edge, past their rows.
 * @param {Row} row
 * @param {Step} carry
 * @param {RowOf} rowOf
 * @param {YarnOf} yarnOf
 */
export function carried(row, carry, rowOf, yarnOf) {
  const { side = 'left', end = 1, weft = '', since_row: since = 1 } = carry;
  const mine = yarnOf(weft);
  return picture('carry', side, (ground) => {
    const { x, high, edge, gap, wide, thick } = ground;
    const [above, below] = [high * 0.19, high * 0.84];
    const [out, far] = [edge - gap * 1.05, wide * 0.3];
    const past = at(since + 1, 1, row.number - since - 1).flatMap((number) => rowOf(number) ?? []).filter((one) => inward(one, side, end)[0]);
    // As many as there is room for.
    const seen = past.slice(-Math.max(1, Math.floor((below - above) / (thick * 1.25)) - 1));
    const each = (below - above) / (seen.length + 1);
    return [
      ...loom(ground, beside(row, side, end), since > 1 ? below + thick * 0.9 : null),
      ...seen.flatMap((one, k) => [...strand(ground, yarnOf(one.weft), `M${x(wide + 9)} ${below - (k + 1) * each}H${x(edge - gap * 0.3)}`), ...endsOver(ground, below - (k + 1) * each, inward(one, side, end))]),
      ...strand(ground, mine, `M${x(wide + 9)} ${below}H${x(out)}C${x(far)} ${below} ${x(far)} ${below} ${x(far)} ${below - thick * 2}V${above + thick * 2}C${x(far)} ${above} ${x(far)} ${above} ${x(out)} ${above}`),
      upwards(ground, mine, [[far, high * 0.62], [far, high * 0.42]]),
      ...endsOver(ground, below, inward(rowOf(since), side, end)),
      ...needle(ground, out, above, inward(row, side, end)[0] ?? ''),
      tag(ground, mine, weft, [3, out + 3], above, true),
    ];
  });
}

/** The ground of a picture of the whole width. @param {Ground} ground @returns {Ground} */
const across = (ground) => ({ ...ground, edge: ground.wide * 0.15, gap: (ground.wide * 0.64) / (MOST_ENDS - 1) });
const ALL = { outside: 0, inside: MOST_ENDS - 1 };
const IN_TURN = at(0, 1, MOST_ENDS).map((k) => (k % 2 === 0 ? 'over' : 'under'));

/**
 * How far apart rows are to lie from here on.
 * @param {Step} beat
 * @param {Yarn} yarn
 */
export function apart(beat, yarn) {
  return picture('beat', 'left', (narrow) => {
    const ground = across(narrow);
    const { high, edge, gap, thick, letters, wide } = ground;
    const far = beat.apart_words ? Math.min(high * 0.3, thick * 2.6) : thick + 3;
    const rows = at(high * 0.8, -far, 3);
    const [first = 0, second = 0] = rows.slice(1).reverse().slice(0, 2);
    const beyond = edge + gap * (MOST_ENDS - 1) + gap * 0.5;
    return [
      ...loom(ground, ALL, null),
      ...rows.flatMap((y, k) => [...strand(ground, yarn, `M${edge - gap * 0.5} ${y}H${beyond}`), ...endsOver(ground, y, k % 2 === 0 ? IN_TURN : IN_TURN.map((pass) => (pass === 'over' ? 'under' : 'over')))]),
      ...(beat.apart_words ? [
        s('path', { class: 'ruled', d: `M${beyond + 4} ${first}h14m-7 0V${second}m-7 0h14` }),
        word(ground, beat.apart_words, beyond - gap * 0.2, Math.max(letters, Math.min(first, second) - thick)),
      ] : [s('path', { class: 'ruled', d: `M${wide / 2} ${high * 0.1}V${(rows.at(-1) ?? 0) - thick}m-9 -10l9 10l9 -10` })]),
    ];
  });
}

/**
 * The header, as it goes in or comes out: over one and under one, at the foot of the warp.
 * @param {Step} step
 */
export function header(step) {
  return picture(step.do, 'left', (narrow) => {
    const ground = across(narrow);
    const { high, edge, gap, thick, wide } = ground;
    const beyond = edge + gap * (MOST_ENDS - 1) + gap * 0.6;
    const [outside, y] = [edge - gap * 0.6, high * (step.yarn ? 0.6 : 0.7)];
    const yarn = { colour: step.colour ?? '', letters: step.letters ?? 'ink' };
    const turned = IN_TURN.map((pass) => (pass === 'over' ? 'under' : 'over'));
    const card = { ...ground, thick: Math.min(thick * 2.4, high * 0.3) };
    const bar = (/** @type {number} */ line) => s('path', { class: line === 0 ? 'card' : 'strand-edge', 'stroke-width': card.thick + line, d: `M${outside} ${y}H${beyond}` });
    return [
      ...loom(ground, ALL, null),
      ...(step.yarn ? at(y + thick, -thick * 1.15, 3).flatMap((line, k) => [...strand(ground, yarn, `M${outside} ${line}H${beyond}`), ...endsOver(ground, line, k % 2 ? turned : IN_TURN)]) : [bar(2.5), bar(0), ...endsOver(card, y, IN_TURN)]),
      s('path', { class: 'ruled', d: `M${wide * 0.3} ${high * 0.24}H${wide * 0.7}m-12 -9l12 9l-12 9` }),
      ...(step.yarn ? [tag(ground, yarn, step.yarn, [outside, beyond], y + thick * 1.1 + ground.letters * 1.3)] : []),
    ];
  });
}
