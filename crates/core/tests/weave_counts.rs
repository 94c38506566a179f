//! How many weaves there are of a kind, counted over what the program makes: against published counts, and against
//! the definition itself on small grids.

use fellmark_core::grid::Grid;
use fellmark_core::hang::layers;
use fellmark_core::side::{Side, Span};
use fellmark_core::weave::{NamedWeave, TwillKind, Weave, satin_steps};
use std::collections::BTreeSet;
use std::num::NonZeroU32;

/// A square of crossings, row by row.
type Square = Vec<Vec<bool>>;

fn shifted(square: &Square, up: usize, right: usize) -> Square {
    let n = square.len();
    (0..n).map(|row| (0..n).map(|end| square[(row + up) % n][(end + right) % n]).collect()).collect()
}

fn mirrored(square: &Square) -> Square {
    square.iter().map(|row| row.iter().rev().copied().collect()).collect()
}

fn upside_down(square: &Square) -> Square {
    square.iter().rev().cloned().collect()
}

/// Seen from the back: over is under. (The mirror that comes with it is one of its own.)
fn turned_over(square: &Square) -> Square {
    square.iter().map(|row| row.iter().map(|over| !over).collect()).collect()
}

/// Rows as ends, and seen from the other face, so that what lay over still does.
fn exchanged(square: &Square) -> Square {
    let n = square.len();
    (0..n).map(|row| (0..n).map(|end| square[end][row]).collect()).collect()
}

/// All that a square becomes by repeating some changes, itself among them.
fn orbit(square: &Square, changes: &[fn(&Square) -> Square]) -> BTreeSet<Square> {
    let mut found = BTreeSet::from([square.clone()]);
    let mut open = vec![square.clone()];
    while let Some(next) = open.pop() {
        for change in changes {
            let other = change(&next);
            if found.insert(other.clone()) {
                open.push(other);
            }
        }
    }
    found
}

const SHIFTS: [fn(&Square) -> Square; 2] = [|s| shifted(s, 1, 0), |s| shifted(s, 0, 1)];
const MIRRORS: [fn(&Square) -> Square; 4] = [SHIFTS[0], SHIFTS[1], mirrored, upside_down];
const FACES: [fn(&Square) -> Square; 5] = [SHIFTS[0], SHIFTS[1], mirrored, upside_down, turned_over];

fn grid(square: &Square) -> Grid {
    let ends = square.len() as u32;
    let mut grid = Grid::new(ends);
    for row in square {
        grid.push_row(Span::all(ends).unwrap()).unwrap().fill(|end| row[end as usize]);
    }
    grid
}

/// Whether every row and every end goes both over and under.
fn has_no_constant_line(square: &Square) -> bool {
    let mixed = |line: &[bool]| line.contains(&true) && line.contains(&false);
    let n = square.len();
    square.iter().all(|row| mixed(row))
        && (0..n).all(|end| mixed(&square.iter().map(|row| row[end]).collect::<Vec<_>>()))
}

/// Of all squares of a size, the kinds up to some changes: all, those without a constant line, and those that hang
/// together.
fn kinds(n: usize, changes: &[fn(&Square) -> Square]) -> [usize; 3] {
    let mut seen = BTreeSet::new();
    let mut counts = [0; 3];
    for number in 0_u32..1 << (n * n) {
        let square: Square =
            (0..n).map(|row| (0..n).map(|end| number >> (row * n + end) & 1 == 1).collect()).collect();
        if seen.contains(&square) {
            continue;
        }
        seen.extend(orbit(&square, changes));
        counts[0] += 1;
        counts[1] += usize::from(has_no_constant_line(&square));
        counts[2] += usize::from(layers(&grid(&square)).hangs_together());
    }
    counts
}

/// Repeats of n x n up to shifts: all are OEIS A179043 (7, 64, 4156), those without a constant line A270858 (1, 14,
/// 1446). Those that hang together, and all that counts mirrors and faces: counted by another program of our own that
/// tries sets of strands.
#[test]
fn weaves_up_to_symmetry_are_as_many_as_published() {
    assert_eq!(kinds(2, &SHIFTS), [7, 1, 1]);
    assert_eq!(kinds(3, &SHIFTS), [64, 14, 14]);
    assert_eq!(kinds(4, &SHIFTS), [4156, 1446, 1436]);
    assert_eq!(kinds(3, &MIRRORS)[1..], [6, 6]);
    assert_eq!(kinds(4, &MIRRORS)[1..], [465, 460]);
    assert_eq!(kinds(2, &FACES), [5, 1, 1]);
    assert_eq!(kinds(3, &FACES), [18, 3, 3]);
    assert_eq!(kinds(4, &FACES), [787, 268, 263]);
}

