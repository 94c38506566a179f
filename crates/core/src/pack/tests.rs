//! The packer against its contacts, and its laws. Everything is compared to the last bit.

use super::{Halves, Height, Packer, closing, reach_across_gaps};
use crate::quantity::Mm;
use crate::side::Span;
use crate::thread::Thread;
use proptest::prelude::*;

const ENDS: u32 = 12;

/// A row: its span, its opening (one bit an end) and its weft.
#[derive(Debug, Clone)]
struct Row {
    span: Span,
    over: u32,
    weft: usize,
}

impl Row {
    fn over(&self, end: u32) -> bool {
        self.over >> end & 1 == 1
    }

    /// The height at an end (0) or in the gap to its left (1), in what the packer gave for the row.
    fn at(&self, heights: &[Height], end: u32, gap: usize) -> Height {
        heights[2 * (end - self.span.first()) as usize - gap]
    }

    fn mirrored(&self) -> Row {
        let last = ENDS - 1;
        let span = Span::new(last - self.span.last(), last - self.span.first()).unwrap();
        let over = (0..ENDS).filter(|&end| self.over(last - end)).map(|end| 1 << end).sum();
        Row { span, over, weft: self.weft }
    }
}

/// A warp and wefts, and how they are packed.
#[derive(Debug, Clone)]
struct Setting {
    spacing: f64,
    comb: f64,
    wefts: Vec<Thread>,
}

fn thread(free: f64, flat: f64, squeezed: f64, bend: f64) -> Thread {
    let mm = |value: f64| Mm::new(value);
    Thread {
        free: mm(free),
        thick: mm(free * flat),
        along: mm(free * flat),
        squeezed: mm(free * squeezed),
        bend: mm(bend),
    }
}

fn warp() -> Thread {
    thread(0.7, 0.9, 0.9, 15.0)
}

impl Setting {
    fn packer(&self) -> Packer {
        Packer::new(ENDS, Mm::new(self.spacing), warp(), self.comb)
    }

    fn pack(&self, rows: &[Row]) -> Vec<Vec<Height>> {
        self.pack_apart(rows, None)
    }

    fn pack_apart(&self, rows: &[Row], apart: Option<Mm>) -> Vec<Vec<Height>> {
        let mut packer = self.packer();
        rows.iter()
            .map(|row| {
                packer.lay_bending(row.span, |end| row.over(end), self.wefts[row.weft], apart).to_vec()
            })
            .collect()
    }

    fn bending(&self, bend: f64) -> Setting {
        let wefts = self.wefts.iter().map(|weft| Thread { bend: Mm::new(bend), ..*weft }).collect();
        Setting { wefts, ..self.clone() }
    }
}

fn row() -> impl Strategy<Value = Row> {
    let regular = prop::sample::select(vec![0x555_u32, 0xaaa, 0x333, 0xccc, 0x0f0, 0xf0f, 0xfff, 0]);
    let over = prop_oneof![0..1_u32 << ENDS, regular];
    let whole = prop::bool::weighted(0.7);
    (over, whole, 0..ENDS, 0..ENDS, 0_usize..3).prop_map(|(over, whole, a, b, weft)| {
        let span = if whole { Span::all(ENDS) } else { Span::new(a.min(b), a.max(b)) };
        Row { span: span.unwrap(), over, weft }
    })
}

fn rows() -> impl Strategy<Value = Vec<Row>> {
    prop::collection::vec(row(), 1..30)
}

fn setting() -> impl Strategy<Value = Setting> {
    let bend = prop_oneof![Just(f64::INFINITY), Just(0.0), 1.0..200.0];
    let weft = (0.3..2.5, 0.5..1.2, 0.4..1.3, bend).prop_map(|(d, e, f, r)| thread(d, e, f, r));
    (0.6..7.0, 0.5..1.5, prop::collection::vec(weft, 3)).prop_map(|(spacing, comb, wefts)| Setting {
        spacing,
        comb,
        wefts,
    })
}

