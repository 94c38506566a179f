//! Random plans, as their weavers could write them. What is drawn comes from a tape of numbers, so that a
//! shorter tape with smaller numbers is a simpler plan, and the smallest one that breaks a law can be found.

use std::fmt::Write;

/// Numbers to draw from; after its end every draw is 0, the simplest choice.
#[derive(Debug)]
pub struct Tape<'a> {
    values: std::slice::Iter<'a, u16>,
}

impl Tape<'_> {
    /// A tape of these numbers.
    #[must_use]
    pub fn new(values: &[u16]) -> Tape<'_> {
        Tape { values: values.iter() }
    }

    /// A number from 0 to `most`.
    pub fn up_to(&mut self, most: u32) -> u32 {
        let drawn = self.values.next().copied().unwrap_or_default();
        u32::from(drawn) % (most + 1)
    }

    /// A number from `least` to `most`.
    pub fn from_to(&mut self, least: u32, most: u32) -> u32 {
        least + self.up_to(most - least)
    }

    /// True once in `times`, never after the tape's end.
    pub fn once_in(&mut self, times: u32) -> bool {
        self.up_to(times - 1) == times - 1
    }

    /// One of these.
    pub fn one_of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.up_to(choices.len() as u32 - 1) as usize]
    }
}

/// The wefts that may be used; one has a name of two words.
pub const WEFTS: [&str; 4] = ["slate", "foam", "sea lavender", "mud-lark"];

/// The top of a plan: loom, yarns and warp, with the carry after which a waiting weft is cut.
#[must_use]
pub fn head(ends: u32, extra: &str) -> String {
    format!(
        "schema = 1\nname = \"Trial\"\n{extra}\n[loom]\nnotches = 60\npitch = \"6 mm\"\nturn-to-turn = \"24 cm\"\n\
         clear-height = \"22 cm\"\n\
         [yarn.slate]\ncolour = \"#2d6f73\"\nsize = \"210 m per 100 g\"\nfibre = \"wool\"\n\
         [yarn.foam]\ncolour = \"#e3e9de\"\nsize = \"7 wraps per cm\"\n\
         [yarn.\"sea lavender\"]\ncolour = \"#8a7fb0\"\nsize = \"8/2 cotton\"\n\
         [yarn.mud-lark]\ncolour = \"#5b4a3a\"\nsize = \"400 tex\"\n\
         [warp]\nends = {ends}\norder = [\"3 mud-lark\", \"2 foam\"]\n"
    )
}

fn name(weft: u32) -> String {
    format!("\"{}\"", WEFTS[weft as usize])
}

fn range(tape: &mut Tape<'_>, ends: u32) -> (u32, u32) {
    let (a, b) = (tape.from_to(1, ends), tape.from_to(1, ends));
    (a.min(b), a.max(b))
}

fn runs(tape: &mut Tape<'_>, most: u32) -> String {
    let mut words = Vec::new();
    let mut over = !tape.once_in(2);
    for _ in 0..tape.from_to(1, most) {
        words.push(format!("{} {}", if over { "over" } else { "under" }, tape.from_to(1, 5)));
        over = !over;
    }
    words.join(", ")
}

/// The keys of a weave: by its name, or an opening and how it moves.
fn weave(tape: &mut Tape<'_>) -> String {
    const NAMES: [&str; 16] = [
        "plain",
        "twill 2/2",
        "twill 2/1",
        "twill 1/3 left",
        "twill 2/1/1/2",
        "rib of 2 ends",
        "rib of 2 rows",
        "basket 2",
        "basket 3 by 2",
        "pointed twill 2/2",
        "pointed twill 3/1 after 3 steps",
        "broken twill 2/2",
        "broken twill 2/2 left after 4 rows",
        "herringbone 2/2 after 5 ends",
        "satin 5",
        "sateen 8 step 3",
    ];
    let mut keys = String::new();
    if tape.once_in(2) {
        let _ = writeln!(keys, "opening = \"{}\"", runs(tape, 4));
        if tape.once_in(2) {
            keys.push_str("opposite = true\n");
        }
        if tape.once_in(2) {
            let every = tape.one_of(&["", " every row", " every pair", " every 3 rows"]);
            let _ = writeln!(
                keys,
                "step = \"{} {}{every}\"",
                tape.from_to(1, 3),
                tape.one_of(&["right", "left"])
            );
        }
        if tape.once_in(6) {
            let broken = tape.one_of(&["", ", broken"]);
            let _ = writeln!(keys, "turn-back = \"after {} steps{broken}\"", tape.from_to(2, 6));
        }
        if tape.once_in(6) {
            let broken = tape.one_of(&["", ", broken"]);
            let _ = writeln!(keys, "turn-ends = \"after {} ends{broken}\"", tape.from_to(2, 9));
        }
    } else {
        let _ = writeln!(keys, "weave = \"{}\"", tape.one_of(&NAMES));
        if tape.once_in(6) {
            let _ = writeln!(keys, "step = \"{} {}\"", tape.from_to(1, 2), tape.one_of(&["right", "left"]));
        }
    }
    keys
}

