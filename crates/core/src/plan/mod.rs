//! A plan: what the weaver wrote. Everything is still as wished for: lengths have not become counts, bands
//! have not become rows. [`crate::piece`] is the one place that turns it into rows.

mod beat;
mod change;
mod edit;
mod own_habits;

pub use beat::{Beat, BeatError};
pub use change::{Change, Misfit, NewTable, StackChange, WrittenOut};
pub use edit::{
    Edit, Flag, Inserted, Known, LoomKeys, NewBand, NewYarn, Set, StackEdit, StackList, StackPath,
};

use crate::loom::Loom;
use crate::quantity::{Mm, Typed};
use crate::side::{Pass, Side, Span, Surface};
use crate::weave::{Runs, Weave};
use crate::yarn::Yarn;
use std::num::NonZeroU32;

/// The bounds on what a plan may ask for, so that no text can make the program work for ever.
pub mod bounds {
    /// Ends of a piece.
    pub const ENDS: u32 = crate::weave::MOST_ENDS;
    /// Rows of a piece.
    pub const ROWS: u32 = 20_000;
    /// Yarns of a plan, and wefts with a table of their own: a basket that nobody fills. They are compared two by two.
    pub const YARNS: usize = 100;
    /// Groups within groups in the stack.
    pub const NESTING: usize = 8;
    /// Bytes of a plan file.
    pub const BYTES: usize = 1 << 20;
    /// The longest that anything of a frame is: ten metres.
    pub const FRAME: crate::quantity::Mm = crate::quantity::Mm::new(10_000.0);
    /// The closest that notches stand, and the shortest that can be woven on: a tenth of a millimetre.
    pub const LEAST: crate::quantity::Mm = crate::quantity::Mm::new(0.1);
}

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub usize);
    };
}
id!(
    /// A yarn, by its place in [`Plan::yarns`].
    YarnId
);
id!(
    /// A weft, by its place in [`Plan::wefts`].
    WeftId
);
id!(
    /// A band, by its place in [`Plan::bands`].
    BandId
);
id!(
    /// A sequence of bands, by its place in [`Plan::sequences`].
    SequenceId
);

/// What the weaver wrote. Ids always name something that is there.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The piece's name.
    pub name: String,
    /// What the piece is for.
    pub purpose: Purpose,
    /// The side meant to be seen when finished.
    pub shows: Surface,
    /// What happens at the edge ends, unless a band says otherwise.
    pub edges: Edges,
    /// The longest float the maker is content with, where it differs from the usual for this purpose.
    pub longest_float: Option<Typed<Mm>>,
    /// What is done with the cloth off the loom.
    pub finish: Finish,
    /// The size that it should have when it is finished.
    pub finished: Option<Typed<Wanted>>,
    /// The frame.
    pub loom: Loom,
    /// All yarns, in the order in which they are written.
    pub yarns: Vec<Yarn>,
    /// The warp.
    pub warp: Warp,
    /// What is put in below the first row and comes out again; `None`: the piece is begun at the bar.
    pub header: Option<Header>,
    /// All wefts, in the order in which they are first named.
    pub wefts: Vec<Weft>,
    /// All bands, in the order in which they are written.
    pub bands: Vec<Band>,
    /// Sequences of bands that have a name.
    pub sequences: Vec<Sequence>,
    /// The piece from the bottom up.
    pub stack: Vec<StackEntry>,
    /// Habits of this maker that differ from the usual.
    pub habits: Vec<(crate::habits::Habit, f64)>,
}

/// What a piece is for: it decides how long a float may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// A trial.
    Sample,
    /// A bookmark.
    Bookmark,
    /// A coaster.
    Coaster,
    /// A mat.
    Mat,
    /// Worn on the body: earrings, brooches, bracelets.
    Jewellery,
    /// Worn, or sewn into something worn: headbands, panels for clothes.
    Garment,
    /// Hung on a wall.
    Hanging,
}

/// What happens at the edge ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edges {
    /// As the weave has it; wefts are crossed where that holds a turn.
    Crossed,
    /// Each row goes over the first end it meets and under the last, whatever the weave says.
    Taken,
}

/// What is done with the cloth off the loom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finish {
    /// Nothing.
    AsItIs,
    /// Steamed or damp-pressed.
    Steamed,
    /// Washed and left to dry by itself.
    Washed,
    /// Washed, and pinned out to dry.
    Pinned,
}

