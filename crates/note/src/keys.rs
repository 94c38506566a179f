//! The keys of a plan file: one table per section. The reader, its words about unknown keys, the schema for
//! editors and the reference in the manual are all made from it.

use fellmark_core::habits::{Habit, HabitKind};
use fellmark_core::plan::bounds;
use std::sync::LazyLock;

/// A kind of table in a plan file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Section {
    Plan,
    Loom,
    Yarn,
    Warp,
    Header,
    Weft,
    Band,
    Part,
    Row,
    Sequence,
    Piece,
    Group,
    Habits,
}

/// What a value must be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// The number of this file format.
    SchemaNumber,
    Text,
    Flag,
    Count {
        most: u32,
    },
    Choice(&'static [&'static str]),
    Length,
    /// How far fibres stand out.
    Halo,
    /// A width and a length in one text.
    FinishedSize,
    Colour,
    Size,
    Wraps,
    Hank,
    Fibre,
    Price,
    Stock,
    /// A list such as `["24 reed", "2 foam"]`.
    Order,
    /// A list of names of wefts.
    Wefts,
    YarnName,
    BandName,
    Weave,
    Opening,
    /// A number of rows, or a list of rows written out.
    Rows,
    Step,
    TurnBack,
    TurnEnds,
    BandLength,
    /// Rows per length.
    Beat,
    Touched,
    Ends,
    /// A list of bands, sequences and groups.
    Stack,
    Habit(HabitKind),
    /// A table.
    One(Section),
    /// A table of tables, each with a name of its own.
    Named(Section),
    /// Tables under one heading.
    Several(Section),
}

/// A key and what is to be known of it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Key {
    pub(crate) name: &'static str,
    pub(crate) kind: Kind,
    pub(crate) required: bool,
    /// What it means, in a sentence for a weaver.
    pub(crate) meaning: &'static str,
    /// A value, as it is written in the file.
    pub(crate) example: &'static str,
}

const fn must(name: &'static str, kind: Kind, example: &'static str, meaning: &'static str) -> Key {
    Key { name, kind, required: true, meaning, example }
}

const fn may(name: &'static str, kind: Kind, example: &'static str, meaning: &'static str) -> Key {
    Key { name, kind, required: false, meaning, example }
}

/// What `use` may say; the last word is another for coaster.
pub(crate) const PURPOSES: &[&str] =
    &["sample", "bookmark", "coaster", "jewellery", "garment", "hanging", "mat"];
pub(crate) const SURFACES: &[&str] = &["front", "back"];
pub(crate) const EDGES: &[&str] = &["crossed", "taken"];
pub(crate) const STRANDS_ACT: &[&str] = &["one end", "ends"];
pub(crate) const PATHS: &[&str] = &["zigzag", "round"];
pub(crate) const SIDES: &[&str] = &["left", "right"];
/// What `finish` may say.
pub(crate) const FINISHES: &[&str] = &["as it is", "steamed", "washed", "pinned"];
pub(crate) const READINGS: &[&str] = &["from the left", "as woven"];

const COUNT_OF_ENDS: Kind = Kind::Count { most: bounds::ENDS };
const COUNT_OF_ROWS: Kind = Kind::Count { most: bounds::ROWS };

