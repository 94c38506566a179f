//! An edit: one small change of a plan. Gestures on the page, remedies of findings and the labels of undo are
//! all edits. Which changes of the plan an edit comes to is worked out in [`crate::edit`]; a plan and its text
//! both follow those.

use super::{
    BandId, Beat, ColourRun, Edges, Finish, Header, Purpose, SequenceId, Touch, Wanted, WarpPath, WeftId,
    YarnId,
};
use crate::loom::StrandsAct;
use crate::quantity::{Mm, Typed};
use crate::side::{Side, Surface};
use crate::weave::{Recipe, Step};
use crate::yarn::{Fibre, Hank, Price, Size, Srgb, Stock, Yarn};
use std::num::NonZeroU32;

/// One change of a plan. Each says which keys it may touch.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// The warp has this many ends (`warp.ends`, in place of `warp.width`).
    WarpEnds(u32),
    /// A weft's needle starts from this side (`weft.NAME.from`).
    WeftFrom(WeftId, Side),
    /// A weft lies doubled on its needle, or single (`weft.NAME.doubled`).
    WeftDoubled(WeftId, bool),
    /// What happens at the edge ends of the whole piece (`edges`).
    PieceEdges(Edges),
    /// What happens at the edge ends of a band (`band.NAME.edges`); `None`: what the piece, or the band it is like,
    /// says.
    BandEdges(BandId, Option<Edges>),
    /// The row of its weave on which a band starts (`band.NAME.start`); `None`: as it comes.
    BandStart(BandId, Option<NonZeroU32>),
    /// How closely a band's rows are beaten (`band.NAME.beat`); `None`: as the band it is like has it, or else as close as
    /// they come.
    BandBeat(BandId, Option<Typed<Beat>>),
    /// How many rows a band has (`band.NAME.rows`, in place of `length`).
    BandRows(BandId, u32),
    /// A crossing or run changed by hand (`band.NAME.touched`: a line more, a line longer, or lines that go; in a
    /// band of written rows `band.NAME.rows`: the row itself).
    Touch(BandId, Touch),
    /// How a band's opening moves (`band.NAME.step`); only for a band that has a weave.
    BandStep(BandId, Step),
    /// A band's border is drawn to so many rows, whole turns of its wefts (`band.NAME.rows` or `band.NAME.length`,
    /// in the key and the unit that the weaver used). The border of a fill changes the band above it instead, or
    /// the one below where none is above.
    Length(BandId, u32),
    /// One place of a band, counted from the bottom from 1, gets a band of its own that is like it (a table
    /// `[band.NAME-2]`, and its line in the stack; a repeat or a sequence that it stands in is unrolled for that
    /// one turn).
    Part(BandId, NonZeroU32),
    /// A band's rows are written out (all keys of `band.NAME` that say how it is woven; what they said stays as
    /// notes).
    WriteOut(BandId),
    /// One key, or the few that belong to one thing.
    Set(Set),
    /// Lines of the stack (`piece.bands` or `sequence.NAME.bands`).
    Stack(StackList, StackEdit),
    /// Another yarn (a table `[yarn.NAME]`).
    NewYarn(NewYarn),
    /// A yarn is called otherwise, and so is the needle that has its name from it (`yarn.NAME`, `weft.NAME`, and
    /// wherever they are named).
    RenameYarn(YarnId, String),
    /// A band is called otherwise (`band.NAME`, and wherever it is named: in the stack, and by bands that are like it).
    RenameBand(BandId, String),
    /// A yarn that nothing is made of goes (its table `[yarn.NAME]`, and those of needles that carry it and weave
    /// no band).
    RemoveYarn(YarnId),
    /// Another needle with a yarn that is there (a table `[weft.NAME]`).
    NewWeft(String, YarnId),
    /// A needle that weaves no band goes (its table `[weft.NAME]`).
    RemoveWeft(WeftId),
    /// Several edits, one after the other, that make one change. What one of them names is what the plan holds
    /// after those before it.
    Together(Vec<Edit>),
}

