//! How yarns look: plies and twist, streaks, unevenness, hairs and gloss, by fibre and thickness.
//!
//! No figure here has a source: they are chosen by eye, and none of them moves a strand.

use fellmark_core::habits::Habits;
use fellmark_core::yarn::{Fibre, Yarn};

/// A yarn's looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Look {
    /// How many plies are twisted together; 1: a single, whose fibres twist themselves.
    pub(super) plies: u32,
    /// Length of one turn of the twist in diameters; below 0 for S instead of Z.
    pub(super) lead: f32,
    /// How deep the grooves between the plies are, from 0 to 1.
    pub(super) groove: f32,
    /// How strongly single fibres show as streaks.
    pub(super) streak: f32,
    /// How much its colour varies along it.
    pub(super) vary: f32,
    /// How much its thickness varies.
    pub(super) slub: f32,
    /// How far light goes round it: soft yarn lets it in.
    pub(super) wrap: f32,
    /// How much it shines.
    pub(super) gloss: f32,
    /// Hairs per mm that stand out.
    pub(super) hairs: f32,
    /// How long they are, in mm.
    pub(super) hair: f32,
    /// How much they show.
    pub(super) hair_shows: f32,
    /// How stiff they are: 1 straight, 0 curled.
    pub(super) hair_stiff: f32,
}

const WOOL: Look = Look {
    plies: 3,
    lead: 5.0,
    groove: 0.55,
    streak: 0.34,
    vary: 0.07,
    slub: 0.08,
    wrap: 0.5,
    gloss: 0.0,
    hairs: 3.0,
    hair: 1.2,
    hair_shows: 0.6,
    hair_stiff: 0.25,
};

const COTTON: Look = Look {
    plies: 4,
    lead: 4.4,
    groove: 0.75,
    streak: 0.18,
    vary: 0.03,
    slub: 0.03,
    wrap: 0.3,
    gloss: 0.04,
    hairs: 0.7,
    hair: 0.5,
    hair_shows: 0.25,
    hair_stiff: 0.5,
};

const LINEN: Look = Look {
    plies: 2,
    lead: 5.5,
    groove: 0.6,
    streak: 0.40,
    vary: 0.09,
    slub: 0.10,
    wrap: 0.15,
    gloss: 0.2,
    hairs: 0.5,
    hair: 0.7,
    hair_shows: 0.35,
    hair_stiff: 0.95,
};

const SILK: Look = Look {
    plies: 2,
    lead: 3.6,
    groove: 0.85,
    streak: 0.38,
    vary: 0.05,
    slub: 0.02,
    wrap: 0.1,
    gloss: 0.8,
    hairs: 0.0,
    hair: 0.3,
    hair_shows: 0.2,
    hair_stiff: 0.8,
};

/// How far a hair stands out, over its length.
const STANDS: f32 = 0.6;
/// A halo of fewer mm is none.
const SMOOTH: f32 = 0.1;
/// The most hairs per mm.
const MANY: f32 = 12.0;

impl Look {
    /// The looks of a yarn.
    pub(super) fn of(yarn: &Yarn, habits: &Habits) -> Look {
        let thick = habits.diameter(yarn).mm() as f32;
        let base = match yarn.fibre {
            Fibre::Wool => WOOL,
            Fibre::Alpaca | Fibre::Cashmere => {
                Look { hairs: 4.0, hair_shows: 0.4, groove: 0.42, gloss: 0.06, ..WOOL }
            }
            Fibre::Mohair => Look {
                hairs: 9.0,
                hair: 2.6,
                hair_shows: 0.42,
                groove: 0.3,
                gloss: 0.12,
                hair_stiff: 0.5,
                ..WOOL
            },
            Fibre::Acrylic => Look { hairs: 1.5, vary: 0.03, gloss: 0.06, ..WOOL },
            Fibre::Cotton => COTTON,
            Fibre::Linen | Fibre::Hemp | Fibre::Ramie => LINEN,
            Fibre::Jute => Look { hairs: 1.6, hair: 1.6, gloss: 0.05, slub: 0.14, ..LINEN },
            Fibre::Silk | Fibre::Acetate => SILK,
            Fibre::Viscose => Look { gloss: 0.5, ..SILK },
            Fibre::Nylon | Fibre::Polyester | Fibre::Polypropylene => {
                Look { gloss: 0.4, groove: 0.7, ..SILK }
            }
        };
        let usual = match yarn.fibre {
            Fibre::Wool | Fibre::Alpaca | Fibre::Acrylic if thick < 1.4 => 2,
            Fibre::Cotton if thick < 0.63 => 2,
            Fibre::Cotton if thick < 1.1 => 3,
            _ => base.plies,
        };
        let plies = plies_of(&yarn.size.typed).unwrap_or(usual);
        // A thick yarn has no more hairs per area than a fine one.
        let hairs = base.hairs * thick.clamp(0.2, 2.5).sqrt();
        // A single is twisted less than plies are.
        let lead = if plies == 1 { base.lead * 1.5 } else { base.lead };
        let look = Look { plies, hairs, lead, ..base };
        match &yarn.halo {
            Some(halo) => look.with_halo(halo.value.mm() as f32),
            None => look,
        }
    }

    /// The same yarn with fibres that stand out so many mm.
    fn with_halo(self, halo: f32) -> Look {
        // Hairs lean, so that they are longer than they stand out.
        let (usual, hair) = (self.hair * STANDS, halo / STANDS);
        if halo < SMOOTH {
            // Twisted so tightly that nothing stands out, its plies are crisp.
            let groove = (self.groove * 1.3).min(0.9);
            return Look { hairs: 0.0, groove, streak: self.streak * 0.7, wrap: self.wrap * 0.6, ..self };
        }
        let more = halo / usual;
        // Brushed fibres are drawn out of the plies, which they veil.
        let groove = self.groove / more.sqrt().clamp(0.8, 2.5);
        let hairs = self.hairs.max(MANY * 0.4) * more.sqrt().clamp(0.5, 3.0);
        let wrap = (self.wrap * more.sqrt()).clamp(self.wrap * 0.7, 0.7);
        Look { hair, groove, wrap, hairs: hairs.min(MANY), hair_shows: self.hair_shows.max(0.35), ..self }
    }
}

/// The plies that a size names with a stroke, whichever way round it is written: the smaller number.
fn plies_of(size: &str) -> Option<u32> {
    let (before, after) = size.split_once('/')?;
    let number = |text: &str| text.parse::<u32>().ok();
    let before = number(before.trim_end().rsplit(|c: char| !c.is_ascii_digit()).next()?)?;
    let after = number(after.trim_start().split(|c: char| !c.is_ascii_digit()).next()?)?;
    Some(before.min(after)).filter(|plies| (1..=12).contains(plies))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plies_are_read_from_the_label_where_it_names_them() {
        assert_eq!(plies_of("16/2 linen"), Some(2));
        assert_eq!(plies_of("2/30 worsted"), Some(2));
        assert_eq!(plies_of("132 m per 100 g"), None);
        assert_eq!(plies_of("8/ cotton"), None);
        assert_eq!(plies_of("275 m/100 g"), None);
    }
}
