//! Warp that shows on the good side where wefts were meant to hide it.
//!
//! Wefts can hide the warp only where the ends stand open enough for them to bend over straight ends, and are
//! meant to where two rows on the good side of an end have at most one row of the other side between them: a
//! longer stretch of bare warp is a float that was asked for. Rows that lie about as far apart as the ends make a
//! balanced cloth, in which both are to be seen; so do rows that a maker keeps apart.

use super::{Finding, Kind, Severity, Where};
use crate::cloth::{Across, Cloth};
use crate::piece::Piece;
use crate::quantity::Mm;
use crate::racetrack::Crossed;
use crate::side::Surface;

/// The bare share of the length between such rows from which on it is worth a word. Common practice, no source.
const SEEN: f64 = 0.05;

/// Rows next to each other on one side are those of a balanced cloth from so many distances of the ends on: twice as far
/// apart as the ends, as square cloth has it, and a little closer. Common practice, no source.
const BALANCED: f64 = 1.5;

/// One finding for the side meant to be seen.
pub fn findings(piece: &Piece, cloth: &Cloth) -> Vec<Finding> {
    let share = bare_share(piece, cloth, piece.shows);
    let kind = Kind::WarpShows { surface: piece.shows, share };
    let note = Finding { severity: Severity::Note, at: Where::everywhere(piece), kind };
    if share >= SEEN { vec![note] } else { Vec::new() }
}

/// How much of the ends' length between rows that were meant to hide them stays bare, as a share; 0 where there
/// are no such rows.
#[must_use]
pub fn bare_share(piece: &Piece, cloth: &Cloth, surface: Surface) -> f64 {
    // For each end: the last row on this side, its upper edge, and how many rows passed on the other since.
    let mut last: Vec<Option<(Mm, Mm, u32)>> = vec![None; piece.ends.len()];
    let (mut bare, mut all) = (Mm::ZERO, Mm::ZERO);
    for (row, crossings) in (0..).zip(piece.grid.iter()) {
        let (lie, thread) = (cloth.row(row), cloth.thread(row));
        let half = thread.spread() / 2.0;
        for end in crossings.span().ends() {
            let Some(known) = last.get_mut(end as usize) else { continue };
            if crossings.over(end) != Some(surface == Surface::Front) {
                if let Some((_, _, between)) = known {
                    *between += 1;
                }
                continue;
            }
            let straight = Crossed::of(&cloth.end(end), cloth.spacing(), &thread).stay_straight();
            let centre = lie.at(Across::End(end)).unwrap_or_default();
            if let &mut Some((below, edge, 0 | 1)) = known
                && straight
                && piece.row(row).apart.is_none()
                && centre - below < cloth.spacing() * BALANCED
            {
                all += centre - below;
                bare += (centre - half - edge).max(Mm::ZERO);
            }
            *known = Some((centre, centre + half, 0));
        }
    }
    if all > Mm::ZERO { bare / all } else { 0.0 }
}