/// How far two rows must lie apart wherever they meet: calls `met` with the end, 1 for the gap to its left or
/// 0 for the end itself, and the distance. From the cloth model, row against row.
fn meetings(a: (&Row, Halves), b: (&Row, Halves), mut met: impl FnMut(u32, usize, Height)) {
    let ((one, of_one), (other, of_other)) = (a, b);
    let Some(common) = one.span.common(other.span) else { return };
    for end in common.ends() {
        if one.over(end) == other.over(end) {
            met(end, 0, of_one.along + of_other.along);
        } else if of_other.jam > Height::FOOT {
            met(end, 0, of_one.jam + of_other.jam);
        }
        if end == common.first() {
            continue;
        }
        let change = |row: &Row| (row.over(end - 1) != row.over(end)).then(|| row.over(end));
        match (change(one), change(other)) {
            (Some(a), Some(b)) if a == b => met(end, 1, of_one.along + of_other.along),
            (Some(_), Some(_)) => met(end, 1, of_one.squeezed + of_other.squeezed),
            _ => {}
        }
    }
}

proptest! {
    #[test]
    fn no_two_rows_overlap(setting in setting(), rows in rows()) {
        let heights = setting.pack(&rows);
        let halves = |row: &Row| setting.packer().halves(setting.wefts[row.weft]);
        for (k, above) in rows.iter().enumerate() {
            for (i, below) in rows[..k].iter().enumerate() {
                let mut least = Vec::new();
                meetings((below, halves(below)), (above, halves(above)), |end, gap, distance| {
                    let apart = above.at(&heights[k], end, gap) - below.at(&heights[i], end, gap);
                    least.push((apart, distance));
                });
                for (apart, distance) in least {
                    prop_assert!(apart >= distance, "rows {} and {}: {:?} {:?}", i, k, apart, distance);
                }
            }
        }
    }

    /// Each row is the closing of what all rows below it and the foot ask for, one by one.
    #[test]
    fn each_row_lies_as_low_as_all_rows_below_let_it(setting in setting(), rows in rows()) {
        let heights = setting.pack(&rows);
        let halves = |row: &Row| setting.packer().halves(setting.wefts[row.weft]);
        for (k, above) in rows.iter().enumerate() {
            let own = halves(above);
            let mut lies = vec![own.along; heights[k].len()];
            for end in above.span.ends().skip(1) {
                let place = 2 * (end - above.span.first()) as usize - 1;
                if above.over(end - 1) != above.over(end) {
                    lies[place] = lies[place].max(own.squeezed);
                }
            }
            for (i, below) in rows[..k].iter().enumerate() {
                meetings((below, halves(below)), (above, own), |end, gap, distance| {
                    let place = 2 * (end - above.span.first()) as usize - gap;
                    lies[place] = lies[place].max(below.at(&heights[i], end, gap) + distance);
                });
            }
            reach_across_gaps(&mut lies);
            closing::close(&mut lies, setting.packer().sag(setting.wefts[above.weft]), &mut Vec::new());
            prop_assert_eq!(&lies, &heights[k], "row {}", k);
        }
    }

    #[test]
    fn one_more_row_lowers_no_other(setting in setting(), rows in rows(), more in row(), at in 0_usize..30) {
        let at = at % (rows.len() + 1);
        let mut longer = rows.clone();
        longer.insert(at, more);
        let (few, mut many) = (setting.pack(&rows), setting.pack(&longer));
        many.remove(at);
        for (few, many) in few.iter().zip(&many) {
            prop_assert!(few.iter().zip(many).all(|(few, many)| few <= many));
        }
    }

    #[test]
    fn a_mirrored_cloth_lies_mirrored(setting in setting(), rows in rows()) {
        let mirrored: Vec<Row> = rows.iter().map(Row::mirrored).collect();
        let mut heights = setting.pack(&rows);
        heights.iter_mut().for_each(|row| row.reverse());
        prop_assert_eq!(setting.pack(&mirrored), heights);
    }

    #[test]
    fn stiffer_rows_lie_nowhere_lower(setting in setting(), rows in rows(), a in 1.0..300.0, b in 1.0..300.0) {
        let stiff = setting.bending(f64::max(a, b)).pack(&rows);
        let limp = setting.bending(f64::min(a, b)).pack(&rows);
        for (stiff, limp) in stiff.iter().flatten().zip(limp.iter().flatten()) {
            prop_assert!(stiff >= limp);
        }
    }

    /// Rows that don't bend are those that a piece is planned with, and those of the plain sum in f64.
    #[test]
    fn rows_that_do_not_bend_are_level(setting in setting(), rows in rows()) {
        let setting = setting.bending(f64::INFINITY);
        let (mut level, mut packer) = (Vec::<f64>::new(), setting.packer());
        for (k, (row, bending)) in rows.iter().zip(setting.pack(&rows)).enumerate() {
            let height = packer.lay(row.span, |end| row.over(end), setting.wefts[row.weft], None);
            prop_assert!(bending.iter().all(|place| place.mm() == height));
            let own = packer.halves(setting.wefts[row.weft]);
            let changes = row.span.ends().skip(1).any(|end| row.over(end - 1) != row.over(end));
            let mut least = if changes { own.along.max(own.squeezed) } else { own.along }.mm().mm();
            for (below, &lies) in rows[..k].iter().zip(&level) {
                let halves = packer.halves(setting.wefts[below.weft]);
                meetings((below, halves), (row, own), |_, _, d| least = least.max(lies + d.mm().mm()));
            }
            prop_assert!((least - height.mm()).abs() < 1e-9);
            level.push(least);
        }
    }

    /// Rows that are kept apart lie so far above whatever lies below them on every end, and nowhere lower than where nothing
    /// keeps them.
    #[test]
    fn rows_kept_apart_lie_so_far_apart_at_least(setting in setting(), rows in rows(), apart in 0.1..8.0) {
        let apart = Mm::new(apart);
        let (close, open) = (setting.pack(&rows), setting.pack_apart(&rows, Some(apart)));
        let mut highest = [None; ENDS as usize];
        for ((row, close), open) in rows.iter().zip(&close).zip(&open) {
            for end in row.span.ends() {
                let at = row.at(open, end, 0);
                prop_assert!(at >= row.at(close, end, 0));
                if let Some(below) = highest[end as usize] {
                    prop_assert!(at >= below + Height::distance(apart));
                }
                highest[end as usize] = Some(highest[end as usize].map_or(at, |below| at.max(below)));
            }
        }
    }

    /// In a gap in which it meets nothing, a row lies no higher than halfway between its ends.
    #[test]
    fn a_row_does_not_rise_where_nothing_lifts_it(setting in setting(), rows in rows()) {
        let heights = setting.pack(&rows);
        for (row, heights) in rows.iter().zip(heights) {
            for end in row.span.ends().skip(1).filter(|&end| row.over(end - 1) == row.over(end)) {
                let [left, gap, right] = [(end - 1, 0), (end, 1), (end, 0)].map(|(e, g)| row.at(&heights, e, g));
                prop_assert!(gap.0 * 2 <= left.0 + right.0 + 1);
            }
        }
    }
}