/// A finished size that is wished for.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Wanted {
    /// Across the ends; `None`: as it comes.
    pub width: Option<Mm>,
    /// Along the ends; `None`: as it comes.
    pub length: Option<Mm>,
}

/// The warp as wished for.
#[derive(Debug, Clone, PartialEq)]
pub struct Warp {
    /// How many ends, or how wide.
    pub ends: EndsWanted,
    /// Colours from the left, repeated if they fall short: never empty, no count of 0.
    pub order: Vec<ColourRun>,
    /// How it is wound.
    pub path: WarpPath,
}

/// What spreads the warp below the first row, and comes out again when the piece is woven.
#[derive(Debug, Clone, PartialEq)]
pub struct Header {
    /// How much of the warp it takes, from the near bar up to the first row.
    pub length: Typed<Mm>,
    /// The waste yarn that it is woven with; `None`: it is a strip of card.
    pub yarn: Option<YarnId>,
}

/// How many ends the piece has.
#[derive(Debug, Clone, PartialEq)]
pub enum EndsWanted {
    /// This many.
    Count(u32),
    /// As many as make this width on the loom.
    Width(Typed<Mm>),
}

/// Neighbouring ends of one yarn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ColourRun {
    /// How many: at least one.
    pub ends: u32,
    /// Of which yarn.
    pub yarn: YarnId,
}

/// How a warp is wound on the frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WarpPath {
    /// Up one notch and down the next: one length per end.
    Zigzag,
    /// Round and round the frame: two lengths per front end.
    Round,
}

/// A needle and what it carries.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Weft {
    /// Its name; its yarn's name unless it has one of its own.
    pub name: String,
    /// Its yarn.
    pub yarn: YarnId,
    /// The side its first row starts from.
    pub from: Side,
    /// Whether the yarn lies doubled on the needle.
    pub doubled: bool,
    /// Which of the tables of wefts is its own, from 0; `None`: it has none.
    pub table: Option<usize>,
}

/// A stretch of rows woven one way. A band is written once and may stand in several places.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Its name.
    pub name: String,
    /// Where its rows come from.
    pub source: Source,
    /// The wefts that weave it, taken in turn; `None`: those of the band it is like.
    pub wefts: Option<Vec<WeftId>>,
    /// How long it is; `None`: as long as the band it is like, or once through its written rows.
    pub extent: Option<Extent>,
    /// How closely its rows are beaten; `None`: as the band it is like, or else as close as they come.
    pub beat: Option<Typed<Beat>>,
    /// The row of its weave on which it starts (from 1), whatever lies below.
    pub start: Option<NonZeroU32>,
    /// Left and right change places.
    pub mirrored: bool,
    /// Over for under in every row.
    pub over_for_under: bool,
    /// Its two wefts change places; the openings keep their order.
    pub exchanged: bool,
    /// Crossings changed by hand, applied last.
    pub touched: Vec<Touch>,
    /// The ends it is woven over (from 0); `None`: all.
    pub ends: Option<Span>,
    /// What happens at its edge ends, if it differs from the piece.
    pub edges: Option<Edges>,
    /// How its rows are to be read.
    pub read: Reading,
}

/// Where a band's rows come from.
#[derive(Debug, Clone, PartialEq)]
pub enum Source {
    /// From a weave.
    Weave(Weave),
    /// Row by row as written, repeated if the band is longer: never empty.
    Written(Vec<WrittenRow>),
    /// From different weaves over different ends: never empty.
    Parts(Vec<Part>),
    /// From another band's finished rows.
    Like(BandId),
}

/// A row written out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WrittenRow {
    /// Its runs, repeated across the ends.
    pub runs: Runs,
    /// The ends it is woven over (from 0); `None`: all those of the band.
    pub ends: Option<Span>,
}

/// A weave over some of a band's ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its ends (from 0); `None`: those that no other part names.
    pub ends: Option<Span>,
    /// Its weave.
    pub weave: Weave,
}

/// How rows written in a plan are to be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reading {
    /// From the left, whatever side the needle comes from.
    FromTheLeft,
    /// In the direction in which the needle travels.
    AsWoven,
}

/// How long a band is.
#[derive(Debug, Clone, PartialEq)]
pub enum Extent {
    /// So many rows.
    Rows(u32),
    /// The number of rows that comes nearest to this length on the loom.
    Length(Typed<Mm>),
    /// What the other bands leave.
    Fill,
}

