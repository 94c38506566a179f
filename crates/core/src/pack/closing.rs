//! The lowest row that clears its contacts and nowhere curves upward more sharply than it can.
//!
//! Such a row is the lower envelope of all parabolas of one curvature, vertex within the row, that lie above
//! the contacts: a morphological closing. Less its parabola it is the upper hull of the contacts less theirs,
//! so the contacts that carry the row (*supports*) are found by one scan with a stack, and between two of them
//! the row hangs in the parabola through both. Beyond the outermost supports it runs out level at the edge, as
//! if the row were mirrored there.
//!
//! Heights are whole numbers and a hanging row is rounded down, which loses none of these laws: it clears
//! every contact, higher contacts never make a lower row, a mirrored row lies mirrored, and closing once more
//! changes nothing.

use super::Height;

/// Lifts a row from its contacts, one for each place of the row, to where it lies. `sag` is how far the
/// sharpest parabola rises from its vertex to the next place; 0 is a row that doesn't bend. `supports` is room
/// to work in.
pub(super) fn close(row: &mut [Height], sag: Height, supports: &mut Vec<usize>) {
    if sag == Height::FOOT {
        let highest = row.iter().copied().max().unwrap_or_default();
        row.fill(highest);
        return;
    }
    find_supports(row, sag.0, supports);
    let (Some(&first), Some(&last)) = (supports.first(), supports.last()) else { return };
    for at in 0..first {
        row[at] = Height(row[first].0 - sag.0 * ((first - at) * (first + at)) as i64);
    }
    let edge = 2 * (row.len() - 1);
    for at in last + 1..row.len() {
        row[at] = Height(row[last].0 - sag.0 * ((at - last) * (edge - at - last)) as i64);
    }
    for pair in supports.windows(2) {
        if let &[from, to] = pair {
            hang(&mut row[from..=to], sag.0);
        }
    }
}

/// The contacts that carry the row, from the left.
fn find_supports(row: &[Height], sag: i64, supports: &mut Vec<usize>) {
    let between = |a: usize, b: usize| row[b].0 - row[a].0;
    // How much lower than the other a support may lie and still carry the row, if the row runs on level at
    // the edge beyond both.
    let runs_out = |near: usize, far: usize| sag.saturating_mul((near * far) as i64);
    supports.clear();
    for new in 0..row.len() {
        while let Some(&top) = supports.last() {
            let idle = match supports.len().checked_sub(2).and_then(|at| supports.get(at)) {
                None => between(top, new) >= runs_out(new - top, new + top),
                Some(&below) => {
                    let (left, right) = ((top - below) as i64, (new - top) as i64);
                    let kink =
                        between(top, new).saturating_mul(left) - between(below, top).saturating_mul(right);
                    kink >= sag.saturating_mul((left + right) * left * right)
                }
            };
            if !idle {
                break;
            }
            supports.pop();
        }
        supports.push(new);
    }
    let edge = 2 * (row.len().max(1) - 1);
    while let &[.., below, top] = supports.as_slice() {
        if between(top, below) < runs_out(top - below, edge - top - below) {
            break;
        }
        supports.pop();
    }
}

/// A row between two supports that are neighbours: the first and last of these places.
fn hang(row: &mut [Height], sag: i64) {
    let Some(length) = row.len().checked_sub(1).filter(|&length| length > 1) else { return };
    let (from, to) = (row[0].0, row[length].0);
    let length = length as i64;
    // The straight line between them in whole steps, and what is left over.
    let (slope, rest) = ((to - from).div_euclid(length), (to - from).rem_euclid(length));
    let (mut line, mut over) = (from, 0);
    for (at, place) in (1..length).zip(&mut row[1..]) {
        line += slope;
        over += rest;
        if over >= length {
            over -= length;
            line += 1;
        }
        *place = Height(line - sag * (at * (length - at)));
    }
}

#[cfg(test)]
mod tests;
