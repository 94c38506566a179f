//! Habits: everything about a maker, a comb and a yarn that no formula gives. Each has a likely value and a
//! spread. Those built in are defaults from common practice with no source; a plan may set its own, and
//! measured samples will narrow them.

use crate::quantity::{Basis, Estimate, Mm, Tex};
use crate::yarn::{Hardness, Kin, ThicknessConflict, Yarn};

/// One habit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Habit {
    /// How far rows stay apart compared with the model: less than 1 for a hard beat.
    Comb,
    /// How much a soft yarn flattens where it crosses: effective over free diameter.
    FlattenSoft,
    /// The same for a yarn of medium hardness.
    FlattenMedium,
    /// The same for a hard yarn.
    FlattenHard,
    /// How thick two soft strands are where they cross in a gap, over their diameter.
    SqueezeSoft,
    /// The same for medium yarn.
    SqueezeMedium,
    /// The same for hard yarn.
    SqueezeHard,
    /// How thick a soft yarn lies free, over what its weight says of it where it is packed as close as the tables have it
    /// ([`crate::yarn::Fibre::diameter`]). It counts where nobody has laid the yarn round a ruler, and where a ruler is all that is known.
    LoftSoft,
    /// The same for medium yarn.
    LoftMedium,
    /// The same for hard yarn.
    LoftHard,
    /// The smallest radius to which a row bends in the plane of the cloth, over the weft's diameter. About 20
    /// is what usual slack leaves: an arc that is 4 % longer than its chord is as long as 0.98 of its radius,
    /// and a float of 15 to 30 mm sags no further.
    Stiffness,
    /// Extra weft laid in as a hill before combing, as a part of the row's path.
    Slack,
    /// Length of a tail where a weft begins or ends, in mm.
    Tail,
    /// Ends over which two needlefuls overlap.
    JoinEnds,
    /// The longest needleful that is comfortable, in mm.
    Needleful,
    /// What a needle can't weave of its yarn, in mm.
    NeedleRest,
    /// Widths of yarn that must be left for a row to be begun.
    RowReserve,
    /// The longest way of a weft outside its rows, up the edge and in front of ends together; past it the weft is cut and begun again, in mm.
    Carry,
    /// Length of one tie of the warp, in mm.
    Tie,
    /// Loss of width while weaving, as a part of the width on the loom.
    DrawIn,
    /// How stiff the warp is to bend beside the weft, of what their counts and fibres say.
    WarpStiffness,
    /// How much shorter a warp of flax or its kin becomes when its tension goes, as a part of its length.
    SpringBackLinen,
    /// The same for cotton and viscose.
    SpringBackCotton,
    /// The same for silk.
    SpringBackSilk,
    /// The same for wool and other hair.
    SpringBackWool,
    /// The same for made fibres.
    SpringBackMade,
    /// What washing takes of the length of cloth with a warp of flax or its kin, as a part of it.
    ShrinkAlongLinen,
    /// The same for cotton and viscose.
    ShrinkAlongCotton,
    /// The same for silk.
    ShrinkAlongSilk,
    /// The same for wool and other hair.
    ShrinkAlongWool,
    /// The same for made fibres.
    ShrinkAlongMade,
    /// What washing takes of the width of cloth with a weft of flax or its kin, as a part of it.
    ShrinkAcrossLinen,
    /// The same for cotton and viscose.
    ShrinkAcrossCotton,
    /// The same for silk.
    ShrinkAcrossSilk,
    /// The same for wool and other hair.
    ShrinkAcrossWool,
    /// The same for made fibres.
    ShrinkAcrossMade,
    /// What steaming takes, of what washing takes.
    Steamed,
    /// What is lost though the wet cloth is pinned out, of what washing takes.
    Pinned,
}

/// What a habit's number is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HabitKind {
    /// A ratio; people may write it as a percentage.
    Ratio,
    /// A length, kept in mm.
    Length,
    /// A plain count.
    Count,
}

impl Habit {
    /// All habits.
    pub const ALL: [Habit; 38] = [
        Habit::Comb,
        Habit::FlattenSoft,
        Habit::FlattenMedium,
        Habit::FlattenHard,
        Habit::SqueezeSoft,
        Habit::SqueezeMedium,
        Habit::SqueezeHard,
        Habit::LoftSoft,
        Habit::LoftMedium,
        Habit::LoftHard,
        Habit::Stiffness,
        Habit::Slack,
        Habit::Tail,
        Habit::JoinEnds,
        Habit::Needleful,
        Habit::NeedleRest,
        Habit::RowReserve,
        Habit::Carry,
        Habit::Tie,
        Habit::DrawIn,
        Habit::WarpStiffness,
        Habit::SpringBackLinen,
        Habit::SpringBackCotton,
        Habit::SpringBackSilk,
        Habit::SpringBackWool,
        Habit::SpringBackMade,
        Habit::ShrinkAlongLinen,
        Habit::ShrinkAlongCotton,
        Habit::ShrinkAlongSilk,
        Habit::ShrinkAlongWool,
        Habit::ShrinkAlongMade,
        Habit::ShrinkAcrossLinen,
        Habit::ShrinkAcrossCotton,
        Habit::ShrinkAcrossSilk,
        Habit::ShrinkAcrossWool,
        Habit::ShrinkAcrossMade,
        Habit::Steamed,
        Habit::Pinned,
    ];