const PLAN: &[Key] = &[
    must("schema", Kind::SchemaNumber, "1", "The number of this way of writing plans."),
    must("name", Kind::Text, "\"Tideline mat\"", "What the piece is called."),
    may(
        "use",
        Kind::Choice(PURPOSES),
        "\"coaster\"",
        "What the piece is for: it decides which floats are too long. Without it: `\"sample\"`.",
    ),
    may(
        "shows",
        Kind::Choice(SURFACES),
        "\"front\"",
        "The side meant to be seen when it is finished. The front is the side you see while weaving. Without \
         it: `\"front\"`.",
    ),
    may(
        "edges",
        Kind::Choice(EDGES),
        "\"crossed\"",
        "What happens at the edge ends. `\"crossed\"`: as the weave has it, and wefts are crossed where that \
         holds a turn. `\"taken\"`: each row goes over the first end it meets and under the last, whatever the \
         weave says. Without it: `\"crossed\"`.",
    ),
    may(
        "longest-float",
        Kind::Length,
        "\"12 mm\"",
        "The longest float you are content with, where it differs from the usual for what the piece is for.",
    ),
    may(
        "finish",
        Kind::Choice(FINISHES),
        "\"washed\"",
        "What is done with the cloth off the loom: `\"as it is\"`, `\"steamed\"` or damp-pressed, `\"washed\"`, or \
         washed and `\"pinned\"` out to dry. Without it: `\"steamed\"`.",
    ),
    may(
        "finished",
        Kind::FinishedSize,
        "\"11 cm x 14 cm\"",
        "The width and the length that it should have when it is finished, or one of them (`\"11 cm wide\"`, \
         `\"14 cm long\"`): `fellmark fit` says how to come near it.",
    ),
    must("loom", Kind::One(Section::Loom), "", "The frame."),
    may("yarn", Kind::Named(Section::Yarn), "", "The yarns, each in a table with its name."),
    must("warp", Kind::One(Section::Warp), "", "The warp."),
    may(
        "header",
        Kind::One(Section::Header),
        "",
        "What is put in below the first row to spread the warp, and comes out again. Without it the piece is begun at the \
         near bar.",
    ),
    may("weft", Kind::Named(Section::Weft), "", "What a needle has that its yarn's name does not tell."),
    may("band", Kind::Named(Section::Band), "", "The bands, each in a table with its name."),
    may("sequence", Kind::Named(Section::Sequence), "", "Bands that come again in the same order."),
    must("piece", Kind::One(Section::Piece), "", "The piece, as a stack of bands."),
    may("habits", Kind::One(Section::Habits), "", "What is different in your hands from the usual."),
];

const LOOM: &[Key] = &[
    may("name", Kind::Text, "\"the small frame\"", "What you call the loom."),
    must("notches", COUNT_OF_ENDS, "40", "How many notches each bar has."),
    must("pitch", Kind::Length, "\"6 mm\"", "From the middle of one notch to the middle of the next."),
    must("turn-to-turn", Kind::Length, "\"24 cm\"", "The length of one end, from turn to turn."),
    must(
        "clear-height",
        Kind::Length,
        "\"22 cm\"",
        "The height between the bars that could be woven if a needle reached all of it; not more than \
         `turn-to-turn`.",
    ),
    may("out-of-reach", Kind::Length, "\"15 mm\"", "The part at the top that a needle can't reach."),
    may("notch-width", Kind::Length, "\"2 mm\"", "How wide a notch is: how thick a yarn it takes."),
    may("notch-depth", Kind::Length, "\"4 mm\"", "How deep a notch is: extra warp at each turn."),
    may("strands", Kind::Count { most: 64 }, "1", "Strands of warp in each notch. Without it: 1."),
    may(
        "strands-act-as",
        Kind::Choice(STRANDS_ACT),
        "\"one end\"",
        "Whether the needle takes the strands of a notch together (`\"one end\"`) or may part them \
         (`\"ends\"`). Without it: `\"one end\"`.",
    ),
];

const YARN: &[Key] = &[
    must("colour", Kind::Colour, "\"#2d6f73\"", "Its colour."),
    must("size", Kind::Size, "\"210 m per 100 g\"", "How thick it is, as its label or a ruler says."),
    may("wraps", Kind::Wraps, "\"7 wraps per cm\"", "Turns on a ruler, where you know them beside its size."),
    may(
        "measured",
        Kind::Hank,
        "\"12.4 g, 31 m\"",
        "What a hank weighed and how long it was: it beats the label.",
    ),
    may("fibre", Kind::Fibre, "\"wool\"", "What it is made of."),
    may(
        "halo",
        Kind::Halo,
        "\"2 mm\"",
        "How far fibres stand out round it: `\"0 mm\"` for a smooth, tight yarn. Without it: what is usual for its fibre.",
    ),
    may("price", Kind::Price, "\"4.90 EUR per 50 g\"", "What it costs."),
    may("have", Kind::Stock, "\"22 m\"", "How much of it you have."),
];

const WARP: &[Key] = &[
    may("ends", COUNT_OF_ENDS, "24", "How many ends the warp has. Write this or `width`."),
    may(
        "width",
        Kind::Length,
        "\"14 cm\"",
        "How wide the warp is on the loom: it takes as many ends as make this width. Write this or `ends`.",
    ),
    must(
        "order",
        Kind::Order,
        "[\"24 reed\"]",
        "The yarns of the ends from the left; it begins again if it falls short.",
    ),
    may(
        "path",
        Kind::Choice(PATHS),
        "\"zigzag\"",
        "How the warp is wound: up one notch and down the next (`\"zigzag\"`), or round and round the frame \
         (`\"round\"`). Without it: `\"zigzag\"`.",
    ),
];