/// A run of crossings changed by hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Touch {
    /// In which rows of the band.
    pub at: TouchedRows,
    /// At which ends (from 0).
    pub ends: Span,
    /// What they become.
    pub pass: Pass,
}

impl Touch {
    /// The one touch that does what this one and then `later` do, if there is one: in the same rows, where
    /// `later` covers this one, or both pass alike and leave no end between them.
    #[must_use]
    pub fn joined_by(self, later: Touch) -> Option<Touch> {
        let hull = self.ends.hull(later.ends);
        let covered = hull == later.ends;
        let side_by_side = u64::from(hull.len()) <= u64::from(self.ends.len()) + u64::from(later.ends.len());
        let joins = self.at == later.at && (covered || (self.pass == later.pass && side_by_side));
        joins.then_some(Touch { ends: hull, ..later })
    }
}

/// Rows of a band, counted from its bottom (from 0).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TouchedRows {
    /// This one.
    Row(u32),
    /// Every so many rows.
    Every {
        /// How many rows from one to the next.
        rows: NonZeroU32,
        /// The first of them.
        from: u32,
    },
}

impl TouchedRows {
    /// Whether `row` (from 0) is among them.
    #[must_use]
    pub fn contains(self, row: u32) -> bool {
        match self {
            TouchedRows::Row(only) => only == row,
            TouchedRows::Every { rows, from } => row >= from && (row - from) % rows == 0,
        }
    }

    /// The first of them.
    #[must_use]
    pub fn first(self) -> u32 {
        match self {
            TouchedRows::Row(row) | TouchedRows::Every { from: row, .. } => row,
        }
    }
}

/// What is made of a yarn.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct YarnUses {
    /// Whether ends are.
    pub warp: bool,
    /// Whether the header is.
    pub header: bool,
    /// The bands that are woven with it, in the order in which they are written, whether or not they stand in the
    /// stack.
    pub bands: Vec<BandId>,
}

impl YarnUses {
    /// Whether nothing is.
    #[must_use]
    pub fn is_none(&self) -> bool {
        !self.warp && !self.header && self.bands.is_empty()
    }
}

/// A sequence of bands that has a name.
#[derive(Debug, Clone, PartialEq)]
pub struct Sequence {
    /// Its name.
    pub name: String,
    /// What it holds, from the bottom up.
    pub entries: Vec<StackEntry>,
}

/// A line of the stack.
#[derive(Debug, Clone, PartialEq)]
pub enum StackEntry {
    /// A band.
    Band(BandId),
    /// A named sequence, which never holds itself.
    Sequence(SequenceId),
    /// Entries woven several times over.
    Group {
        /// How often.
        times: u32,
        /// What, from the bottom up.
        entries: Vec<StackEntry>,
    },
}

/// The place of a key in a plan: the names of the tables down to it, such as `band`, `hem`, `rows`. A list's
/// element goes by its number from 0.
pub type KeyPath = Vec<String>;

impl Band {
    /// A band of this name that says where its rows come from, and nothing else.
    #[must_use]
    pub fn new(name: &str, source: Source) -> Band {
        Band {
            name: name.to_owned(),
            source,
            wefts: None,
            extent: None,
            beat: None,
            start: None,
            mirrored: false,
            over_for_under: false,
            exchanged: false,
            touched: Vec::new(),
            ends: None,
            edges: None,
            read: Reading::FromTheLeft,
        }
    }

    /// A flag, as the band has it.
    #[must_use]
    pub fn flag(&self, flag: Flag) -> bool {
        match flag {
            Flag::Exchanged => self.exchanged,
            Flag::Mirrored => self.mirrored,
            Flag::OverForUnder => self.over_for_under,
        }
    }
}

impl Plan {
    /// The yarn of a weft.
    #[must_use]
    pub fn yarn_of(&self, weft: WeftId) -> &Yarn {
        &self.yarns[self.wefts[weft.0].yarn.0]
    }

    /// The weft that has its name from a yarn and carries it.
    #[must_use]
    pub fn weft_called_like(&self, yarn: YarnId) -> Option<WeftId> {
        let name = &self.yarns.get(yarn.0)?.name;
        self.wefts.iter().position(|weft| weft.yarn == yarn && weft.name == *name).map(WeftId)
    }