fn written(tape: &mut Tape<'_>, ends: u32) -> String {
    let rows: Vec<String> = (0..tape.from_to(1, 6))
        .map(|_| {
            let row = runs(tape, 6);
            if tape.once_in(3) {
                let (a, b) = range(tape, ends);
                format!("{{ row = \"{row}\", ends = \"{a} to {b}\" }}")
            } else {
                format!("\"{row}\"")
            }
        })
        .collect();
    format!("rows = [{}]\n", rows.join(", "))
}

/// Parts side by side from the first end to the last; one may go without its ends.
fn parts(tape: &mut Tape<'_>, band: u32, ends: u32) -> String {
    let mut text = String::new();
    let mut first = 1;
    let mut rest_named = false;
    while first <= ends {
        let last = (first + tape.from_to(1, 12)).min(ends);
        let _ = writeln!(text, "[[band.b{band}.part]]");
        if !rest_named && tape.once_in(4) {
            rest_named = true;
        } else {
            let _ = writeln!(text, "ends = \"{first} to {last}\"");
        }
        text.push_str(&weave(tape));
        first = last + 1;
    }
    text
}

/// What a band of a random plan is made from.
struct Band {
    /// It holds `exchanged` only with two wefts.
    two_wefts: bool,
}

fn band(tape: &mut Tape<'_>, number: u32, wefts: u32, ends: u32, below: &[Band]) -> (String, Band) {
    let mut keys = format!("[band.b{number}]\n");
    let mut part_tables = String::new();
    let like = !below.is_empty() && tape.once_in(4);
    let mut two_wefts = false;
    let mut span = None;
    if !like || tape.once_in(3) {
        let taken: Vec<u32> = match tape.up_to(6) {
            0 | 1 => vec![tape.up_to(wefts - 1)],
            2..=4 => {
                let first = tape.up_to(wefts - 1);
                vec![first, (first + 1) % wefts]
            }
            _ => (0..tape.from_to(2, 6)).map(|_| tape.up_to(wefts - 1)).collect(),
        };
        two_wefts = taken.len() == 2 && taken[0] != taken[1];
        let names: Vec<String> = taken.iter().map(|weft| name(*weft)).collect();
        let _ = writeln!(keys, "wefts = [{}]", names.join(", "));
    }
    let mut needs_rows = true;
    if like {
        let other = tape.up_to(below.len() as u32 - 1);
        let _ = writeln!(keys, "like = \"b{other}\"");
        two_wefts |= !keys.contains("wefts") && below[other as usize].two_wefts;
        needs_rows = tape.once_in(3);
    } else {
        match tape.up_to(6) {
            0..=3 => keys.push_str(&weave(tape)),
            4 | 5 => {
                if tape.once_in(4) {
                    keys.push_str("read = \"as woven\"\n");
                }
                keys.push_str(&written(tape, ends));
                needs_rows = false;
                if tape.once_in(4) {
                    let _ = writeln!(keys, "length = \"{} rows\"", tape.from_to(1, 9));
                }
            }
            _ => part_tables = parts(tape, number, ends),
        }
        if tape.once_in(5) && part_tables.is_empty() {
            span = Some(range(tape, ends));
        }
    }
    if let Some((a, b)) = span {
        let _ = writeln!(keys, "ends = \"{a} to {b}\"");
    }
    if needs_rows {
        match tape.up_to(9) {
            9 => keys.push_str("length = \"12 mm\"\n"),
            _ => {
                let _ = writeln!(keys, "rows = {}", tape.from_to(1, 9));
            }
        }
    }
    if tape.once_in(6) {
        let _ = writeln!(keys, "start = {}", tape.from_to(1, 5));
    }
    if tape.once_in(6) {
        let _ = writeln!(
            keys,
            "beat = \"{}\"",
            tape.one_of(&["2 rows per cm", "5 rows per cm", "12 rows per inch"])
        );
    }
    for key in ["mirrored", "over-for-under"] {
        if tape.once_in(6) {
            let _ = writeln!(keys, "{key} = true");
        }
    }
    if two_wefts && tape.once_in(3) {
        keys.push_str("exchanged = true\n");
    }
    if tape.once_in(4) {
        let touches: Vec<String> = (0..tape.from_to(1, 3)).map(|_| touch(tape, ends)).collect();
        let _ = writeln!(keys, "touched = [{}]", touches.join(", "));
    }
    if tape.once_in(6) {
        let _ = writeln!(keys, "edges = \"{}\"", tape.one_of(&["taken", "crossed"]));
    }
    (keys + &part_tables, Band { two_wefts })
}

fn touch(tape: &mut Tape<'_>, ends: u32) -> String {
    let pass = tape.one_of(&["over", "under"]);
    let (a, b) = range(tape, ends);
    // Often at an edge, where it matters to a turn.
    let (a, b) = match tape.up_to(3) {
        0 => (1, 1),
        1 => (ends, ends),
        _ => (a, b),
    };
    let rows = if tape.once_in(3) {
        format!("every {} rows from {}", tape.from_to(1, 4), tape.from_to(1, 3))
    } else {
        format!("row {}", tape.from_to(1, 8))
    };
    format!("\"{rows}: {pass} {a} to {b}\"")
}