const HEADER: &[Key] = &[
    must(
        "length",
        Kind::Length,
        "\"2 cm\"",
        "How much of the warp it takes, from the near bar up to the first row: so much less can be woven.",
    ),
    may(
        "yarn",
        Kind::YarnName,
        "\"reed\"",
        "The waste yarn that it is woven with, over 1 and under 1. Without it: a strip of card.",
    ),
];

const WEFT: &[Key] = &[
    may("yarn", Kind::YarnName, "\"foam\"", "Its yarn. Without it: the yarn that has the weft's own name."),
    may(
        "from",
        Kind::Choice(SIDES),
        "\"right\"",
        "The side its first row starts from. Without it: `\"left\"`.",
    ),
    may("doubled", Kind::Flag, "true", "The yarn lies doubled on the needle. Without it: `false`."),
];

const WEAVE: Key = may(
    "weave",
    Kind::Weave,
    "\"twill 2/2\"",
    "A weave by its name. Beside it, the keys below change what the name stands for.",
);
const OPENING: Key = may(
    "opening",
    Kind::Opening,
    "\"over 5, under 3\"",
    "The first row, from the left, again and again across the ends.",
);
const OPPOSITE: Key = may(
    "opposite",
    Kind::Flag,
    "true",
    "Every opening is woven twice, the second time with over and under exchanged: once by each of two wefts.",
);
const STEP: Key = may(
    "step",
    Kind::Step,
    "\"1 right\"",
    "How the opening moves: so many ends to one side, every row, every pair of rows or every so many rows. If it \
     does not say how often: every row, or every pair where `opposite` is on.",
);
const TURN_BACK: Key = may(
    "turn-back",
    Kind::TurnBack,
    "\"after 6 steps\"",
    "The lean turns back after so many steps: in a point, or broken by half a repeat.",
);
const TURN_ENDS: Key = may(
    "turn-ends",
    Kind::TurnEnds,
    "\"after 8 ends\"",
    "The lean turns back from end to end, after so many ends: in a point, or broken by half a repeat.",
);
const ENDS: Key = may(
    "ends",
    Kind::Ends,
    "\"3 to 20\"",
    "The ends it is woven over, both included. Without it: all of them.",
);

const BAND: &[Key] = &[
    may(
        "wefts",
        Kind::Wefts,
        "[\"slate\", \"foam\"]",
        "The wefts that weave it, taken in turn, row by row. Needed, unless the band is `like` another.",
    ),
    WEAVE,
    OPENING,
    OPPOSITE,
    STEP,
    TURN_BACK,
    TURN_ENDS,
    may("part", Kind::Several(Section::Part), "", "Different weaves over different ends of one band."),
    may(
        "like",
        Kind::BandName,
        "\"pools\"",
        "Another band: this one starts from its finished rows and makes its own changes to them.",
    ),
    may(
        "rows",
        Kind::Rows,
        "8",
        "A number: how many rows it has. A list: its rows written out, from the bottom up.",
    ),
    may(
        "length",
        Kind::BandLength,
        "\"3 cm\"",
        "How long it is on the loom, or `\"fill\"` for what the other bands leave, or a number of rows such as \
         `\"12 rows\"`.",
    ),
    may(
        "beat",
        Kind::Beat,
        "\"5 rows per cm\"",
        "How closely its rows are beaten: no closer than this. Without it: as close as they come.",
    ),
    may("start", COUNT_OF_ROWS, "2", "The row of its weave on which it starts, counted from 1."),
    may("mirrored", Kind::Flag, "true", "Left and right change places."),
    may("over-for-under", Kind::Flag, "true", "Every row goes over where it went under."),
    may("exchanged", Kind::Flag, "true", "Its two wefts change places; the openings keep their order."),
    may(
        "touched",
        Kind::Touched,
        "[\"row 3: over 5 to 7\"]",
        "Crossings changed by hand, after everything else. Rows count from the band's own bottom, ends from the \
         left.",
    ),
    ENDS,
    may(
        "edges",
        Kind::Choice(EDGES),
        "\"taken\"",
        "What happens at its edge ends, if it differs from the piece.",
    ),
    may(
        "read",
        Kind::Choice(READINGS),
        "\"as woven\"",
        "How its rows are to be read: from the left, or in the direction in which the needle travels. Without \
         it: `\"from the left\"`.",
    ),
];

