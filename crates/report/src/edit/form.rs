//! The form of an edit in JSON. `docs/json.md` has an example of each.

use serde::{Deserialize, Deserializer, Serialize};
use std::num::NonZeroU32;

/// A value, or null where it is given up. Null must be written: what was only forgotten gives nothing up.
fn or_null<'de, T: Deserialize<'de>, D: Deserializer<'de>>(from: D) -> Result<Option<T>, D::Error> {
    Option::deserialize(from)
}

/// One change of a plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "edit", rename_all = "snake_case", deny_unknown_fields)]
pub enum EditJson {
    /// The warp has this many ends.
    WarpEnds {
        /// How many.
        ends: u32,
    },
    /// A weft starts from this side.
    WeftFrom {
        /// The weft.
        weft: String,
        /// `left` or `right`.
        from: String,
    },
    /// A weft lies doubled on its needle.
    WeftDoubled {
        /// The weft.
        weft: String,
        /// Doubled or single.
        doubled: bool,
    },
    /// What happens at the edge ends of the piece.
    PieceEdges {
        /// `crossed` or `taken`.
        edges: String,
    },
    /// What happens at the edge ends of a band.
    BandEdges {
        /// The band.
        band: String,
        /// `crossed` or `taken`; null: what the piece, or the band it is like, says.
        #[serde(deserialize_with = "or_null")]
        edges: Option<String>,
    },
    /// How closely a band's rows are beaten.
    BandBeat {
        /// The band.
        band: String,
        /// As it is typed; null: as the band it is like, or as close as they come.
        #[serde(deserialize_with = "or_null")]
        beat: Option<String>,
    },
    /// The row of its weave on which a band starts.
    BandStart {
        /// The band.
        band: String,
        /// From 1; null: as it comes.
        #[serde(deserialize_with = "or_null")]
        start: Option<NonZeroU32>,
    },
    /// How many rows a band has.
    BandRows {
        /// The band.
        band: String,
        /// How many.
        rows: u32,
    },
    /// Crossings changed by hand.
    Touch {
        /// The band.
        band: String,
        /// The row of the band, or the first of them.
        row: u32,
        /// Every so many rows; null: only that one.
        #[serde(default)]
        every: Option<NonZeroU32>,
        /// First and last end.
        ends: [u32; 2],
        /// `over` or `under`.
        pass: String,
    },
    /// How a band's opening moves.
    BandStep {
        /// The band.
        band: String,
        /// Ends to the right, less than 0 to the left.
        right: i32,
        /// How many rows are woven before each step.
        every_rows: NonZeroU32,
    },
    /// A band's border is drawn to so many rows.
    Length {
        /// The band.
        band: String,
        /// How many rows.
        rows: u32,
    },
    /// One place of a band gets a band of its own.
    Part {
        /// The band.
        band: String,
        /// Which of its places, from the bottom from 1.
        place: NonZeroU32,
    },
    /// A band's rows are written out.
    WriteOut {
        /// The band.
        band: String,
    },
    /// A flag of a band.
    Toggle {
        /// The band.
        band: String,
        /// `exchanged`, `mirrored` or `over-for-under`.
        flag: String,
        /// What it becomes; without it the other of what it is.
        #[serde(default)]
        on: Option<bool>,
    },
    /// How a band is woven.
    BandWeave {
        /// The band.
        band: String,
        /// The weave.
        #[serde(flatten)]
        weave: WeaveJson,
    },
    /// The wefts of a band in turn.
    BandWefts {
        /// The band.
        band: String,
        /// Names of wefts or yarns.
        wefts: Vec<String>,
    },
    /// What the piece is called.
    Name {
        /// The name.
        name: String,
    },
    /// What it is for.
    Use {
        /// A word of the plan's `use`.
        r#use: String,
    },
    /// The side meant to be seen.
    Shows {
        /// `front` or `back`.
        shows: String,
    },
    /// What is done with it off the loom.
    Finish {
        /// A word of the plan's `finish`.
        finish: String,
    },
    /// The finished size it should have.
    Finished {
        /// Width and length; null: any will do.
        #[serde(deserialize_with = "or_null")]
        size: Option<String>,
    },
    /// The longest float that will do.
    LongestFloat {
        /// A length; null: the usual.
        #[serde(deserialize_with = "or_null")]
        length: Option<String>,
    },
    /// The longest needleful that is comfortable.
    Needleful {
        /// A length; null: the usual.
        #[serde(deserialize_with = "or_null")]
        length: Option<String>,
    },
    /// Keys of the frame.
    Loom(LoomJson),
    /// How wide the warp is on the loom.
    WarpWidth {
        /// A length.
        width: String,
    },
    /// The yarns of the ends from the left.
    WarpOrder {
        /// Such as `24 reed`.
        order: Vec<String>,
    },
    /// One yarn of the warp gives way to another.
    WarpYarn {
        /// The yarn that goes.
        yarn: String,
        /// The yarn that comes.
        to: String,
    },
    /// How the warp is wound.
    WarpPath {
        /// `zigzag` or `round`.
        path: String,
    },
    /// What is put in below the first row and comes out again.
    Header {
        /// How much of the warp it takes; null: there is none.
        #[serde(deserialize_with = "or_null")]
        length: Option<String>,
        /// The waste yarn that it is woven with, or null for a strip of card.
        #[serde(default)]
        yarn: Option<String>,
    },
    /// A yarn's colour.
    YarnColour {
        /// The yarn.
        yarn: String,
        /// Such as `#2d6f73`.
        colour: String,
    },
    /// A yarn's size and what it is made of.
    YarnSize {
        /// The yarn.
        yarn: String,
        /// As its label says.
        size: String,
        /// What it is made of; without it what the size says, or what it was.
        #[serde(default)]
        fibre: Option<String>,
    },
    /// How much of a yarn there is.
    YarnHave {
        /// The yarn.
        yarn: String,
        /// A length or a mass; null: it is not known.
        #[serde(deserialize_with = "or_null")]
        have: Option<String>,
    },
    /// What a yarn costs.
    YarnPrice {
        /// The yarn.
        yarn: String,
        /// Money, and how much that buys; null: it is not known.
        #[serde(deserialize_with = "or_null")]
        price: Option<String>,
    },
    /// Turns of a yarn on a ruler.
    YarnWraps {
        /// The yarn.
        yarn: String,
        /// Such as `7 wraps per cm`; null: as its size says.
        #[serde(deserialize_with = "or_null")]
        wraps: Option<String>,
    },
    /// What a hank of a yarn weighed and how long it was.
    YarnMeasured {
        /// The yarn.
        yarn: String,
        /// A mass and a length; null: as its size says.
        #[serde(deserialize_with = "or_null")]
        measured: Option<String>,
    },
    /// How far fibres stand out round a yarn.
    YarnHalo {
        /// The yarn.
        yarn: String,
        /// A length; null: as is usual for its fibre.
        #[serde(deserialize_with = "or_null")]
        halo: Option<String>,
    },
    /// Another yarn.
    YarnNew {
        /// Its name.
        yarn: String,
        /// Its colour.
        colour: String,
        /// As its label says.
        size: String,
        /// What it is made of; without it what the size says, or cotton.
        #[serde(default)]
        fibre: Option<String>,
    },
    /// A yarn is called otherwise.
    YarnRename {
        /// The yarn.
        yarn: String,
        /// What it is called.
        name: String,
    },
    /// A band is called otherwise.
    BandRename {
        /// The band.
        band: String,
        /// What it is called.
        name: String,
    },
    /// A yarn that nothing is made of goes.
    YarnRemove {
        /// The yarn.
        yarn: String,
    },
    /// What a needle carries.
    WeftYarn {
        /// The weft.
        weft: String,
        /// The yarn.
        yarn: String,
    },
    /// Another needle.
    WeftNew {
        /// Its name.
        weft: String,
        /// Its yarn.
        yarn: String,
    },
    /// A needle that weaves no band goes.
    WeftRemove {
        /// The weft.
        weft: String,
    },
    /// An entry of the stack goes to another place.
    StackMove {
        /// The sequence whose list it is; null: the piece.
        #[serde(default)]
        sequence: Option<String>,
        /// The entry.
        from: Vec<u32>,
        /// The entry that it goes to stand before, or one past the last.
        to: Vec<u32>,
    },
    /// Something is put into the stack.
    StackInsert {
        /// The sequence whose list it is; null: the piece.
        #[serde(default)]
        sequence: Option<String>,
        /// The entry that it goes to stand before, or one past the last.
        at: Vec<u32>,
        /// What.
        what: InsertedJson,
    },
    /// Entries are woven several times over.
    StackGroup {
        /// The sequence whose list it is; null: the piece.
        #[serde(default)]
        sequence: Option<String>,
        /// The first of them.
        at: Vec<u32>,
        /// How many.
        count: u32,
        /// How often.
        times: u32,
    },
    /// A group is woven so often.
    StackTimes {
        /// The sequence whose list it is; null: the piece.
        #[serde(default)]
        sequence: Option<String>,
        /// The group.
        at: Vec<u32>,
        /// How often.
        times: u32,
    },
    /// A group gives way to what it holds.
    StackUngroup {
        /// The sequence whose list it is; null: the piece.
        #[serde(default)]
        sequence: Option<String>,
        /// The group.
        at: Vec<u32>,
    },
    /// An entry of the stack goes.
    StackRemove {
        /// The sequence whose list it is; null: the piece.
        #[serde(default)]
        sequence: Option<String>,
        /// The entry.
        at: Vec<u32>,
    },
    /// Several edits that make one change.
    Together {
        /// The edits, in order.
        edits: Vec<EditJson>,
    },
}

