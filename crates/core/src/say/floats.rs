//! What floats are, and which do.

use super::{Units, length};
use crate::piece::Piece;
use crate::sound::floats::{FloatList, usual};

/// What a float is, how long one may usually be for what the piece is for, and the longest it has.
#[must_use]
pub fn floats(piece: &Piece, list: &FloatList, units: Units) -> String {
    let usual = length(usual(piece.purpose), units);
    let longest = match list.longest() {
        Some(float) => format!("The longest here is {}.", length(float.length, units)),
        None => "Here there is none.".to_owned(),
    };
    format!(
        "A float passes over or under several neighbours at once; a long one catches. For {} up to {usual} is usual. \
         {longest}",
        super::finding::purpose_of(piece.purpose)
    )
}