const PART: &[Key] = &[
    may(
        "ends",
        Kind::Ends,
        "\"1 to 8\"",
        "The ends it covers. One part may go without: it takes those left over.",
    ),
    WEAVE,
    OPENING,
    OPPOSITE,
    STEP,
    TURN_BACK,
    TURN_ENDS,
];

const ROW: &[Key] = &[must("row", Kind::Opening, "\"over 3, under 2\"", "The row, from the left."), ENDS];

const SEQUENCE: &[Key] = &[must(
    "bands",
    Kind::Stack,
    "[\"pools\", \"shoals\"]",
    "What it holds from the bottom up: bands, other sequences, groups.",
)];

const PIECE: &[Key] = &[must(
    "bands",
    Kind::Stack,
    "[\"hem\", { times = 2, bands = [\"pools\", \"shoals\"] }, \"hem\"]",
    "The piece from the bottom up: the first is woven first.",
)];

const GROUP: &[Key] = &[
    must("times", COUNT_OF_ROWS, "2", "How often it is woven."),
    must("bands", Kind::Stack, "[\"pools\", \"shoals\"]", "What is woven again, from the bottom up."),
];

static HABITS: LazyLock<Vec<Key>> = LazyLock::new(|| Habit::ALL.into_iter().map(habit_key).collect());

fn habit_key(habit: Habit) -> Key {
    let (example, meaning) = match habit {
        Habit::Comb => {
            ("0.95", "How far rows stay apart, of what the cloth model says: less than 1 for a hard beat.")
        }
        Habit::FlattenSoft => {
            ("\"65 %\"", "How thick a soft yarn is where it crosses an end, of its free thickness.")
        }
        Habit::FlattenMedium => ("\"75 %\"", "The same for a yarn neither soft nor hard."),
        Habit::FlattenHard => ("\"90 %\"", "The same for a hard yarn."),
        Habit::SqueezeSoft => {
            ("\"55 %\"", "How far apart two soft strands lie where they cross in a gap, of their thickness.")
        }
        Habit::SqueezeMedium => ("\"70 %\"", "The same for yarns neither soft nor hard."),
        Habit::SqueezeHard => ("\"90 %\"", "The same for hard yarns."),
        Habit::LoftSoft => (
            "1.55",
            "How much thicker a soft yarn lies free than its weight says of it packed close, where no wraps are known.",
        ),
        Habit::LoftMedium => ("1.4", "The same for yarns neither soft nor hard."),
        Habit::LoftHard => ("1.15", "The same for hard yarns."),
        Habit::Stiffness => (
            "20",
            "The smallest radius to which a row bends in the plane of the cloth, over the yarn's thickness.",
        ),
        Habit::Slack => ("\"4 %\"", "Extra weft laid in as a hill before combing, of the row's path."),
        Habit::Tail => ("\"8 cm\"", "The tail where a weft begins or ends."),
        Habit::JoinEnds => ("4", "Ends over which two needlefuls overlap."),
        Habit::Needleful => ("\"1.2 m\"", "The longest needleful that is comfortable."),
        Habit::NeedleRest => ("\"9 cm\"", "What a needle can't weave of its yarn."),
        Habit::RowReserve => ("1.5", "Widths of yarn that must be left for a row to be begun."),
        Habit::Carry => (
            "\"18 mm\"",
            "The longest way of a weft outside its rows, up the edge and in front of ends together; past it the weft is cut and begun again.",
        ),
        Habit::Tie => ("\"15 cm\"", "Warp for one tie."),
        Habit::DrawIn => ("\"3 %\"", "Width lost while weaving, of the width on the loom."),
        Habit::WarpStiffness => {
            ("1", "How stiff the warp is to bend beside the weft, of what their sizes and fibres say.")
        }
        Habit::SpringBackLinen => (
            "\"0.5 %\"",
            "What a warp of linen, hemp, ramie or jute loses of its length when its tension goes.",
        ),
        Habit::SpringBackCotton => ("\"1.5 %\"", "The same for cotton and viscose."),
        Habit::SpringBackSilk => ("\"1.5 %\"", "The same for silk."),
        Habit::SpringBackWool => ("\"5 %\"", "The same for wool and other hair."),
        Habit::SpringBackMade => ("\"2.5 %\"", "The same for made fibres."),
        Habit::ShrinkAlongLinen => (
            "\"5 %\"",
            "What washing takes of the length of cloth with a warp of linen, hemp, ramie or jute.",
        ),
        Habit::ShrinkAlongCotton => ("\"6 %\"", "The same for cotton and viscose."),
        Habit::ShrinkAlongSilk => ("\"3 %\"", "The same for silk."),
        Habit::ShrinkAlongWool => ("\"8 %\"", "The same for wool and other hair."),
        Habit::ShrinkAlongMade => ("\"1 %\"", "The same for made fibres."),
        Habit::ShrinkAcrossLinen => {
            ("\"5 %\"", "What washing takes of the width of cloth with a weft of linen, hemp, ramie or jute.")
        }
        Habit::ShrinkAcrossCotton => ("\"6 %\"", "The same for cotton and viscose."),
        Habit::ShrinkAcrossSilk => ("\"3 %\"", "The same for silk."),
        Habit::ShrinkAcrossWool => ("\"8 %\"", "The same for wool and other hair."),
        Habit::ShrinkAcrossMade => ("\"1 %\"", "The same for made fibres."),
        Habit::Steamed => ("\"40 %\"", "What steaming takes, of what washing takes."),
        Habit::Pinned => {
            ("\"10 %\"", "What is lost though the wet cloth is pinned out, of what washing takes.")
        }
    };
    may(habit.key(), Kind::Habit(habit.kind()), example, meaning)
}

