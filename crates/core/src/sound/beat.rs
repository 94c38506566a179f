//! Whether rows can lie as a maker beats them: no closer than the yarn lets them, and not so far apart that they slide.

use super::sett::SLEAZY;
use super::{Finding, Kind, Severity, Where};
use crate::habits::Habits;
use crate::piece::{Piece, Place};
use crate::plan::{BandId, WeftId};
use crate::quantity::Mm;
use crate::racetrack::Crossed;

/// Rows that lie farther apart than they were to be by more than this part are not beaten as was asked: a ruler shows half a
/// row in ten. Common practice, no source.
const SHOWS: f64 = 0.05;

/// One finding for a band that is not beaten as its plan has it, where it stands first.
pub(super) fn findings(piece: &Piece, habits: &Habits) -> Vec<Finding> {
    let mut seen: Vec<BandId> = Vec::new();
    let mut found = Vec::new();
    for place in &piece.places {
        let Some(apart) = piece.row(place.first_row).apart else { continue };
        if seen.contains(&place.band) {
            continue;
        }
        seen.push(place.band);
        let at = Where { rows: (place.first_row, place.row_range().end - 1), ..Where::everywhere(piece) };
        let at = Where { ends: place.span, band: Some(place.band), ..at };
        let lie = lie(piece, place);
        if let Some(lie) = lie.filter(|lie| *lie > apart * (1.0 + SHOWS)) {
            let kind = Kind::BeatNotReached { band: place.band, wanted: apart, lie };
            found.push(Finding { severity: Severity::Warning, at, kind });
        } else if let Some(kind) = slides(piece, place, apart, habits) {
            found.push(Finding { severity: Severity::Warning, at, kind });
        }
    }
    found
}

/// How far apart the rows of a place lie on average; `None` where it has one row, or rows side by side.
fn lie(piece: &Piece, place: &Place) -> Option<Mm> {
    let rows = place.row_range();
    if rows.clone().any(|row| piece.crossings(row).span() != place.span) {
        return None;
    }
    let last = rows.end - 1;
    (last > rows.start)
        .then(|| (piece.row(last).height - piece.row(rows.start).height) / f64::from(last - rows.start))
}

/// Rows slide as ends do ([`super::sett`]), with the warp to cross them; of several wefts the thinnest first.
fn slides(piece: &Piece, place: &Place, apart: Mm, habits: &Habits) -> Option<Kind> {
    let warp = piece.warp_thread(habits);
    let open = |weft: &WeftId| Crossed::of(&piece.thread(*weft, habits), apart, &warp).openness();
    let ratio = place.wefts.iter().map(open).fold(0.0, f64::max);
    (ratio > SLEAZY).then_some(Kind::OpenBeat { band: place.band, ratio })
}