/// The definition itself, where rows cover only some ends: no strands short of all may lift off, that is lie over
/// whatever they cross. All grids of these sizes, all spans of every row.
#[test]
fn no_set_of_strands_lifts_off_a_cloth_of_short_rows_that_hangs_together() {
    for (rows, ends) in [(1_usize, 4_u32), (2, 2), (2, 3), (2, 4), (3, 2), (3, 3), (4, 2)] {
        // Every way to weave one row: its span, and what lies over what.
        let spans =
            (0..ends).flat_map(|first| (first..ends).map(move |last| Span::new(first, last).unwrap()));
        let ways: Vec<(Span, u32)> =
            spans.flat_map(|span| (0..1_u32 << span.len()).map(move |bits| (span, bits))).collect();
        let strands = rows + ends as usize;
        for number in 0..ways.len().pow(rows as u32) {
            let mut grid = Grid::new(ends);
            // For every strand, those that lie over it somewhere.
            let mut above = vec![0_u32; strands];
            for row in 0..rows {
                let (span, bits) = ways[number / ways.len().pow(row as u32) % ways.len()];
                let over = |end: u32| bits >> (end - span.first()) & 1 == 1;
                grid.push_row(span).unwrap().fill(over);
                for end in span.ends() {
                    let at = rows + end as usize;
                    if over(end) { above[at] |= 1 << row } else { above[row] |= 1 << at }
                }
            }
            let lifts = |set: u32| (0..strands).all(|s| set >> s & 1 == 0 || above[s] & !set == 0);
            let holds = (1..(1_u32 << strands) - 1).all(|set| !lifts(set));
            assert_eq!(layers(&grid).hangs_together(), holds, "{rows} x {ends}, number {number}");
        }
    }
}

fn opening(weave: &Weave, ends: u32) -> Vec<bool> {
    (0..ends).map(|end| weave.over(0, end)).collect()
}

/// Twills of a repeat of n ends, each up to where it begins, its lean and its face: OEIS A000046, which calls them
/// twills (W. D. Hoskins & A. P. Street, *Twills on a given number of harnesses*, J. Austral. Math. Soc. A 33 (1982)
/// 1-15).
#[test]
fn twills_on_so_many_ends_are_as_many_as_published() {
    let published = [1, 1, 2, 3, 5, 8, 14, 21, 39, 62, 112];
    for (n, count) in (2_u32..).zip(published) {
        let mut seen: BTreeSet<Vec<bool>> = BTreeSet::new();
        let mut kinds = 0;
        // Every way to part n ends into floats, an even number of them: a cut after an end, or none.
        for cuts in 0_u32..1 << (n - 1) {
            let mut fraction = vec![1_u32];
            for end in 0..n - 1 {
                if cuts >> end & 1 == 1 { fraction.push(1) } else { *fraction.last_mut().unwrap() += 1 }
            }
            if fraction.len() % 2 == 1 {
                continue;
            }
            let fraction = fraction.into_iter().map(|f| NonZeroU32::new(f).unwrap()).collect();
            let weave = NamedWeave::Twill { fraction, lean: Side::Right, kind: TwillKind::Straight }
                .expand()
                .unwrap();
            let bits = opening(&weave, n);
            let comes_again =
                |after: usize| (0..n as usize).all(|k| bits[k] == bits[(k + after) % n as usize]);
            if (1..n as usize).any(|after| (n as usize).is_multiple_of(after) && comes_again(after))
                || seen.contains(&bits)
            {
                continue;
            }
            kinds += 1;
            for from in 0..n as usize {
                let turned: Vec<bool> = (0..n as usize).map(|k| bits[(k + from) % n as usize]).collect();
                let back: Vec<bool> = turned.iter().rev().copied().collect();
                for one in [turned, back] {
                    seen.insert(one.iter().map(|over| !over).collect());
                    seen.insert(one);
                }
            }
        }
        assert_eq!(kinds, count, "on {n} ends");
    }
}

