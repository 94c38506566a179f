//! Soundness: will it hold together, will the edges hold, will it snag, will it fall evenly, does it fit?
//!
//! One file per kind of finding, each a function of the piece and its walk. Findings are facts; [`crate::say`]
//! puts them into words, and [`crate::remedy`] proposes edits that are simulated before they are offered.

pub mod asked;
mod beat;
pub mod build_up;
pub mod colours;
pub mod edge;
pub mod fit;
pub mod floats;
pub mod layers;
pub(crate) mod needlefuls;
pub mod openings;
pub mod repeats;
pub mod resolved;
pub mod sett;
pub mod shrinkage;
mod slits;
pub mod stock;
pub(crate) mod tight;
pub mod turns;
pub mod warp_shows;

use crate::cloth::{Cloth, Hump};
use crate::colour::{Difference, Likeness};
use crate::hang::Layers;
use crate::piece::{Piece, PlaceId};
use crate::plan::{BandId, WeftId, YarnId};
use crate::quantity::{Estimate, Mm, Tex};
use crate::side::{Pass, Side, Span, Surface};
use crate::walk::{Grip, Walk};

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Woven like this, it comes apart or can't be woven.
    Error,
    /// It can be woven, but will disappoint.
    Warning,
    /// Good to know.
    Note,
}

/// What of findings must be mended.
pub fn to_mend(findings: &[Finding]) -> impl Iterator<Item = &Finding> + Clone {
    findings.iter().filter(|finding| finding.severity == Severity::Error)
}

/// Something about the piece that the weaver should know.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// Where it is.
    pub at: Where,
    /// What it is.
    pub kind: Kind,
}

/// Where a finding lies. Rows and ends are counted from 0, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Where {
    /// First and last row.
    pub rows: (u32, u32),
    /// First and last end.
    pub ends: Span,
    /// The edge, if it lies at one.
    pub edge: Option<Side>,
    /// The band, if it belongs to one.
    pub band: Option<BandId>,
}

impl Where {
    /// The whole piece.
    #[must_use]
    pub fn everywhere(piece: &Piece) -> Where {
        let last = piece.row_count().saturating_sub(1);
        Where { rows: (0, last), ends: all(piece), edge: None, band: None }
    }
}

