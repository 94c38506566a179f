//! Which turns lie beside which at an edge, and where their yarns cross.
//!
//! Yarn that goes up the edge past other rows takes a lane of its own. What turns within another's turn lies
//! inside it. Where yarn of an outer lane comes out of the cloth or goes into it, it crosses the inner lanes
//! that go up there. Where all of that lies is reckoned here too, once for the line drawing and the relief.

use crate::cloth::{Cloth, is_tail, outward};
use fellmark_core::side::Side;
use fellmark_core::walk::Turn;
use std::collections::BTreeMap;

/// From the end of a row to the middle of the yarn that goes up beside it, from one lane to the next, how much farther out
/// two turns lie that cross each other, and how much farther a turn bulges that nothing holds: in widths of the widest weft.
const BESIDE: f64 = 0.38;
const LANE: f64 = 0.75;
const CROSSED: f64 = 0.2;
const BULGE: f64 = 0.9;

/// The turns round one end at one side.
pub(crate) struct Edge {
    pub(crate) side: Side,
    pub(crate) end: u32,
    /// In the order in which they are completed.
    pub(crate) loops: Vec<Loop>,
    pub(crate) tails: Vec<Tail>,
    pub(crate) crossings: Vec<Crossing>,
    /// Where all lanes are passed, from the middle of the end outward.
    pub(crate) past: f64,
}

/// A turn and its lane, 0 next to the cloth.
pub(crate) struct Loop {
    pub(crate) turn: Turn,
    pub(crate) lane: u32,
    /// How far the middle of its yarn lies outward from the middle of the end.
    pub(crate) out: f64,
    /// How far it may reach.
    pub(crate) room: f64,
    /// How wide its yarn may be there.
    pub(crate) widest: f64,
}

/// The yarn before its first row or after its last.
pub(crate) struct Tail {
    pub(crate) row: u32,
    pub(crate) begins: bool,
}

/// A place where yarn that comes from farther out crosses an inner lane.
pub(crate) struct Crossing {
    /// The loop farther out; `None`: a tail.
    pub(crate) outer: Option<usize>,
    /// The loop whose lane is crossed.
    pub(crate) inner: usize,
    /// The row at whose height they cross.
    pub(crate) row: u32,
    /// Which of them is in front, seen from the front.
    pub(crate) outer_in_front: bool,
}

/// All edges at which something is to be drawn.
pub(crate) fn edges(cloth: &Cloth) -> Vec<Edge> {
    let (piece, walk) = (&cloth.study.piece, &cloth.study.walk);
    let mut known: BTreeMap<(Side, u32), Edge> = BTreeMap::new();
    let new = |side, end| Edge {
        side,
        end,
        loops: Vec::new(),
        tails: Vec::new(),
        crossings: Vec::new(),
        past: 0.0,
    };
    for turn in walk.turns() {
        if cloth.rows.contains(&turn.since) || cloth.rows.contains(&turn.row) {
            let edge = known.entry((turn.side, turn.end)).or_insert_with(|| new(turn.side, turn.end));
            edge.loops.push(Loop {
                turn: *turn,
                lane: 0,
                out: 0.0,
                room: f64::INFINITY,
                widest: f64::INFINITY,
            });
        }
    }
    for stretch in &walk.stretches {
        let (Some(&first), Some(&last)) = (stretch.rows.first(), stretch.rows.last()) else { continue };
        let from = piece.row(first).from;
        for (row, side, begins) in [(first, from, true), (last, piece.row(last).from.other(), false)] {
            if cloth.rows.contains(&row) {
                let end = piece.crossings(row).span().edge(side);
                let edge = known.entry((side, end)).or_insert_with(|| new(side, end));
                edge.tails.push(Tail { row, begins });
            }
        }
    }
    let mut edges: Vec<Edge> = known.into_values().collect();
    for edge in &mut edges {
        lay_out(cloth, edge);
        cross_tails(cloth, edge);
        measure(cloth, edge);
    }
    edges
}