/// A key and its value.
#[derive(Debug, Clone, PartialEq)]
pub enum Set {
    /// What the piece is called (`name`).
    Name(String),
    /// What it is for (`use`).
    Use(Purpose),
    /// The side meant to be seen (`shows`).
    Shows(Surface),
    /// What is done with it off the loom (`finish`).
    Finish(Finish),
    /// The finished size it should have (`finished`); `None`: any will do.
    Finished(Option<Typed<Wanted>>),
    /// The longest float that will do (`longest-float`); `None`: the usual for what it is for.
    LongestFloat(Option<Typed<Mm>>),
    /// The longest needleful that is comfortable (`habits.needleful`); `None`: the usual.
    Needleful(Option<Typed<Mm>>),
    /// The frame (the keys of `loom` that are named).
    Loom(LoomKeys),
    /// How wide the warp is on the loom (`warp.width`, in place of `warp.ends`).
    WarpWidth(Typed<Mm>),
    /// The yarns of the ends from the left (`warp.order`).
    WarpOrder(Vec<ColourRun>),
    /// How the warp is wound (`warp.path`).
    WarpPath(WarpPath),
    /// What is put in below the first row (`header.length`, `header.yarn`); `None`: nothing (the table `header` goes).
    Header(Option<Header>),
    /// A yarn's colour (`yarn.NAME.colour`).
    YarnColour(YarnId, Srgb),
    /// A yarn's size and what it is made of, which its size may rest on (`yarn.NAME.size`, `yarn.NAME.fibre`).
    YarnSize(YarnId, Typed<Size>, Fibre),
    /// What else is known of a yarn (the key of `yarn.NAME` that it says).
    YarnKnown(YarnId, Known),
    /// What a needle carries (`weft.NAME.yarn`).
    WeftYarn(WeftId, YarnId),
    /// The wefts of a band in turn, by the names of wefts or of yarns (`band.NAME.wefts`).
    BandWefts(BandId, Vec<String>),
    /// How a band is woven (`band.NAME.weave`, `opening`, `opposite`, `step`, `turn-back` and `turn-ends`, in the
    /// place of rows, parts or a band it was like; what it had from that one becomes its own).
    BandWeave(BandId, Recipe),
    /// A flag of a band (`band.NAME.exchanged`, `mirrored` or `over-for-under`).
    BandFlag(BandId, Flag, bool),
}

/// What a maker may know of a yarn beside its label; `None`: nothing.
#[derive(Debug, Clone, PartialEq)]
pub enum Known {
    /// How much of it there is (`have`).
    Have(Option<Typed<Stock>>),
    /// What it costs (`price`).
    Price(Option<Typed<Price>>),
    /// The width of one wrap on a ruler (`wraps`).
    Wraps(Option<Typed<Mm>>),
    /// A hank that was weighed and measured (`measured`).
    Measured(Option<Typed<Hank>>),
    /// How far fibres stand out round it (`halo`).
    Halo(Option<Typed<Mm>>),
}

impl Known {
    /// What is known of a yarn, and what is not.
    #[must_use]
    pub fn of(yarn: &Yarn) -> [Known; 5] {
        [
            Known::Have(yarn.have.clone()),
            Known::Price(yarn.price.clone()),
            Known::Wraps(yarn.wraps.clone()),
            Known::Measured(yarn.measured.clone()),
            Known::Halo(yarn.halo.clone()),
        ]
    }

    /// The key in a plan.
    #[must_use]
    pub fn key(&self) -> &'static str {
        match self {
            Known::Have(_) => "have",
            Known::Price(_) => "price",
            Known::Wraps(_) => "wraps",
            Known::Measured(_) => "measured",
            Known::Halo(_) => "halo",
        }
    }

    /// What was typed.
    #[must_use]
    pub fn typed(&self) -> Option<&str> {
        match self {
            Known::Have(have) => have.as_ref().map(|have| have.typed.as_str()),
            Known::Price(price) => price.as_ref().map(|price| price.typed.as_str()),
            Known::Wraps(length) | Known::Halo(length) => length.as_ref().map(|length| length.typed.as_str()),
            Known::Measured(hank) => hank.as_ref().map(|hank| hank.typed.as_str()),
        }
    }
}