/// What a finding says.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A weft's turns at one edge of a band are loose and nothing holds them.
    LooseTurns {
        /// The weft.
        weft: WeftId,
        /// The band in which the turns are completed.
        band: BandId,
        /// The edge.
        side: Side,
        /// The number of such turns.
        count: u32,
        /// How many of them are loose everywhere: the row comes out.
        everywhere: u32,
        /// Where the first loop that is loose at the edge slips to.
        slips_to: Option<u32>,
        /// The rows of the first of them: the one that led to it and the one that completes it.
        first: (u32, u32),
    },
    /// A turn has only the tail of another weft to hold on to.
    HeldByTail {
        /// The weft that turns.
        weft: WeftId,
        /// The weft whose tail holds.
        other: WeftId,
        /// The edge.
        side: Side,
        /// Which tail.
        grip: Grip,
        /// The row that completes the turn.
        row: u32,
    },
    /// No turn wraps an edge end over a long stretch: it slips out sideways once off the loom.
    UnwrappedEdge {
        /// The edge.
        side: Side,
        /// The longest stretch.
        length: Mm,
    },
    /// Floats that are likely to snag.
    LongFloats {
        /// Which strands float.
        strand: Strand,
        /// On which side of the cloth.
        surface: Surface,
        /// The longest that does for this purpose.
        advice: Mm,
        /// How many go past it.
        count: u32,
        /// The worst of them, longest first.
        worst: Vec<floats::Float>,
    },
    /// The last row of a band and the first of the next pass the ends alike.
    SameOpeningAcross {
        /// The lower place.
        below: PlaceId,
        /// The upper place.
        above: PlaceId,
    },
    /// Neighbouring rows of a band, woven by different wefts, pass the ends alike.
    SameOpeningWithin {
        /// The band.
        band: BandId,
        /// How many pairs of rows.
        count: u32,
    },
    /// The cloth falls into layers.
    FallsApart {
        /// From the front to the back.
        layers: Layers,
        /// Whether it does so although the warp is one yarn and each weft another; `false`: only as a cut
        /// cloth, in which each row and end is a strand of its own.
        as_piece: bool,
    },
    /// An end that all rows pass alike, or ends.
    EndsNeverInterlace {
        /// The ends.
        ends: Vec<u32>,
        /// How the rows pass them.
        pass: Pass,
    },
    /// There is one end: the weft winds round it, and nothing interlaces.
    OneEnd,
    /// A row that passes all ends alike, or rows.
    RowsNeverInterlace {
        /// The rows.
        rows: Vec<u32>,
        /// How they pass the ends.
        pass: Pass,
    },
    /// The repeats of a band don't come out across its ends.
    RepeatsUneven {
        /// The band.
        band: BandId,
        /// Ends of one repeat.
        repeat: u32,
        /// The ends there are.
        ends: u32,
        /// The nearest numbers that are whole repeats, fewer first.
        even: Vec<u32>,
        /// The nearest numbers that are alike at both edges, fewer first.
        alike: Vec<u32>,
    },
    /// The warp yarn is thicker than a notch is wide.
    TooThickForNotch {
        /// The yarn.
        yarn: YarnId,
        /// Its diameter.
        thickness: Mm,
        /// The notch's width.
        notch: Mm,
    },
    /// The ends fill the width: no weft fits between them.
    EndsTouch {
        /// The yarn.
        yarn: YarnId,
        /// What the strands of one end take.
        thickness: Mm,
        /// The distance of the ends.
        spacing: Mm,
    },
    /// The ends stand far apart for this weft: the cloth slides.
    OpenSett {
        /// The weft.
        weft: WeftId,
        /// Distance of the ends, less what several strands of one lie flat, over the thickness of warp and weft together.
        ratio: f64,
    },
    /// Rows can't be beaten as closely as a band has it.
    BeatNotReached {
        /// The band.
        band: BandId,
        /// How far apart they are to lie.
        wanted: Mm,
        /// How far apart they come to lie.
        lie: Mm,
    },
    /// Rows are laid so far apart that they slide.
    OpenBeat {
        /// The band.
        band: BandId,
        /// Distance of its rows over the thickness of warp and weft together.
        ratio: f64,
    },
    /// The ends stand so close that the rows bend them, and the frame can't give what that takes.
    WarpTightens {
        /// The yarn of the warp that bears least.
        yarn: YarnId,
        /// How long the cloth is.
        woven: Mm,
        /// How much more warp it takes.
        by: Mm,
        /// That over the length from turn to turn.
        stretch: f64,
        /// At what stretch the yarn breaks.
        breaks_at: f64,
    },
    /// Rows pile up at some ends faster than at the others.
    BuildUp {
        /// Where and how far, at its worst.
        hump: Hump,
        /// Where it stands because more rows cross those ends than the others: the most that do by then, and the fewest that
        /// cross an end beside them. `None`: it is the colours' changes, or the weave's, that pile up.
        rows: Option<(u32, u32)>,
    },
    /// Warp shows on the good side between rows that were meant to hide it.
    WarpShows {
        /// On which side of the cloth.
        surface: Surface,
        /// The share of the length of its ends, between such rows, that stays bare.
        share: f64,
    },
    /// The label and the ruler disagree about a yarn's thickness.
    SizesDisagree {
        /// The yarn.
        yarn: YarnId,
        /// Diameter by its label or a weighed hank.
        by_weight: Mm,
        /// Diameter by its wraps.
        by_wraps: Mm,
    },
    /// The label and a hank that was weighed disagree about how heavy a yarn is; the hank counts.
    WeightsDisagree {
        /// The yarn.
        yarn: YarnId,
        /// Linear density by its label.
        by_label: Tex,
        /// Linear density by the hank.
        by_hank: Tex,
    },
    /// The rows take more height than can be woven.
    TooTall {
        /// Height of all rows.
        height: Mm,
        /// What a needle reaches.
        reach: Mm,
        /// The first row that lies beyond.
        row: u32,
    },
    /// Nothing joins the cloth between two ends over a stretch: the longest such slit.
    Slits {
        /// The end at its left, from 0.
        left: u32,
        /// How long it is.
        length: Mm,
        /// How many there are that are long enough to be seen, this one among them.
        count: u32,
    },
    /// The rows are likely to fit, and may take more height than can be woven.
    MayNotFit {
        /// Height of all rows.
        height: Estimate<Mm>,
        /// What a needle reaches.
        reach: Mm,
        /// The first row that lies beyond at the upper end.
        row: u32,
    },
    /// What is left holds less than one repeat of the fill band's weave.
    FillTooShort {
        /// The band.
        band: BandId,
        /// The rows it came to.
        rows: u32,
        /// Rows of one repeat.
        repeat: u32,
    },
    /// A touch lies outside its band's rows or ends and has no effect.
    TouchAsleep {
        /// The band.
        band: BandId,
        /// Which of its touches, from 0.
        touch: usize,
    },
    /// Two yarns lose unlike parts of their size when the cloth is finished.
    ShrinksUnlike {
        /// The yarn that loses more.
        more: YarnId,
        /// The yarn that loses less.
        less: YarnId,
        /// Which of the two are warp and weft.
        how: Unlike,
        /// What each loses, the one that loses more first.
        parts: [f64; 2],
    },
    /// Finished it is likely to be another size than the plan asks for, however the spread falls out.
    OtherSize {
        /// Whether it is the width or the length.
        across: bool,
        /// What is asked for.
        wanted: Mm,
        /// What it is likely to be.
        likely: Mm,
    },
    /// There is less of a yarn than the piece is likely to take.
    RunsOut {
        /// The yarn.
        yarn: YarnId,
        /// How much is missing; nothing at the lower end where there may be enough.
        short: Estimate<Mm>,
        /// The row in which it runs out, or may; `None`: the warp already takes more.
        row: Option<u32>,
    },
    /// A needleful as long as is comfortable does not carry a weft from a row into the next.
    ShortNeedleful {
        /// The weft.
        weft: WeftId,
        /// How long a needleful may be.
        longest: Mm,
        /// What it takes for one row and the way to a join in the next.
        takes: Mm,
        /// The same for two rows, with a tail.
        of_two: Mm,
    },
    /// Two yarns that both show in a band are hard to tell apart by their colours.
    ColoursAlike {
        /// The yarns.
        yarns: (YarnId, YarnId),
        /// The bands in which they meet, from the bottom up: never empty.
        bands: Vec<BandId>,
        /// In what way, and to whom.
        likeness: Likeness,
        /// How far apart they look to an eye with all cones.
        difference: Difference,
        /// How far apart in lightness alone, in steps of L*.
        lightness: f64,
    },
}