    /// What is made of each yarn, in the order of the yarns.
    #[must_use]
    pub fn uses(&self) -> Vec<YarnUses> {
        let mut uses = vec![YarnUses::default(); self.yarns.len()];
        for run in &self.warp.order {
            uses[run.yarn.0].warp = true;
        }
        if let Some(yarn) = self.header.as_ref().and_then(|header| header.yarn) {
            uses[yarn.0].header = true;
        }
        for band in (0..self.bands.len()).map(BandId) {
            for weft in self.wefts_in_turn(band) {
                let bands = &mut uses[self.wefts[weft.0].yarn.0].bands;
                if bands.last() != Some(&band) {
                    bands.push(band);
                }
            }
        }
        uses
    }

    /// The bands that name a weft as theirs, whether they have a place or not.
    pub fn bands_naming(&self, weft: WeftId) -> impl Iterator<Item = &Band> {
        self.bands.iter().filter(move |band| band.wefts.iter().flatten().any(|&own| own == weft))
    }

    /// The band's wefts, in the order in which they weave it: its own or those of the band it is like, their
    /// places changed where the band is exchanged.
    #[must_use]
    pub fn wefts_in_turn(&self, band: BandId) -> Vec<WeftId> {
        let here = &self.bands[band.0];
        let mut wefts = match (&here.wefts, &here.source) {
            (Some(own), _) => own.clone(),
            (None, Source::Like(other)) => self.wefts_in_turn(*other),
            (None, _) => Vec::new(),
        };
        if here.exchanged {
            let first = wefts.first().copied();
            let second = wefts.iter().copied().find(|w| Some(*w) != first);
            if let (Some(first), Some(second)) = (first, second) {
                for weft in &mut wefts {
                    *weft = if *weft == first { second } else { first };
                }
            }
        }
        wefts
    }

    /// What happens at the edge ends of a band: what it says, or the band it is like; `None`: as the piece has it.
    #[must_use]
    pub fn edges_of(&self, band: BandId) -> Option<Edges> {
        let here = &self.bands[band.0];
        match (here.edges, &here.source) {
            (None, Source::Like(other)) => self.edges_of(*other),
            (edges, _) => edges,
        }
    }

    /// The ends a band says it is woven over, or the band it is like; `None`: all.
    #[must_use]
    pub fn ends_of(&self, band: BandId) -> Option<Span> {
        let here = &self.bands[band.0];
        match (here.ends, &here.source) {
            (None, Source::Like(other)) => self.ends_of(*other),
            (ends, _) => ends,
        }
    }

    /// How many rows of a band come and go together: all its wefts once where several are taken in turn.
    #[must_use]
    pub fn rows_in_turn(&self, band: BandId) -> u32 {
        let wefts = self.wefts_in_turn(band);
        let several = wefts.iter().any(|weft| Some(weft) != wefts.first());
        if several { wefts.len() as u32 } else { 1 }
    }

    /// Whether a band is woven with two wefts, neither more nor fewer, which may then be exchanged.
    #[must_use]
    pub fn weaves_with_two(&self, band: BandId) -> bool {
        let wefts = self.wefts_in_turn(band);
        let other = wefts.iter().find(|weft| Some(*weft) != wefts.first());
        other.is_some_and(|other| wefts.iter().all(|weft| Some(weft) == wefts.first() || weft == other))
    }

    /// Whether a flag is a change that a band may have: two wefts can be exchanged; over and under can where there
    /// is one weft; any band can be mirrored.
    #[must_use]
    pub fn takes_flag(&self, band: BandId, flag: Flag) -> bool {
        match flag {
            Flag::Exchanged => self.weaves_with_two(band),
            Flag::Mirrored => true,
            Flag::OverForUnder => {
                let wefts = self.wefts_in_turn(band);
                wefts.iter().all(|weft| Some(weft) == wefts.first())
            }
        }
    }

    /// How closely a band's rows are beaten: what it says, or the band it is like; `None`: as close as they come.
    #[must_use]
    pub fn beat_of(&self, band: BandId) -> Option<&Typed<Beat>> {
        let here = &self.bands[band.0];
        match (&here.beat, &here.source) {
            (None, Source::Like(other)) => self.beat_of(*other),
            (own, _) => own.as_ref(),
        }
    }

    /// How long the band is: its own extent or that of the band it is like.
    #[must_use]
    pub fn extent_of(&self, band: BandId) -> Option<&Extent> {
        let here = &self.bands[band.0];
        match (&here.extent, &here.source) {
            (Some(own), _) => Some(own),
            (None, Source::Like(other)) => self.extent_of(*other),
            (None, _) => None,
        }
    }
}