/// Plain rows of one yarn that are kept farther apart than the yarn keeps them lie exactly so far apart, whatever the comb
/// does: 2 mm is 5 rows per cm.
#[test]
fn plain_rows_lie_as_far_apart_as_they_are_beaten() {
    for comb in [0.5, 1.0, 1.5] {
        let mut packer = Packer::new(8, Mm::new(4.0), warp(), comb);
        let weft = thread(0.8, 0.7, 0.6, 10.0);
        let mut last = None;
        for row in 0..50 {
            let mean =
                packer.lay_mean(Span::all(8).unwrap(), |end| end % 2 == row % 2, weft, Some(Mm::new(2.0)));
            assert!(last.is_none_or(|last: Mm| ((mean - last).mm() - 2.0).abs() < 1e-6), "{comb}: row {row}");
            last = Some(mean);
        }
    }
}

#[test]
fn distances_without_sense_harm_nothing() {
    let odd = thread(f64::NAN, 1.0, f64::INFINITY, f64::NAN);
    let mut packer = Packer::new(3, Mm::new(4.0), warp(), 1.0);
    let span = Span::all(3).unwrap();
    for row in 0..100 {
        packer.lay_bending(span, |end| end % 2 == row % 2, odd, Some(Mm::new(f64::NAN)));
    }
    assert!(packer.fell().mm().is_finite());
}