    /// Its key in a plan's `[habits]`.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Habit::Comb => "comb",
            Habit::FlattenSoft => "flatten-soft",
            Habit::FlattenMedium => "flatten-medium",
            Habit::FlattenHard => "flatten-hard",
            Habit::SqueezeSoft => "squeeze-soft",
            Habit::SqueezeMedium => "squeeze-medium",
            Habit::SqueezeHard => "squeeze-hard",
            Habit::LoftSoft => "loft-soft",
            Habit::LoftMedium => "loft-medium",
            Habit::LoftHard => "loft-hard",
            Habit::Stiffness => "stiffness",
            Habit::Slack => "slack",
            Habit::Tail => "tail",
            Habit::JoinEnds => "join-ends",
            Habit::Needleful => "needleful",
            Habit::NeedleRest => "needle-rest",
            Habit::RowReserve => "row-reserve",
            Habit::Carry => "carry",
            Habit::Tie => "tie",
            Habit::DrawIn => "draw-in",
            Habit::WarpStiffness => "warp-stiffness",
            Habit::SpringBackLinen => "spring-back-linen",
            Habit::SpringBackCotton => "spring-back-cotton",
            Habit::SpringBackSilk => "spring-back-silk",
            Habit::SpringBackWool => "spring-back-wool",
            Habit::SpringBackMade => "spring-back-made",
            Habit::ShrinkAlongLinen => "shrink-along-linen",
            Habit::ShrinkAlongCotton => "shrink-along-cotton",
            Habit::ShrinkAlongSilk => "shrink-along-silk",
            Habit::ShrinkAlongWool => "shrink-along-wool",
            Habit::ShrinkAlongMade => "shrink-along-made",
            Habit::ShrinkAcrossLinen => "shrink-across-linen",
            Habit::ShrinkAcrossCotton => "shrink-across-cotton",
            Habit::ShrinkAcrossSilk => "shrink-across-silk",
            Habit::ShrinkAcrossWool => "shrink-across-wool",
            Habit::ShrinkAcrossMade => "shrink-across-made",
            Habit::Steamed => "steamed",
            Habit::Pinned => "pinned",
        }
    }

    /// What its number is.
    #[must_use]
    pub fn kind(self) -> HabitKind {
        match self {
            Habit::Tail | Habit::Needleful | Habit::NeedleRest | Habit::Carry | Habit::Tie => {
                HabitKind::Length
            }
            Habit::JoinEnds => HabitKind::Count,
            _ => HabitKind::Ratio,
        }
    }

    /// The smallest and largest value that makes sense.
    #[must_use]
    pub fn bounds(self) -> (f64, f64) {
        match self {
            Habit::Comb | Habit::SqueezeSoft | Habit::SqueezeMedium | Habit::SqueezeHard => (0.2, 3.0),
            Habit::FlattenSoft | Habit::FlattenMedium | Habit::FlattenHard => (0.2, 1.5),
            Habit::LoftSoft | Habit::LoftMedium | Habit::LoftHard => (0.8, 4.0),
            Habit::Stiffness => (1.0, 10_000.0),
            Habit::Slack => (0.0, 1.0),
            Habit::DrawIn => (0.0, 0.5),
            Habit::Tail | Habit::Tie | Habit::NeedleRest => (0.0, 1000.0),
            Habit::Needleful => (200.0, 10_000.0),
            Habit::Carry => (0.0, 10_000.0),
            Habit::JoinEnds => (1.0, 40.0),
            Habit::RowReserve => (1.0, 10.0),
            Habit::WarpStiffness => (0.05, 20.0),
            Habit::SpringBackLinen
            | Habit::SpringBackCotton
            | Habit::SpringBackSilk
            | Habit::SpringBackWool
            | Habit::SpringBackMade => (0.0, 0.4),
            Habit::ShrinkAlongLinen
            | Habit::ShrinkAlongCotton
            | Habit::ShrinkAlongSilk
            | Habit::ShrinkAlongWool
            | Habit::ShrinkAlongMade
            | Habit::ShrinkAcrossLinen
            | Habit::ShrinkAcrossCotton
            | Habit::ShrinkAcrossSilk
            | Habit::ShrinkAcrossWool
            | Habit::ShrinkAcrossMade => (0.0, 0.6),
            Habit::Steamed | Habit::Pinned => (0.0, 1.0),
        }
    }

    /// Whether it bears only on cloth that has left the loom: rows and yarn don't depend on it.
    #[must_use]
    pub fn is_off_the_loom(self) -> bool {
        // Those stand last.
        self as usize >= Habit::WarpStiffness as usize
    }

    /// How much thicker a yarn of this hardness lies free than its weight says.
    #[must_use]
    pub fn loft(hardness: Hardness) -> Habit {
        match hardness {
            Hardness::Soft => Habit::LoftSoft,
            Hardness::Medium => Habit::LoftMedium,
            Hardness::Hard => Habit::LoftHard,
        }
    }

    /// How much a warp of this fibre springs back.
    #[must_use]
    pub fn spring_back(kin: Kin) -> Habit {
        match kin {
            Kin::Linen => Habit::SpringBackLinen,
            Kin::Cotton => Habit::SpringBackCotton,
            Kin::Silk => Habit::SpringBackSilk,
            Kin::Wool => Habit::SpringBackWool,
            Kin::Made => Habit::SpringBackMade,
        }
    }

    /// How much washing shortens cloth along a warp of this fibre.
    #[must_use]
    pub fn shrink_along(kin: Kin) -> Habit {
        match kin {
            Kin::Linen => Habit::ShrinkAlongLinen,
            Kin::Cotton => Habit::ShrinkAlongCotton,
            Kin::Silk => Habit::ShrinkAlongSilk,
            Kin::Wool => Habit::ShrinkAlongWool,
            Kin::Made => Habit::ShrinkAlongMade,
        }
    }

    /// How much washing narrows cloth across a weft of this fibre.
    #[must_use]
    pub fn shrink_across(kin: Kin) -> Habit {
        match kin {
            Kin::Linen => Habit::ShrinkAcrossLinen,
            Kin::Cotton => Habit::ShrinkAcrossCotton,
            Kin::Silk => Habit::ShrinkAcrossSilk,
            Kin::Wool => Habit::ShrinkAcrossWool,
            Kin::Made => Habit::ShrinkAcrossMade,
        }
    }

    /// The default: low, likely, high. Those of washing are wide on purpose: open balanced wool loses two or three
    /// times as much as weft-faced cloth of the same yarn.
    ///
    /// **Loft.** A yarn that is pressed where it crosses an end is about as thick as its weight says: so Peirce takes the
    /// contact of two threads to be `d1 + d2` of their counts, and with it the setts that are woven stay below his jam. What
    /// lies free is thicker by as much as it flattens (soft 1 / 0.65, hard 1 / 0.9). The same yarn's wraps on a ruler are wider
    /// than Ashenhurst's diameters by 1 / 0.7 (a teaching page of setts), which is 1.25 of what a firm wool's weight says here
    /// and 1.5 of a cotton's and a linen's; knitting wool comes to 2 (from memory: 12 wraps to the inch of 210 m in 100 g).
    fn usual(self) -> Spread {
        let (low, likely, high) = match self {
            Habit::Comb => (0.92, 1.0, 1.12),
            Habit::FlattenSoft => (0.55, 0.65, 0.75),
            Habit::FlattenMedium => (0.65, 0.75, 0.85),
            Habit::FlattenHard => (0.80, 0.90, 1.0),
            Habit::SqueezeSoft => (0.5, 0.55, 0.6),
            Habit::SqueezeMedium => (0.6, 0.7, 0.8),
            Habit::SqueezeHard => (0.8, 0.9, 1.0),
            Habit::LoftSoft => (1.2, 1.55, 2.0),
            Habit::LoftMedium => (1.15, 1.4, 1.8),
            Habit::LoftHard => (1.0, 1.15, 1.5),
            Habit::Stiffness => (10.0, 20.0, 40.0),
            Habit::Slack => (0.02, 0.04, 0.08),
            Habit::Tail => (60.0, 80.0, 120.0),
            Habit::JoinEnds => (3.0, 4.0, 4.0),
            Habit::Needleful => (1200.0, 1200.0, 1200.0),
            Habit::NeedleRest => (80.0, 90.0, 100.0),
            Habit::RowReserve => (1.5, 1.5, 1.5),
            Habit::Carry => (18.0, 18.0, 18.0),
            Habit::Tie => (120.0, 150.0, 200.0),
            Habit::DrawIn => (0.0, 0.03, 0.06),
            Habit::WarpStiffness => (0.4, 1.0, 2.5),
            Habit::SpringBackLinen => (0.0, 0.005, 0.01),
            Habit::SpringBackCotton | Habit::SpringBackSilk => (0.005, 0.015, 0.03),
            Habit::SpringBackWool => (0.02, 0.05, 0.09),
            Habit::SpringBackMade => (0.01, 0.025, 0.06),
            Habit::ShrinkAlongLinen | Habit::ShrinkAcrossLinen => (0.03, 0.05, 0.08),
            Habit::ShrinkAlongCotton | Habit::ShrinkAcrossCotton => (0.03, 0.06, 0.10),
            Habit::ShrinkAlongSilk | Habit::ShrinkAcrossSilk => (0.01, 0.03, 0.05),
            Habit::ShrinkAlongWool | Habit::ShrinkAcrossWool => (0.03, 0.08, 0.18),
            Habit::ShrinkAlongMade | Habit::ShrinkAcrossMade => (0.0, 0.01, 0.03),
            Habit::Steamed => (0.2, 0.4, 0.6),
            Habit::Pinned => (0.0, 0.1, 0.25),
        };
        Spread { low, likely, high }
    }
}

