//! Values that a plan chooses by a word.

use crate::keys::{EDGES, FINISHES, PATHS, PURPOSES, SIDES, STRANDS_ACT, SURFACES};
use fellmark_core::loom::StrandsAct;
use fellmark_core::plan::{Edges, Finish, Purpose, WarpPath};
use fellmark_core::side::{Side, Surface};

/// A value that has a word in plans.
pub trait Choice: Copy + PartialEq + 'static {
    /// The words, each for the value at the same place.
    const WORDS: &'static [&'static str];
    /// The values; one that has several words is known by the first of them.
    const VALUES: &'static [Self];

    /// The value of a word.
    #[must_use]
    fn of(word: &str) -> Option<Self> {
        let at = Self::WORDS.iter().position(|known| *known == word)?;
        Self::VALUES.get(at).copied()
    }

    /// The word for a value.
    #[must_use]
    fn word(self) -> &'static str {
        let at = Self::VALUES.iter().position(|value| *value == self);
        at.and_then(|at| Self::WORDS.get(at)).copied().unwrap_or_default()
    }
}

macro_rules! choice {
    ($kind:ty, $words:expr, [$($value:ident),*]) => {
        impl Choice for $kind {
            const WORDS: &'static [&'static str] = $words;
            const VALUES: &'static [$kind] = &[$(<$kind>::$value),*];
        }
        const _: () = assert!(<$kind as Choice>::WORDS.len() == <$kind as Choice>::VALUES.len());
    };
}
choice!(Purpose, PURPOSES, [Sample, Bookmark, Coaster, Jewellery, Garment, Hanging, Mat]);
choice!(Surface, SURFACES, [Front, Back]);
choice!(Edges, EDGES, [Crossed, Taken]);
choice!(StrandsAct, STRANDS_ACT, [AsOneEnd, AsEnds]);
choice!(WarpPath, PATHS, [Zigzag, Round]);
choice!(Side, SIDES, [Left, Right]);
choice!(Finish, FINISHES, [AsItIs, Steamed, Washed, Pinned]);