impl Section {
    /// All sections, in the order of the manual.
    pub(crate) const ALL: [Section; 13] = [
        Section::Plan,
        Section::Loom,
        Section::Yarn,
        Section::Warp,
        Section::Header,
        Section::Weft,
        Section::Band,
        Section::Part,
        Section::Row,
        Section::Sequence,
        Section::Piece,
        Section::Group,
        Section::Habits,
    ];

    /// Its keys, in the order of the manual.
    pub(crate) fn keys(self) -> &'static [Key] {
        match self {
            Section::Plan => PLAN,
            Section::Loom => LOOM,
            Section::Yarn => YARN,
            Section::Warp => WARP,
            Section::Header => HEADER,
            Section::Weft => WEFT,
            Section::Band => BAND,
            Section::Part => PART,
            Section::Row => ROW,
            Section::Sequence => SEQUENCE,
            Section::Piece => PIECE,
            Section::Group => GROUP,
            Section::Habits => &HABITS,
        }
    }

    /// One of its keys.
    pub(crate) fn key(self, name: &str) -> Option<&'static Key> {
        self.keys().iter().find(|key| key.name == name)
    }

    /// What it is called where it has no name of its own, as one writes it in the file.
    pub(crate) fn heading(self) -> &'static str {
        match self {
            Section::Plan => "the plan",
            Section::Loom => "[loom]",
            Section::Yarn => "[yarn.NAME]",
            Section::Warp => "[warp]",
            Section::Header => "[header]",
            Section::Weft => "[weft.NAME]",
            Section::Band => "[band.NAME]",
            Section::Part => "[[band.NAME.part]]",
            Section::Row => "a written row",
            Section::Sequence => "[sequence.NAME]",
            Section::Piece => "[piece]",
            Section::Group => "a group",
            Section::Habits => "[habits]",
        }
    }
}