/// A habit's value and how far it may be off: about nine cases in ten lie within.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// The lower end.
    pub low: f64,
    /// The value to plan with.
    pub likely: f64,
    /// The upper end.
    pub high: f64,
}

/// All habits of a maker.
#[derive(Debug, Clone, PartialEq)]
pub struct Habits {
    spreads: [Spread; Habit::ALL.len()],
}

impl Default for Habits {
    fn default() -> Habits {
        Habits { spreads: Habit::ALL.map(Habit::usual) }
    }
}

impl Habits {
    /// The built-in habits, with these likely values in their place. Each keeps the relative spread of the default that it
    /// replaces.
    #[must_use]
    pub fn with_own(own: &[(Habit, f64)]) -> Habits {
        let mut habits = Habits::default();
        for &(habit, value) in own {
            let Spread { low, likely, high } = habit.usual();
            let scale = if likely > 0.0 { value / likely } else { 1.0 };
            habits.spreads[habit as usize] = Spread { low: low * scale, likely: value, high: high * scale };
        }
        habits
    }

    /// A habit's spread.
    #[must_use]
    pub fn spread(&self, habit: Habit) -> Spread {
        self.spreads[habit as usize]
    }

    /// The same habits with one of them taken for certain to have this value.
    #[must_use]
    pub fn with(&self, habit: Habit, value: f64) -> Habits {
        let mut habits = self.clone();
        habits.spreads[habit as usize] = Spread { low: value, likely: value, high: value };
        habits
    }