/// What may be changed on a whole band.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flag {
    /// Its two wefts change places.
    Exchanged,
    /// Left and right change places.
    Mirrored,
    /// Over for under in every row.
    OverForUnder,
}

impl Flag {
    /// All of them.
    pub const ALL: [Flag; 3] = [Flag::Exchanged, Flag::Mirrored, Flag::OverForUnder];

    /// The key in a plan.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Flag::Exchanged => "exchanged",
            Flag::Mirrored => "mirrored",
            Flag::OverForUnder => "over-for-under",
        }
    }
}

/// Keys of the frame; those that are `None` stay as they are.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LoomKeys {
    /// What its owner calls it.
    pub name: Option<String>,
    /// Notches of each bar.
    pub notches: Option<u32>,
    /// Distance of the notches.
    pub pitch: Option<Typed<Mm>>,
    /// Length of one end.
    pub turn_to_turn: Option<Typed<Mm>>,
    /// What can be woven between the bars.
    pub clear_height: Option<Typed<Mm>>,
    /// The part at the top that a needle can't reach.
    pub out_of_reach: Option<Typed<Mm>>,
    /// How wide a notch is.
    pub notch_width: Option<Typed<Mm>>,
    /// How deep a notch is.
    pub notch_depth: Option<Typed<Mm>>,
    /// Strands of warp in each notch.
    pub strands: Option<u32>,
    /// Whether the strands of one notch are one end or several.
    pub strands_act: Option<StrandsAct>,
}

/// A yarn that the plan doesn't have yet.
#[derive(Debug, Clone, PartialEq)]
pub struct NewYarn {
    /// Its name.
    pub name: String,
    /// Its colour.
    pub colour: Srgb,
    /// How thick it is.
    pub size: Typed<Size>,
    /// What it is made of.
    pub fibre: Fibre,
}

/// A list of bands, sequences and groups.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StackList {
    /// The piece.
    Piece,
    /// A sequence that has a name.
    Sequence(SequenceId),
}

/// Where an entry stands in a list: its place from 0, and further places within groups.
pub type StackPath = Vec<usize>;

/// A change of the lines of a list.
#[derive(Debug, Clone, PartialEq)]
pub enum StackEdit {
    /// The entry `from` goes to stand before the one that is now at `to`, or last in its list.
    Move {
        /// The entry.
        from: StackPath,
        /// The place that it goes to.
        to: StackPath,
    },
    /// Something new stands before the entry that is now at `at`, or last in its list.
    Insert {
        /// The place.
        at: StackPath,
        /// What.
        what: Inserted,
    },
    /// So many entries from `first` on are woven several times over.
    Group {
        /// The first of them.
        first: StackPath,
        /// How many entries: at least one.
        count: usize,
        /// How often they are woven.
        times: u32,
    },
    /// A group is woven so often.
    Times {
        /// The group.
        at: StackPath,
        /// How often.
        times: u32,
    },
    /// A group gives way to what it holds, woven once.
    Ungroup {
        /// The group.
        at: StackPath,
    },
    /// An entry goes; its band stays in the plan.
    Remove {
        /// The entry.
        at: StackPath,
    },
}

/// What is put into a list.
#[derive(Debug, Clone, PartialEq)]
pub enum Inserted {
    /// A band that is there.
    Band(BandId),
    /// A sequence that is there.
    Sequence(SequenceId),
    /// The same as an entry of the same list.
    Copy(StackPath),
    /// A band made for it.
    New(NewBand),
}

/// A band that the plan doesn't have yet.
#[derive(Debug, Clone, PartialEq)]
pub struct NewBand {
    /// Its name; `None`: the first that is free.
    pub name: Option<String>,
    /// Its wefts in turn, by the names of wefts or of yarns.
    pub wefts: Vec<String>,
    /// How it is woven.
    pub weave: Recipe,
    /// How many rows it has.
    pub rows: u32,
}