/// Where two yarns lie that shrink unlike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unlike {
    /// Warp and weft: the cloth changes its proportions.
    WarpAndWeft,
    /// Ends beside each other: the cloth puckers.
    Ends,
    /// Wefts above each other: the edges draw in and out.
    Wefts,
}

/// Warp or weft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Strand {
    /// Lengthwise.
    Warp,
    /// Crosswise.
    Weft,
}

impl Kind {
    /// Its stable name, for programs.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Kind::LooseTurns { .. } => "loose_turns",
            Kind::HeldByTail { .. } => "held_by_tail",
            Kind::UnwrappedEdge { .. } => "unwrapped_edge",
            Kind::LongFloats { .. } => "long_floats",
            Kind::SameOpeningAcross { .. } => "same_opening_across",
            Kind::SameOpeningWithin { .. } => "same_opening_within",
            Kind::FallsApart { .. } => "falls_apart",
            Kind::EndsNeverInterlace { .. } => "ends_never_interlace",
            Kind::OneEnd => "one_end",
            Kind::RowsNeverInterlace { .. } => "rows_never_interlace",
            Kind::RepeatsUneven { .. } => "repeats_uneven",
            Kind::TooThickForNotch { .. } => "too_thick_for_notch",
            Kind::EndsTouch { .. } => "ends_touch",
            Kind::OpenSett { .. } => "open_sett",
            Kind::BeatNotReached { .. } => "beat_not_reached",
            Kind::OpenBeat { .. } => "open_beat",
            Kind::WarpTightens { .. } => "warp_tightens",
            Kind::BuildUp { .. } => "build_up",
            Kind::WarpShows { .. } => "warp_shows",
            Kind::SizesDisagree { .. } => "sizes_disagree",
            Kind::WeightsDisagree { .. } => "weights_disagree",
            Kind::TooTall { .. } => "too_tall",
            Kind::Slits { .. } => "slits",
            Kind::MayNotFit { .. } => "may_not_fit",
            Kind::FillTooShort { .. } => "fill_too_short",
            Kind::TouchAsleep { .. } => "touch_asleep",
            Kind::ShrinksUnlike { .. } => "shrinks_unlike",
            Kind::OtherSize { .. } => "other_size",
            Kind::RunsOut { .. } => "runs_out",
            Kind::ShortNeedleful { .. } => "short_needleful",
            Kind::ColoursAlike { .. } => "colours_alike",
        }
    }

    /// How much there is of it, to compare two findings about the same thing: what comes out first, then how
    /// often. Kinds of which there is no more or less are all alike.
    #[must_use]
    pub fn extent(&self) -> (u32, u32) {
        match self {
            Kind::LooseTurns { everywhere, count, .. } => (*everywhere, *count),
            Kind::LongFloats { count, .. } | Kind::SameOpeningWithin { count, .. } => (0, *count),
            Kind::EndsNeverInterlace { ends, .. } => (0, ends.len() as u32),
            Kind::RowsNeverInterlace { rows, .. } => (0, rows.len() as u32),
            Kind::FallsApart { layers, .. } => (0, layers.as_slice().len() as u32),
            _ => (0, 0),
        }
    }

    /// Whether the other finding is about the same thing: the same kind, at the same band, weft, edge or
    /// yarn. A piece has at most one finding about each thing, so this tells whether a change removed one.
    #[must_use]
    pub fn is_about_same(&self, other: &Kind) -> bool {
        use Kind::*;
        match (self, other) {
            (LooseTurns { weft: a, band: b, side: c, .. }, LooseTurns { weft: x, band: y, side: z, .. }) => {
                (a, b, c) == (x, y, z)
            }
            (HeldByTail { weft: a, side: b, .. }, HeldByTail { weft: x, side: y, .. }) => (a, b) == (x, y),
            (UnwrappedEdge { side: a, .. }, UnwrappedEdge { side: x, .. }) => a == x,
            (LongFloats { strand: a, surface: b, .. }, LongFloats { strand: x, surface: y, .. }) => {
                (a, b) == (x, y)
            }
            (SameOpeningAcross { below: a, above: b }, SameOpeningAcross { below: x, above: y }) => {
                (a, b) == (x, y)
            }
            (SameOpeningWithin { band: a, .. }, SameOpeningWithin { band: x, .. })
            | (RepeatsUneven { band: a, .. }, RepeatsUneven { band: x, .. })
            | (BeatNotReached { band: a, .. }, BeatNotReached { band: x, .. })
            | (OpenBeat { band: a, .. }, OpenBeat { band: x, .. })
            | (FillTooShort { band: a, .. }, FillTooShort { band: x, .. }) => a == x,
            (FallsApart { as_piece: a, .. }, FallsApart { as_piece: x, .. }) => a == x,
            (EndsNeverInterlace { pass: a, .. }, EndsNeverInterlace { pass: x, .. })
            | (RowsNeverInterlace { pass: a, .. }, RowsNeverInterlace { pass: x, .. }) => a == x,
            (TooThickForNotch { yarn: a, .. }, TooThickForNotch { yarn: x, .. })
            | (EndsTouch { yarn: a, .. }, EndsTouch { yarn: x, .. })
            | (SizesDisagree { yarn: a, .. }, SizesDisagree { yarn: x, .. })
            | (WeightsDisagree { yarn: a, .. }, WeightsDisagree { yarn: x, .. })
            | (RunsOut { yarn: a, .. }, RunsOut { yarn: x, .. }) => a == x,
            (ColoursAlike { yarns: a, .. }, ColoursAlike { yarns: x, .. }) => a == x,
            (OpenSett { weft: a, .. }, OpenSett { weft: x, .. })
            | (ShortNeedleful { weft: a, .. }, ShortNeedleful { weft: x, .. }) => a == x,
            (ShrinksUnlike { how: a, .. }, ShrinksUnlike { how: x, .. }) => a == x,
            (OtherSize { across: a, .. }, OtherSize { across: x, .. }) => a == x,
            (OneEnd, OneEnd)
            | (TooTall { .. }, TooTall { .. })
            | (MayNotFit { .. }, MayNotFit { .. })
            | (WarpTightens { .. }, WarpTightens { .. })
            | (BuildUp { .. }, BuildUp { .. })
            | (Slits { .. }, Slits { .. })
            | (WarpShows { .. }, WarpShows { .. }) => true,
            (TouchAsleep { band: a, touch: b }, TouchAsleep { band: x, touch: y }) => (a, b) == (x, y),
            _ => false,
        }
    }
}

