//! Yarns that meet in a band and are hard to tell apart by their colours.

use super::{Finding, Kind, Severity, Where};
use crate::cloth::{Cloth, Cover};
use crate::colour::{Likeness, difference, lightness_difference, likeness};
use crate::piece::{Piece, Place, PlaceId};
use crate::plan::{BandId, WeftId, YarnId};
use std::collections::BTreeSet;

/// Of a yarn that takes less of a face than this, nobody expects to see it (common practice, no source).
const SHOWS: f64 = 0.125;

/// How two yarns meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Meeting {
    /// As warp and weft, which may be one colour by choice.
    WarpAndWeft,
    /// As two wefts, which are two in order to be seen.
    Wefts,
}

/// Each two yarns that are hard to tell apart and both show in a band, on the side meant to be seen.
pub fn findings(piece: &Piece, cloth: &Cloth) -> Vec<Finding> {
    // What nothing is made of shows nowhere.
    let wefts: BTreeSet<WeftId> = piece.rows.iter().map(|row| row.weft).collect();
    let used: BTreeSet<YarnId> = piece
        .ends
        .iter()
        .map(|end| end.yarn)
        .chain(wefts.into_iter().map(|weft| piece.wefts[weft.0].yarn))
        .collect();
    let used: Vec<YarnId> = used.into_iter().collect();
    let pairs = (1..).zip(&used).flat_map(|(k, &one)| used[k..].iter().map(move |&other| (one, other)));
    let mut covers: Vec<Option<Cover>> = vec![None; piece.places.len()];
    pairs.filter_map(|(one, other)| of_pair(piece, cloth, &mut covers, one, other)).collect()
}

fn of_pair(
    piece: &Piece,
    cloth: &Cloth,
    covers: &mut [Option<Cover>],
    one: YarnId,
    other: YarnId,
) -> Option<Finding> {
    let colours = (piece.yarns[one.0].colour, piece.yarns[other.0].colour);
    let likeness = likeness(colours.0, colours.1)?;
    let met: Vec<(&Place, Meeting)> = piece
        .places
        .iter()
        .zip(0..)
        .filter_map(|(place, id)| {
            // Worked out only where two yarns are alike at all, and once for each place.
            let cover = covers[id].get_or_insert_with(|| cloth.cover_in(piece, PlaceId(id), piece.shows));
            meeting(cover, one, other).map(|how| (place, how))
        })
        .collect();
    let (&(first, _), &(last, _)) = (met.first()?, met.last()?);
    let mut bands: Vec<BandId> = Vec::new();
    for (place, _) in &met {
        if !bands.contains(&place.band) {
            bands.push(place.band);
        }
    }
    let wefts = met.iter().any(|&(_, how)| how == Meeting::Wefts);
    let severity = if wefts && likeness == Likeness::Same { Severity::Warning } else { Severity::Note };
    let (a, b) = (colours.0.lab(), colours.1.lab());
    Some(Finding {
        severity,
        at: Where {
            rows: (first.first_row, last.row_range().end - 1),
            ends: if met.len() == 1 { first.span } else { super::all(piece) },
            edge: None,
            band: if bands.len() == 1 { bands.first().copied() } else { None },
        },
        kind: Kind::ColoursAlike {
            yarns: (one, other),
            bands,
            likeness,
            difference: difference(a, b),
            lightness: lightness_difference(a, b),
        },
    })
}

/// How two yarns meet in a place, where both show in it.
fn meeting(cover: &Cover, one: YarnId, other: YarnId) -> Option<Meeting> {
    let weft = |yarn: YarnId| cover.weft[yarn.0] >= SHOWS;
    let warp = |yarn: YarnId| cover.warp[yarn.0] >= SHOWS;
    let (weft_one, weft_other) = (weft(one), weft(other));
    if weft_one && weft_other {
        Some(Meeting::Wefts)
    } else if weft_one && warp(other) || weft_other && warp(one) {
        Some(Meeting::WarpAndWeft)
    } else {
        None
    }
}