/// Every way to part n ends into floats over and under in turn, an even number of them, and the twill's first row.
fn twills(n: u32) -> impl Iterator<Item = (usize, Vec<bool>)> {
    (0_u32..1 << (n - 1)).filter_map(move |cuts| {
        let mut fraction = vec![1_u32];
        for end in 0..n - 1 {
            if cuts >> end & 1 == 1 { fraction.push(1) } else { *fraction.last_mut().unwrap() += 1 }
        }
        let floats = fraction.len();
        let fraction = fraction.into_iter().map(|f| NonZeroU32::new(f).unwrap()).collect();
        let twill = NamedWeave::Twill { fraction, lean: Side::Right, kind: TwillKind::Straight };
        floats.is_multiple_of(2).then(|| (floats, opening(&twill.expand().unwrap(), n)))
    })
}

/// One of all the rows that a twill's first row becomes by where it begins, its lean and its face.
fn the_same_twill(row: &[bool]) -> Vec<bool> {
    let turned = (0..row.len()).map(|from| [&row[from..], &row[..from]].concat());
    let leans = turned.flat_map(|row| [row.iter().rev().copied().collect(), row]);
    leans.flat_map(|row: Vec<bool>| [row.iter().map(|over| !over).collect(), row]).min().unwrap()
}

/// Twills that come round after n ends, or a part of them, by their interlacings: 2k changes of face. OEIS A259342, after
/// Theorem 1 of Hoskins & Street (as above); its first of each line is the row with no change, which is no twill. Of 2n ends of
/// which n go over: A006840, after Hoskins, Praeger & Street, Congr. Numer. 40 (1983) 77-89.
#[test]
fn twills_by_their_interlacings_and_balanced_ones_are_as_many_as_published() {
    for (n, published) in [(8_u32, vec![4, 8, 4, 1]), (9, vec![4, 10, 7, 1]), (10, vec![5, 16, 16, 5, 1])] {
        let mut kinds = vec![BTreeSet::new(); published.len()];
        for (floats, row) in twills(n) {
            kinds[floats / 2 - 1].insert(the_same_twill(&row));
        }
        assert_eq!(kinds.iter().map(BTreeSet::len).collect::<Vec<_>>(), published, "on {n} ends");
    }
    for (half, published) in (1_usize..).zip([1, 2, 3, 7, 13, 35]) {
        let balanced =
            twills(2 * half as u32).filter(|(_, row)| row.iter().filter(|over| **over).count() == half);
        let kinds: BTreeSet<Vec<bool>> = balanced.map(|(_, row)| the_same_twill(&row)).collect();
        assert_eq!(kinds.len(), published, "{half} of {} ends over", 2 * half);
    }
}

/// Satins on n ends: as many steps as numbers below n that share no divisor with it, but for 1 and n - 1 (Euler's
/// function less 2; OEIS A000010). A step and its mirror are one satin seen from the other side; and up to the exchange
/// of rows and ends those of steps s and t with s t = 1 (mod n) are one (B. Grünbaum & G. C. Shephard, *Satins and
/// twills*, Math. Mag. 53 (1980) 139-161; from memory).
#[test]
fn satins_on_so_many_ends_are_as_many_as_there_are_steps() {
    let table = [
        (5, 2, 1, 1),
        (6, 0, 0, 0),
        (7, 4, 2, 1),
        (8, 2, 1, 1),
        (9, 4, 2, 1),
        (10, 2, 1, 1),
        (11, 8, 4, 2),
        (12, 2, 1, 1),
        (13, 10, 5, 3),
        (14, 4, 2, 1),
        (15, 6, 3, 2),
        (16, 6, 3, 2),
        (17, 14, 7, 4),
        (24, 6, 3, 3),
    ];
    for (on, steps, mirrors, with_exchange) in table {
        assert_eq!(satin_steps(on).len(), steps, "on {on} ends");
        let squares: Vec<Square> = satin_steps(on)
            .into_iter()
            .map(|step| {
                let weave = NamedWeave::satin(on, Some(step), true).unwrap().expand().unwrap();
                (0..on).map(|row| (0..on).map(|end| weave.over(row, end)).collect()).collect()
            })
            .collect();
        let kinds = |changes: &[fn(&Square) -> Square]| {
            let mut seen = BTreeSet::new();
            let mut count = 0;
            for square in &squares {
                if !seen.contains(square) {
                    count += 1;
                    seen.extend(orbit(square, changes));
                }
            }
            count
        };
        assert_eq!(kinds(&MIRRORS), mirrors, "on {on} ends, up to mirrors");
        let all = [SHIFTS[0], SHIFTS[1], mirrored, upside_down, exchanged];
        assert_eq!(kinds(&all), with_exchange, "on {on} ends, up to the exchange of rows and ends");
        for square in &squares {
            assert!(layers(&grid(square)).hangs_together());
        }
    }
}
