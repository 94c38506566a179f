//! The trade's systems of counting yarn: mass per length (tex), or length per mass (Ne).

use super::Fibre;
use crate::quantity::{POUND_IN_GRAMS, Tex, YARD_IN_MM};

/// A system of counting yarn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum System {
    /// Grams in 1 km (ISO 1144).
    Tex,
    /// Grams in 10 km.
    Dtex,
    /// Grams in 9 km.
    Denier,
    /// Metric count, Nm: kilometres in a kilogram.
    Metric,
    /// English cotton count, Ne: hanks of 840 yards in a pound. Spun silk is counted in it too.
    Cotton,
    /// Worsted count: hanks of 560 yards in a pound.
    Worsted,
    /// Linen lea, also of hemp and ramie: cuts of 300 yards in a pound.
    Lea,
    /// American woollen run: 1600 yards in a pound.
    Run,
    /// Yorkshire skeins woollen: skeins of 256 yards in a pound, which is yards in a dram.
    Skeins,
}

/// How a system counts.
enum Counting {
    /// Mass per length: one of it is this many tex.
    Direct(f64),
    /// Length per mass: a hank of this many yards in a pound.
    Yards(f64),
    /// Length per mass: metres in a gram.
    MetresPerGram,
}

impl System {
    /// All systems.
    pub const ALL: [System; 9] = [
        System::Tex,
        System::Dtex,
        System::Denier,
        System::Metric,
        System::Cotton,
        System::Worsted,
        System::Lea,
        System::Run,
        System::Skeins,
    ];

    fn counting(self) -> Counting {
        match self {
            System::Tex => Counting::Direct(1.0),
            System::Dtex => Counting::Direct(1.0 / 10.0),
            System::Denier => Counting::Direct(1.0 / 9.0),
            System::Metric => Counting::MetresPerGram,
            System::Cotton => Counting::Yards(840.0),
            System::Worsted => Counting::Yards(560.0),
            System::Lea => Counting::Yards(300.0),
            System::Run => Counting::Yards(1600.0),
            System::Skeins => Counting::Yards(256.0),
        }
    }

    /// Whether a larger number means a thicker yarn.
    #[must_use]
    pub fn is_direct(self) -> bool {
        matches!(self.counting(), Counting::Direct(_))
    }

    /// The linear density that a count in this system means. No count means none: 0 of a length per mass
    /// would be infinitely thick.
    #[must_use]
    pub fn tex(self, count: f64) -> Tex {
        Tex::new(match self.counting() {
            Counting::Direct(one) => count * one,
            Counting::MetresPerGram => 1000.0 / count,
            Counting::Yards(hank) => 1e6 * POUND_IN_GRAMS / (hank * YARD_IN_MM) / count,
        })
    }

    /// The count in this system of a linear density; the inverse of [`tex`](System::tex).
    #[must_use]
    pub fn count(self, tex: Tex) -> f64 {
        match self.counting() {
            Counting::Direct(one) => tex.tex() / one,
            // Length per mass is its own inverse.
            Counting::MetresPerGram | Counting::Yards(_) => self.tex(tex.tex()).tex(),
        }
    }

    /// Its names, in small letters; the first is the one to write.
    fn names(self) -> &'static [&'static str] {
        match self {
            System::Tex => &["tex"],
            System::Dtex => &["dtex", "decitex"],
            System::Denier => &["den", "denier"],
            System::Metric => &["nm", "metric"],
            System::Cotton => &["ne", "nec"],
            System::Worsted => &["worsted", "nek"],
            System::Lea => &["lea", "leas", "nel"],
            System::Run => &["run", "runs"],
            System::Skeins => &["ysw", "skein", "skeins", "yorkshire skein", "yorkshire skeins", "nes"],
        }
    }

    /// The system of this name, in small letters with single spaces.
    pub(super) fn parse(name: &str) -> Option<System> {
        System::ALL.into_iter().find(|system| system.names().contains(&name))
    }

    /// Its name in the trade, in small letters.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.names().first().copied().unwrap_or("")
    }

    /// The fibre that this system is kept for, if there is one. Cotton count is used for every short fibre
    /// spun on the cotton system, so it settles none.
    #[must_use]
    pub fn fibre(self) -> Option<Fibre> {
        match self {
            System::Lea => Some(Fibre::Linen),
            System::Worsted | System::Run | System::Skeins => Some(Fibre::Wool),
            System::Tex | System::Dtex | System::Denier | System::Metric | System::Cotton => None,
        }
    }

    /// The systems that a count of this fibre may be meant in if none is named. Wool is sold by worsted,
    /// metric and skein counts; spun silk by metric and by English ones.
    pub(super) fn usual_for(fibre: Fibre) -> &'static [System] {
        match fibre {
            Fibre::Cotton => &[System::Cotton],
            Fibre::Linen | Fibre::Hemp | Fibre::Ramie => &[System::Lea],
            Fibre::Wool => &[System::Worsted, System::Metric, System::Skeins],
            Fibre::Silk => &[System::Metric, System::Cotton],
            _ => &[],
        }
    }
}
