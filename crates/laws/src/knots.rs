//! The topology behind the rule of what holds: closed curves in space and how often they wind round each other.
//!
//! A turn is drawn with its loop closed inside the edge end, on the face on which its rows pass that end: this
//! is how the loop would lie if it slipped in. Where its yarn passes another yarn on that same face, the two
//! keep the order that they have at the turn, since neither can pass through the other.

/// A point: outward from the edge end, up the cloth, and towards the weaver.
pub type Point = [i64; 3];

/// How often two closed curves wind round each other: half the sum of the signed crossings in the projection
/// along the third axis (Gauss 1833; Rolfsen, *Knots and Links*, 1976, section 5D; from memory).
///
/// # Panics
/// If the two lie so that a crossing falls on a corner, or if they meet.
#[must_use]
pub fn linking_number(one: &[Point], two: &[Point]) -> i64 {
    let sides = |curve: &[Point]| -> Vec<(Point, Point)> {
        (0..curve.len()).map(|at| (curve[at], curve[(at + 1) % curve.len()])).collect()
    };
    let twos = sides(two);
    let twice: i64 = sides(one).iter().flat_map(|a| twos.iter().map(|b| crossing(*a, *b))).sum();
    assert_eq!(twice % 2, 0, "closed curves cross an even number of times");
    twice / 2
}

/// The sign of a crossing: 0 if the two do not cross in the projection.
fn crossing((a, b): (Point, Point), (c, d): (Point, Point)) -> i64 {
    let turn = |p: Point, q: Point, r: Point| (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
    let (abc, abd, cda, cdb) = (turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b));
    let apart = |first: i64, second: i64| first.signum() * second.signum() > 0;
    if apart(abc, abd) || apart(cda, cdb) || [abc, abd, cda, cdb] == [0; 4] {
        return 0;
    }
    assert!(![abc, abd, cda, cdb].contains(&0), "a crossing on a corner: {a:?} {b:?} {c:?} {d:?}");
    // Heights at the crossing, over the common denominator of each line.
    let height = |p: Point, q: Point, at_p: i64, at_q: i64| {
        let (weight_p, weight_q) = (at_q.abs(), at_p.abs());
        (p[2] * weight_p + q[2] * weight_q, weight_p + weight_q)
    };
    let (first, under_first) = height(a, b, cda, cdb);
    let (second, under_second) = height(c, d, abc, abd);
    let in_front = first * under_second - second * under_first;
    assert_ne!(in_front, 0, "two curves meet");
    let handed = ((b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])).signum();
    handed * in_front.signum()
}

/// A strand of another yarn at the edge between the two rows of a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Strand {
    /// Its row.
    pub row: i64,
    /// Whether it lies over the edge end.
    pub over: bool,
}

/// Another yarn at the edge where a turn is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Other {
    /// Its strand between the two rows of the turn.
    pub strand: Strand,
    /// The strand in which it goes on, below, between or above the rows of the turn; `None`: it waits, or ends
    /// in a tail.
    pub goes_on: Option<Strand>,
    /// Whether it passes in front of the turn, or behind it.
    pub in_front: bool,
}

const ROW: i64 = 10;
const FACE: i64 = 4;

fn face(over: bool) -> i64 {
    if over { FACE } else { -FACE }
}

/// How often a loose turn between `rows`, over or under the edge end, winds round another yarn's loop.
///
/// # Panics
/// If the other's strand does not lie between the rows.
#[must_use]
pub fn turn_and_other(rows: (i64, i64), over: bool, other: Other) -> i64 {
    let between = |strand: &Strand| rows.0 < strand.row && strand.row < rows.1;
    assert!(between(&other.strand), "{other:?} does not come between {rows:?}");
    let strands: Vec<Strand> =
        std::iter::once(other.strand).chain(other.goes_on).filter(|strand| between(strand)).collect();
    linking_number(&turn(rows, over, &strands, other.in_front), &passing(rows, other))
}

/// Out over or under the edge end (at 0), up along the edge, in again, and down inside it.
fn turn(rows: (i64, i64), over: bool, strands: &[Strand], in_front: bool) -> Vec<Point> {
    let (low, high, z) = (rows.0 * ROW, rows.1 * ROW, face(over));
    let mut curve =
        vec![[-10, low, z], [5, low, z], [20, low, 0], [20, high, 0], [5, high, z], [-10, high, z]];
    let mut beside: Vec<Strand> = strands.iter().copied().filter(|strand| strand.over == over).collect();
    beside.sort_by_key(|strand| std::cmp::Reverse(strand.row));
    for strand in beside {
        let order = if in_front { -2 } else { 2 };
        curve.extend([[-10, strand.row * ROW + 2, z + order], [-10, strand.row * ROW - 2, z + order]]);
    }
    curve
}

/// Past the edge end on its face, past the turn in front or behind, on along the edge, and back to the inside.
fn passing(rows: (i64, i64), other: Other) -> Vec<Point> {
    let pass = if other.in_front { 3 } else { -3 };
    let out = |strand: Strand| -> [Point; 5] {
        let (y, z) = (strand.row * ROW, face(strand.over));
        let pass = if rows.0 < strand.row && strand.row < rows.1 { pass } else { 0 };
        [[-30, y, z], [5, y, z], [15, y, pass], [25, y, pass], [40, y, 0]]
    };
    let away = Strand { row: rows.1 + 1, over: other.strand.over };
    let back = out(other.goes_on.unwrap_or(away));
    out(other.strand).into_iter().chain(back.into_iter().rev()).collect()
}