    /// Diameter of a yarn lying free: as a ruler says, else as its weight and its loft do.
    #[must_use]
    pub fn diameter(&self, yarn: &Yarn) -> Mm {
        yarn.diameter(self.ratio(Habit::loft(yarn.fibre.hardness())))
    }

    /// The same with how far it may be off: not at all where a ruler told it.
    #[must_use]
    pub fn diameter_between(&self, yarn: &Yarn) -> Estimate<Mm> {
        let spread = self.spread(Habit::loft(yarn.fibre.hardness()));
        let [likely, low, high] = [spread.likely, spread.low, spread.high].map(|loft| yarn.diameter(loft));
        Estimate { likely, low, high, basis: basis(yarn.thickness_is_guessed()) }
    }

    /// Linear density of a yarn: from a measured hank, else from its count, else guessed from its wraps.
    #[must_use]
    pub fn tex(&self, yarn: &Yarn) -> Tex {
        yarn.tex(self.ratio(Habit::loft(yarn.fibre.hardness())))
    }

    /// The same with how far a guess from wraps may be off; what was weighed stands.
    #[must_use]
    pub fn tex_between(&self, yarn: &Yarn) -> Estimate<Tex> {
        let spread = self.spread(Habit::loft(yarn.fibre.hardness()));
        // The loftier it is the less of it there is in a wrap.
        let [likely, low, high] = [spread.likely, spread.high, spread.low].map(|loft| yarn.tex(loft));
        Estimate { likely, low, high, basis: basis(yarn.weight_is_guessed()) }
    }

    /// The two diameters, where weight and wraps are both known and differ by a quarter more than yarns do.
    #[must_use]
    pub fn thickness_conflict(&self, yarn: &Yarn) -> Option<ThicknessConflict> {
        let Spread { low, likely, high } = self.spread(Habit::loft(yarn.fibre.hardness()));
        yarn.thickness_conflict([low, likely, high])
    }

    /// The likely value of a habit that is a ratio or a count.
    #[must_use]
    pub fn ratio(&self, habit: Habit) -> f64 {
        self.spread(habit).likely
    }

    /// The likely value of a habit that is a length.
    #[must_use]
    pub fn length(&self, habit: Habit) -> Mm {
        debug_assert_eq!(habit.kind(), HabitKind::Length);
        Mm::new(self.spread(habit).likely)
    }
}

fn basis(guessed: bool) -> Basis {
    if guessed { Basis::HABIT } else { Basis::default() }
}