/// Gives each loop its lane and finds where loops cross.
fn lay_out(cloth: &Cloth, edge: &mut Edge) {
    let by_since: BTreeMap<u32, usize> =
        edge.loops.iter().enumerate().map(|(k, one)| (one.turn.since, k)).collect();
    // A loop that holds one which goes up past all of it must lie farther out than that.
    let holders: Vec<Option<usize>> =
        edge.loops.iter().map(|one| held_within(&one.turn, &by_since, &edge.loops)).collect();
    let mut holds_around = vec![false; edge.loops.len()];
    for &holder in holders.iter().flatten() {
        holds_around[holder] = true;
    }
    for (k, &holder) in holders.iter().enumerate() {
        let turn = edge.loops[k].turn;
        let overlapping: Vec<usize> =
            (0..k).rev().take_while(|&other| edge.loops[other].turn.row > turn.since).collect();
        let mut least = u32::from(holds_around[k]);
        for &other in &overlapping {
            let within = edge.loops[other].turn.since > turn.since;
            if within && Some(other) != holder {
                least = least.max(edge.loops[other].lane + 1);
            }
        }
        let mut lane = least;
        while overlapping.iter().any(|&other| edge.loops[other].lane == lane) {
            lane += 1;
        }
        edge.loops[k].lane = lane;
        for &other in &overlapping {
            cross(cloth, edge, k, other);
        }
    }
}

/// The loop that holds this one though it has turned again meanwhile, if there is one.
fn held_within(turn: &Turn, by_since: &BTreeMap<u32, usize>, loops: &[Loop]) -> Option<usize> {
    let hold = turn.held.filter(|hold| hold.made_here && !is_tail(hold.grip))?;
    let &holder = by_since.get(&hold.row)?;
    (loops[holder].turn.row < turn.row).then_some(holder)
}

fn cross(cloth: &Cloth, edge: &mut Edge, a: usize, b: usize) {
    let (outer, inner) = if edge.loops[a].lane > edge.loops[b].lane { (a, b) } else { (b, a) };
    let (o, i) = (edge.loops[outer].turn, edge.loops[inner].turn);
    // The one that began first waits at the edge while the other comes out past it.
    let outer_in_front =
        if o.since < i.since { cloth.in_front_of(&o, i.since) } else { !cloth.in_front_of(&i, o.since) };
    for row in [o.since, o.row] {
        if i.since < row && row < i.row && cloth.rows.contains(&row) {
            edge.crossings.push(Crossing { outer: Some(outer), inner, row, outer_in_front });
        }
    }
}

/// Works out where the lanes lie.
fn measure(cloth: &Cloth, edge: &mut Edge) {
    let widest = cloth.broadest;
    let mut crossed = vec![false; edge.loops.len()];
    for crossing in &edge.crossings {
        crossed[crossing.inner] = true;
        if let Some(outer) = crossing.outer {
            crossed[outer] = true;
        }
    }
    // A row may end at another end than its turn goes round: then its yarn is led there.
    let here = |row: u32| cloth.study.piece.crossings(row).span().edge(edge.side) == edge.end;
    for (one, crossed) in edge.loops.iter_mut().zip(crossed) {
        let rows = || [one.turn.since, one.turn.row].into_iter().filter(|&row| here(row));
        let stub = rows().map(|row| cloth.beyond.stub(row, edge.side)).fold(0.0, f64::max);
        let room = rows().map(|row| cloth.beyond.room(row, edge.side)).fold(f64::INFINITY, f64::min);
        one.widest = rows().map(|row| cloth.beyond.widest(row, edge.side)).fold(f64::INFINITY, f64::min);
        let farther = if crossed { CROSSED } else { 0.0 } + if one.turn.is_open() { BULGE } else { 0.0 };
        let out = stub + widest * (BESIDE + LANE * f64::from(one.lane) + farther);
        one.room = room;
        one.out = out.min(room - one.widest.min(widest) / 2.0);
    }
    let tails = edge.tails.iter().map(|tail| cloth.beyond.stub(tail.row, edge.side));
    let start = edge.loops.iter().map(|one| one.out).chain(tails).fold(0.0, f64::max);
    edge.past = start + widest * 0.5;
}

/// How far across the cloth something lies that is so far outward from an edge's end.
pub(crate) fn across(cloth: &Cloth, edge: &Edge, out: f64) -> f64 {
    cloth.end_at(edge.end) + outward(edge.side) * out
}

/// Where tails cross the lanes that go up past them.
fn cross_tails(cloth: &Cloth, edge: &mut Edge) {
    let longest = edge.loops.iter().map(|one| one.turn.row - one.turn.since).max().unwrap_or(0);
    for tail in &edge.tails {
        let from = edge.loops.partition_point(|one| one.turn.row <= tail.row);
        for (inner, one) in edge.loops.iter().enumerate().skip(from) {
            if one.turn.row - tail.row > longest {
                break;
            }
            if one.turn.since < tail.row {
                let outer_in_front = !cloth.in_front_of(&one.turn, tail.row);
                edge.crossings.push(Crossing { outer: None, inner, row: tail.row, outer_in_front });
            }
        }
    }
}
