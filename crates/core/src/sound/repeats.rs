//! Repeats that don't come out across the ends.

use super::{Finding, Kind, Severity, Where};
use crate::grid::Row;
use crate::piece::{Piece, Place};
use crate::plan::Edges;

/// Bands whose repeat neither comes out even nor is alike at both edges, with the nearest numbers of ends
/// that would. Where the first end is gone over and the last under in every row, no number makes the edges alike.
pub fn findings(piece: &Piece) -> Vec<Finding> {
    let mut found: Vec<Finding> = Vec::new();
    for place in &piece.places {
        if found.iter().any(|finding| finding.at.band == Some(place.band)) {
            continue;
        }
        found.extend(uneven(piece, place));
    }
    found
}

fn uneven(piece: &Piece, place: &Place) -> Option<Finding> {
    let (repeat, _) = place.repeat?;
    let ends = place.span.len();
    let is_even = |n: u32| n.is_multiple_of(repeat);
    let first = piece.crossings(place.first_row);
    let is_alike = |n: u32| place.edges == Edges::Crossed && edges_alike(first, repeat, n);
    if repeat < 2 || repeat > ends || is_even(ends) || is_alike(ends) {
        return None;
    }
    // Ends outside the band's span stay as they are.
    let outside = piece.end_count() - ends;
    let most = piece.loom.most_ends().saturating_sub(outside);
    let nearest = |fits: &dyn Fn(u32) -> bool| {
        let fewer = (2..ends).rev().find(|&n| fits(n));
        let more = (ends + 1..=most.min(ends + repeat)).find(|&n| fits(n));
        fewer.into_iter().chain(more).map(|n| n + outside).collect::<Vec<u32>>()
    };
    Some(Finding {
        severity: Severity::Note,
        at: Where {
            rows: (place.first_row, place.first_row + place.rows - 1),
            ends: place.span,
            edge: None,
            band: Some(place.band),
        },
        kind: Kind::RepeatsUneven {
            band: place.band,
            repeat,
            ends,
            even: nearest(&is_even),
            alike: nearest(&is_alike),
        },
    })
}

/// Whether a row that repeats so many ends begins and ends with groups that are alike, over as many ends and on the same face,
/// if it is woven over `ends`. Groups that meet where the repeat comes round are one.
fn edges_alike(row: Row<'_>, repeat: u32, ends: u32) -> bool {
    let over = |end: u32| row.over(row.span().first() + end % repeat);
    let group = |from: &mut dyn Iterator<Item = u32>| {
        let pass = from.next().map(over);
        (pass, 1 + from.take_while(|&end| Some(over(end)) == pass).count())
    };
    group(&mut (0..ends)) == group(&mut (0..ends).rev())
}
