//! Habits: everything about a maker, a comb and a yarn that no formula gives. Each has a likely value and a
//! spread. Those built in are defaults from common practice with no source; a plan may set its own, and
//! measured samples will narrow them.

use crate::quantity::Mm;

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
    /// The longest carry up the edge; past it the weft is cut and begun again, in mm.
    Carry,
    /// Length of one tie of the warp, in mm.
    Tie,
    /// Loss of width while weaving, as a part of the width on the loom.
    DrawIn,
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
    pub const ALL: [Habit; 17] = [
        Habit::Comb,
        Habit::FlattenSoft,
        Habit::FlattenMedium,
        Habit::FlattenHard,
        Habit::SqueezeSoft,
        Habit::SqueezeMedium,
        Habit::SqueezeHard,
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
            Habit::Stiffness => (1.0, 10_000.0),
            Habit::Slack => (0.0, 1.0),
            Habit::DrawIn => (0.0, 0.5),
            Habit::Tail | Habit::Tie | Habit::NeedleRest => (0.0, 1000.0),
            Habit::Needleful => (200.0, 10_000.0),
            Habit::Carry => (0.0, 10_000.0),
            Habit::JoinEnds => (1.0, 40.0),
            Habit::RowReserve => (1.0, 10.0),
        }
    }

    /// The default: low, likely, high.
    fn usual(self) -> Spread {
        let (low, likely, high) = match self {
            Habit::Comb => (0.92, 1.0, 1.12),
            Habit::FlattenSoft => (0.55, 0.65, 0.75),
            Habit::FlattenMedium => (0.65, 0.75, 0.85),
            Habit::FlattenHard => (0.80, 0.90, 1.0),
            Habit::SqueezeSoft => (0.5, 0.55, 0.6),
            Habit::SqueezeMedium => (0.6, 0.7, 0.8),
            Habit::SqueezeHard => (0.8, 0.9, 1.0),
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
    /// The built-in habits, with a plan's own in their place. What a plan sets keeps the relative spread of
    /// the default it replaces.
    #[must_use]
    pub fn of(plan: &crate::plan::Plan) -> Habits {
        let mut habits = Habits::default();
        for &(habit, value) in &plan.habits {
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
