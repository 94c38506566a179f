// Where a weaving is: which row comes next, and where the needles wait for theirs. The server says so with every answer.
// Rows that are ticked while no answer comes must lead on all the same, so this is worked out here too; a test compares it
// with the server (web/tests/place.test.mjs).

/**
 * @template {{number: number, weft: string, from: 'left' | 'right'}} R
 * @param {R[]} rows of the piece, in the order of weaving
 * @param {Set<number>} done
 * @returns {{next: R | null, before: R | null, needles: {weft: string, side: 'left' | 'right'}[]}} the first row that is not
 *   done; the one that lies below it, or the last where all are done; and the wefts that have rows to come and have woven
 *   one, each with its side
 */
export function placeOf(rows, done) {
  const at = rows.findIndex(({ number }) => !done.has(number));
  const [below, coming] = at < 0 ? [rows, []] : [rows.slice(0, at), rows.slice(at)];
  // Where a needle waits is where its next row starts.
  const wefts = [...new Set(below.map(({ weft }) => weft))];
  const needles = wefts.flatMap((weft) => {
    const row = coming.find((one) => one.weft === weft);
    return row ? [{ weft, side: row.from }] : [];
  });
  return { next: coming[0] ?? null, before: below.at(-1) ?? null, needles };
}