fn entries(tape: &mut Tape<'_>, bands: u32, sequences: u32, nested: u32) -> String {
    let count = tape.from_to(1, 3);
    let entries: Vec<String> = (0..count)
        .map(|_| match tape.up_to(7) {
            6 if sequences > 0 => format!("\"s{}\"", tape.up_to(sequences - 1)),
            7 if nested > 0 => {
                let times = tape.from_to(1, 3);
                format!("{{ times = {times}, bands = {} }}", entries(tape, bands, sequences, nested - 1))
            }
            _ => format!("\"b{}\"", tape.up_to(bands - 1)),
        })
        .collect();
    format!("[{}]", entries.join(", "))
}

/// A plan's text.
pub fn text(tape: &mut Tape<'_>) -> String {
    let ends = if tape.once_in(8) { tape.from_to(1, 3) } else { tape.from_to(1, 40) };
    let wefts = tape.from_to(1, 4);
    let mut extra = String::new();
    if tape.once_in(8) {
        extra.push_str("edges = \"taken\"\n");
    }
    if tape.once_in(4) {
        extra.push_str("shows = \"back\"\n");
    }
    let mut text = head(ends, &extra);
    for weft in 0..wefts {
        let (right, doubled) = (tape.once_in(2), tape.once_in(5));
        if right || doubled {
            let side = if right { "right" } else { "left" };
            let _ = writeln!(text, "[weft.{}]\nfrom = \"{side}\"\ndoubled = {doubled}", name(weft));
        }
    }
    if tape.once_in(3) {
        let carry = tape.one_of(&["2 mm", "4 mm", "60 mm"]);
        let needleful = tape.one_of(&["1.2 m", "50 cm"]);
        let _ = writeln!(text, "[habits]\ncarry = \"{carry}\"\nneedleful = \"{needleful}\"");
    }
    let mut below = Vec::new();
    let bands = tape.from_to(1, 4);
    for number in 0..bands {
        let (keys, made) = band(tape, number, wefts, ends, &below);
        text.push_str(&keys);
        below.push(made);
    }
    let sequences = tape.up_to(2);
    for number in 0..sequences {
        let _ = writeln!(text, "[sequence.s{number}]\nbands = {}", entries(tape, bands, number, 1));
    }
    let _ = writeln!(text, "[piece]\nbands = {}", entries(tape, bands, sequences, 3));
    if tape.once_in(5) {
        let length = tape.one_of(&["12 mm", "3/4 in", "5 cm"]);
        let yarn = tape.one_of(&["", "yarn = \"mud-lark\"\n", "yarn = \"sea lavender\"\n"]);
        let _ = writeln!(text, "[header]\nlength = \"{length}\"\n{yarn}");
    }
    for (behind, keys) in more(tape) {
        text = text.replacen(behind, &format!("{behind}{keys}"), 1);
    }
    text
}

/// Keys that few plans have: what they stand behind, and they themselves.
fn more(tape: &mut Tape<'_>) -> [(&'static str, String); 4] {
    let mut key = |times: u32, key: &str, values: &[&str]| match tape.once_in(times) {
        true => format!("{key} = {}\n", tape.one_of(values)),
        false => String::new(),
    };
    let top = key(4, "use", &["\"bookmark\"", "\"jewellery\"", "\"garment\"", "\"hanging\"", "\"mat\""])
        + &key(5, "finish", &["\"washed\"", "\"as it is\"", "\"pinned\"", "\"steamed\""])
        + &key(8, "finished", &["\"11 cm wide\"", "\"9 cm x 7 cm\"", "\"4 in long\""])
        + &key(6, "longest-float", &["\"9 mm\"", "\"3 cm\"", "\"3/8 in\""]);
    let loom = key(8, "out-of-reach", &["\"15 mm\"", "\"1 in\""])
        + &key(8, "notch-depth", &["\"4 mm\""])
        + &key(8, "notch-width", &["\"2 mm\"", "\"1 mm\""])
        + &key(8, "strands", &["2", "3"])
        + &key(8, "strands-act-as", &["\"ends\"", "\"one end\""]);
    let warp = key(4, "path", &["\"round\"", "\"zigzag\""]);
    let yarn = key(5, "have", &["\"22 m\"", "\"50 g\"", "\"1 oz\""])
        + &key(6, "price", &["\"4.90 EUR per 50 g\""])
        + &key(6, "wraps", &["\"7 wraps per cm\"", "\"18 wraps per inch\""])
        + &key(6, "measured", &["\"12.4 g, 31 m\""])
        + &key(6, "halo", &["\"4 mm\"", "\"0 mm\""])
        + &key(6, "fibre", &["\"linen\"", "\"silk\""]);
    [
        ("name = \"Trial\"\n", top),
        ("clear-height = \"22 cm\"\n", loom),
        ("order = [\"3 mud-lark\", \"2 foam\"]\n", warp),
        ("size = \"400 tex\"\n", yarn),
    ]
}