impl Kind {
    /// What stands there, as the end of "Write ...".
    pub(crate) fn wanted(self) -> &'static str {
        match self {
            Kind::SchemaNumber => "the number 1",
            Kind::Text => "a text between quotes",
            Kind::Flag => "true or false",
            Kind::Count { .. } | Kind::Habit(HabitKind::Count) => "a whole number, 1 or more",
            Kind::Choice(_) => "one of the words it knows",
            Kind::Length | Kind::Halo | Kind::Habit(HabitKind::Length) => {
                "a length with its unit, between quotes"
            }
            Kind::FinishedSize => "a width, a length or both, between quotes",
            Kind::Colour => "a colour between quotes",
            Kind::Size => "a yarn size between quotes",
            Kind::Wraps => "wraps on a length of ruler, between quotes",
            Kind::Hank => "a mass and a length, between quotes",
            Kind::Fibre => "a fibre between quotes",
            Kind::Price => "a price between quotes",
            Kind::Stock => "a length or a mass, between quotes",
            Kind::Order => "a list of numbers with yarns",
            Kind::Wefts => "a list of wefts",
            Kind::YarnName => "the name of a yarn, between quotes",
            Kind::BandName => "the name of a band, between quotes",
            Kind::Weave => "the name of a weave, between quotes",
            Kind::Opening => "a row between quotes",
            Kind::Rows => "a number of rows, or a list of rows",
            Kind::Step => "a step between quotes",
            Kind::TurnBack => "a number of steps, between quotes",
            Kind::TurnEnds => "a number of ends, between quotes",
            Kind::BandLength => "a length between quotes, or \"fill\"",
            Kind::Beat => "rows per length between quotes",
            Kind::Touched => "a list of touches",
            Kind::Ends => "a range of ends, between quotes",
            Kind::Stack => "a list of bands",
            Kind::Habit(HabitKind::Ratio) => "a number or a percentage",
            Kind::One(_) | Kind::Named(_) => "a table",
            Kind::Several(_) => "tables under double brackets",
        }
    }
}

impl Key {
    /// What to write, with an example: the end of "Write ...".
    pub(crate) fn wanted(&self) -> String {
        let wanted = self.kind.wanted();
        match self.kind {
            Kind::Choice(words) => format!("{}, between quotes", crate::near::either(words.iter().copied())),
            Kind::One(section) => format!("a table {}", section.heading()),
            Kind::Named(section) => format!("tables such as {}", section.heading()),
            Kind::Several(section) => format!("tables {}", section.heading()),
            _ => format!("{wanted}, such as {} = {}", self.name, self.example),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{values, weaves, words};
    use toml::de::DeValue;

    /// Whether a text is what a kind wants; `None` for kinds whose values are no texts or are names.
    fn reads(kind: Kind, text: &str) -> Option<bool> {
        Some(match kind {
            Kind::Choice(words) => words.contains(&text),
            Kind::Length | Kind::Habit(HabitKind::Length) => values::length(text).is_ok(),
            Kind::Halo => values::halo(text).is_ok(),
            Kind::Beat => values::beat(text).is_ok(),
            Kind::Habit(HabitKind::Ratio) => values::ratio(text).is_ok(),
            Kind::FinishedSize => values::wanted(text).is_ok(),
            Kind::Colour => values::colour(text).is_ok(),
            Kind::Size => values::size(text, None).is_ok(),
            Kind::Wraps => values::wraps(text).is_ok(),
            Kind::Hank => values::hank(text).is_ok(),
            Kind::Fibre => values::fibre(text).is_ok(),
            Kind::Price => values::price(text).is_ok(),
            Kind::Stock => values::stock(text).is_ok(),
            Kind::Weave => weaves::weave(text).is_ok(),
            Kind::Opening => words::runs(text).is_ok(),
            Kind::Step => words::step(text).is_ok(),
            Kind::TurnBack => words::turn_back(text).is_ok(),
            Kind::TurnEnds => words::turn_ends(text).is_ok(),
            Kind::Ends => words::ends(text).is_ok(),
            Kind::BandLength => values::some_length(text).is_ok(),
            _ => return None,
        })
    }

    #[test]
    fn every_example_is_what_its_key_wants() {
        let mut read = 0;
        for key in Section::ALL.into_iter().flat_map(Section::keys) {
            if matches!(key.kind, Kind::One(_) | Kind::Named(_) | Kind::Several(_)) {
                continue;
            }
            let value = DeValue::parse(key.example);
            assert!(value.is_ok(), "{}: {}", key.name, key.example);
            if let Some(text) = value.unwrap().get_ref().as_str()
                && let Some(fits) = reads(key.kind, text)
            {
                assert!(fits, "{}: {}", key.name, key.example);
                read += 1;
            }
        }
        assert!(read > 40, "{read} examples were read");
    }

    #[test]
    fn no_section_has_a_key_twice() {
        for section in Section::ALL {
            let mut names: Vec<&str> = section.keys().iter().map(|key| key.name).collect();
            names.sort_unstable();
            assert!(names.windows(2).all(|pair| pair[0] != pair[1]), "{}", section.heading());
        }
    }
}