/// Everything there is to find, what matters most first.
#[must_use]
pub fn findings(piece: &Piece, walk: &Walk, cloth: &Cloth, habits: &crate::habits::Habits) -> Vec<Finding> {
    let mut all = Vec::new();
    all.extend(turns::findings(piece, walk));
    all.extend(edge::findings(piece, walk));
    all.extend(layers::findings(piece, walk, habits));
    all.extend(openings::findings(piece, walk));
    all.extend(fit::findings(piece, cloth));
    all.extend(floats::findings(piece, walk, habits));
    all.extend(sett::findings(piece, habits));
    all.extend(tight::findings(piece, habits));
    all.extend(beat::findings(piece, habits));
    all.extend(build_up::findings(piece, cloth));
    all.extend(warp_shows::findings(piece, cloth));
    all.extend(repeats::findings(piece));
    all.extend(colours::findings(piece, cloth));
    all.extend(shrinkage::findings(piece, habits));
    all.extend(slits::findings(piece));
    all.extend(resolved::findings(piece));
    // A stable sort keeps the order of kinds, and of rows within a kind.
    all.sort_by_key(|finding| finding.severity);
    all
}

/// All ends of the piece.
pub(crate) fn all(piece: &Piece) -> Span {
    Span::all(piece.end_count()).expect("a piece has ends")
}