/// How something is woven: `weave` or `opening`, and what changes it.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct WeaveJson {
    /// The weave's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weave: Option<String>,
    /// The first row.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opening: Option<String>,
    /// Every opening twice, the second time with over and under exchanged.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub opposite: bool,
    /// How it moves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<String>,
    /// Where its lean turns back as rows go by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn_back: Option<String>,
    /// Where its lean turns back from end to end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn_ends: Option<String>,
}

/// Keys of the frame; those that are not there stay.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct LoomJson {
    /// What you call it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Notches of each bar.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notches: Option<NonZeroU32>,
    /// Distance of the notches.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pitch: Option<String>,
    /// Length of one end.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub turn_to_turn: Option<String>,
    /// What can be woven between the bars.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clear_height: Option<String>,
    /// What a needle can't reach at the top.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub out_of_reach: Option<String>,
    /// How wide a notch is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notch_width: Option<String>,
    /// How deep a notch is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notch_depth: Option<String>,
    /// Strands of warp in each notch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strands: Option<NonZeroU32>,
    /// `one end` or `ends`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strands_act_as: Option<String>,
}

/// What is put into a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum InsertedJson {
    /// A band or a sequence that is there.
    Entry(String),
    /// The same as an entry of the same list.
    Copy(Vec<u32>),
    /// A band made for it.
    New(NewBandJson),
}

/// A band that is not there yet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewBandJson {
    /// Its name; null: the first that is free.
    #[serde(default)]
    pub name: Option<String>,
    /// Names of wefts or yarns.
    pub wefts: Vec<String>,
    /// How it is woven.
    #[serde(flatten)]
    pub weave: WeaveJson,
    /// How many rows it has.
    pub rows: u32,
}
