//! A plan to start from: the text of a small piece with the choices that were made.

use crate::Problem;
use crate::near::{as_key, toml_text as quoted};
use fellmark_core::habits::Habits;
use fellmark_core::piece;
use fellmark_core::quantity::Mm;
use fellmark_core::say;
use fellmark_core::side::Side;
use std::fmt::Write;

/// What a new plan weaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// Plain weave in one weft.
    Plain,
    /// Columns in two wefts of opposite sheds.
    Columns,
    /// Blocks in two wefts, exchanged.
    Blocks,
    /// A diagonal in two wefts.
    Diagonal,
    /// A satin panel.
    Satin,
}

/// The choices for a new plan. Quantities are texts, as they will stand in the plan.
#[derive(Debug, Clone)]
pub struct Start {
    /// What it weaves.
    pub pattern: Pattern,
    /// The piece's name.
    pub name: String,
    /// What it is for.
    pub purpose: String,
    /// Notches of the frame.
    pub notches: u32,
    /// Distance of the notches.
    pub pitch: String,
    /// Length of an end.
    pub turn_to_turn: String,
    /// What can be woven.
    pub clear_height: String,
    /// Ends of the warp, unless there is a width.
    pub ends: u32,
    /// Width on the loom.
    pub width: Option<String>,
    /// The warp's yarn: name and size.
    pub warp: (String, String),
    /// The wefts' yarns; none: the usual ones.
    pub wefts: Vec<(String, String)>,
    /// The side from which the needles start.
    pub from: Side,
}

/// The usual choices, for whoever makes none: the command line and the page take them from here.
pub mod usual {
    /// The piece's name.
    pub const NAME: &str = "New piece";
    /// What it is for.
    pub const PURPOSE: &str = "sample";
    /// Notches of the frame.
    pub const NOTCHES: u32 = 40;
    /// Distance of the notches.
    pub const PITCH: &str = "4 mm";
    /// Length of an end.
    pub const TURN_TO_TURN: &str = "17 cm";
    /// What can be woven.
    pub const CLEAR_HEIGHT: &str = "15 cm";

    /// Ends of the warp: whole repeats.
    #[must_use]
    pub fn ends(pattern: super::Pattern) -> u32 {
        match pattern {
            super::Pattern::Satin => 25,
            _ => 24,
        }
    }

    /// The warp's yarn.
    pub const WARP: (&str, &str) = ("reed", "275 m per 100 g");
}

impl Start {
    /// A start with the usual choices.
    #[must_use]
    pub fn usual(pattern: Pattern) -> Start {
        let owned = str::to_owned;
        Start {
            pattern,
            name: owned(usual::NAME),
            purpose: owned(usual::PURPOSE),
            notches: usual::NOTCHES,
            pitch: owned(usual::PITCH),
            turn_to_turn: owned(usual::TURN_TO_TURN),
            clear_height: owned(usual::CLEAR_HEIGHT),
            ends: usual::ends(pattern),
            width: None,
            warp: (owned(usual::WARP.0), owned(usual::WARP.1)),
            wefts: Vec::new(),
            from: Side::Left,
        }
    }
}

impl Pattern {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Pattern; 5] =
        [Pattern::Plain, Pattern::Columns, Pattern::Blocks, Pattern::Diagonal, Pattern::Satin];

    /// The word by which it is asked for.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Pattern::Plain => "plain",
            Pattern::Columns => "columns",
            Pattern::Blocks => "blocks",
            Pattern::Diagonal => "diagonal",
            Pattern::Satin => "satin",
        }
    }

    /// What it is, in a few words.
    #[must_use]
    pub fn about(self) -> &'static str {
        match self {
            Pattern::Plain => "plain weave in one weft",
            Pattern::Columns => "columns in two wefts of opposite sheds",
            Pattern::Blocks => "blocks in two wefts, exchanged",
            Pattern::Diagonal => "a diagonal in two wefts",
            Pattern::Satin => "a satin panel between hems",
        }
    }
}

/// Why no plan comes of the choices.
#[derive(Debug, Clone)]
pub enum StartError {
    /// The pattern takes another number of wefts.
    Wefts {
        /// How many it takes.
        wanted: usize,
        /// How many were given.
        given: usize,
    },
    /// A choice can't stand in a plan.
    Problem(Problem),
}

/// Yarns of the studio on the salt marsh, for wefts that nobody chose.
const USUAL: [(&str, &str); 2] = [("foam", "4.5 wraps per cm"), ("slate", "132 m per 100 g")];
/// What they are made of.
const USUAL_FIBRE: &str = "wool";

/// Colours for yarns by name, and for others in turn.
pub const COLOURS: [(&str, &str); 6] = [
    ("reed", "#a88b4c"),
    ("foam", "#e3e9de"),
    ("slate", "#2d6f73"),
    ("samphire", "#6f8f3f"),
    ("mud-lark", "#6d5846"),
    ("sea-lavender", "#7d6e9b"),
];

/// The text of a new plan, which makes a piece.
///
/// # Errors
/// The choice that doesn't fit.
pub fn plan(start: &Start) -> Result<String, StartError> {
    let wanted = match start.pattern {
        Pattern::Plain | Pattern::Satin => 1,
        Pattern::Columns | Pattern::Blocks | Pattern::Diagonal => 2,
    };
    let usual = || USUAL.iter().take(wanted).map(|&(name, size)| (name.to_owned(), size.to_owned()));
    let wefts: Vec<(String, String)> =
        if start.wefts.is_empty() { usual().collect() } else { start.wefts.clone() };
    if wefts.len() != wanted {
        return Err(StartError::Wefts { wanted, given: wefts.len() });
    }
    let text = text(start, &wefts);
    let plan = crate::read(&text).map_err(StartError::Problem)?.plan;
    match piece::make(&plan, &Habits::of(&plan)) {
        Ok(_) => Ok(text),
        Err(error) => {
            let (message, help) = say::piece_error(&error);
            Err(StartError::Problem(Problem { message, help, at: None }.for_writer_of(&text)))
        }
    }
}

fn text(start: &Start, wefts: &[(String, String)]) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut line = |words: &str| lines.push(words.to_owned());
    line("schema = 1");
    line(&format!("name = {}", quoted(&start.name)));
    line(&format!("use = {}", quoted(&start.purpose)));
    if let (Pattern::Satin, Ok(pitch)) = (start.pattern, Mm::parse(&start.pitch)) {
        // Four ends, and what goes round an edge.
        let longest = (pitch.mm() * 5.2).ceil();
        line(&format!("longest-float = \"{longest} mm\"        # five ends of this frame: a satin floats"));
    }
    line("");
    line("[loom]");
    line(&format!("notches = {}", start.notches));
    line(&format!("pitch = {}", quoted(&start.pitch)));
    line(&format!("turn-to-turn = {}", quoted(&start.turn_to_turn)));
    line(&format!("clear-height = {}", quoted(&start.clear_height)));
    let mut yarns = vec![start.warp.clone()];
    for weft in wefts {
        if !yarns.iter().any(|(name, _)| *name == weft.0) {
            yarns.push(weft.clone());
        }
    }
    for (k, (name, size)) in yarns.iter().enumerate() {
        let known = COLOURS.iter().find(|(known, _)| known == name);
        let (_, colour) = known.unwrap_or(&COLOURS[k % COLOURS.len()]);
        line("");
        line(&format!("[yarn.{}]", as_key(name)));
        line(&format!("colour = {}", quoted(colour)));
        line(&format!("size = {}", quoted(size)));
        if USUAL.contains(&(name.as_str(), size.as_str())) {
            line(&format!("fibre = {}", quoted(USUAL_FIBRE)));
        }
    }
    line("");
    line("[warp]");
    match &start.width {
        Some(width) => line(&format!("width = {}", quoted(width))),
        None => line(&format!("ends = {}", start.ends)),
    }
    line(&format!("order = [{}]", quoted(&format!("1 {}", start.warp.0))));
    for (k, (name, _)) in wefts.iter().enumerate() {
        // On a diagonal two needles that start from opposite sides can be crossed at every turn.
        let from =
            if start.pattern == Pattern::Diagonal { [Side::Right, Side::Left][k % 2] } else { start.from };
        if from == Side::Right {
            line("");
            line(&format!("[weft.{}]", as_key(name)));
            line("from = \"right\"");
        }
    }
    lines.join("\n") + "\n" + &bands(start.pattern, wefts)
}

fn bands(pattern: Pattern, wefts: &[(String, String)]) -> String {
    let first = quoted(&wefts[0].0);
    let all = wefts.iter().map(|(name, _)| quoted(name)).collect::<Vec<_>>().join(", ");
    let mut out = format!("\n[band.hem]\nwefts = [{first}]\nweave = \"plain\"\nrows = 4\n");
    let (body, stack) = match pattern {
        Pattern::Plain => {
            return "\n[band.cloth]\nwefts = [".to_owned()
                + &first
                + "]\nweave = \"plain\"\nlength = \"fill\"\n\n[piece]\nbands = [\n  \"cloth\",\n]\n";
        }
        Pattern::Columns => (
            format!(
                "\n[band.columns]\nwefts = [{all}]\nopening = \"over 3, under 3\"\nopposite = true\nlength = \
                 \"fill\"\n\n[band.upper-hem]\nlike = \"hem\"\nwefts = [{}]\n",
                quoted(&wefts[1].0)
            ),
            "  \"hem\",\n  \"columns\",\n  \"upper-hem\",\n",
        ),
        Pattern::Blocks => (
            format!(
                "\n[band.pools]\nwefts = [{all}]\nopening = \"over 3, under 3\"\nopposite = true\nrows = \
                 8\n\n[band.shoals]\nlike = \"pools\"\nexchanged = true              # the wefts change places\n"
            ),
            "  \"hem\",\n  { times = 3, bands = [\"pools\", \"shoals\"] },\n  \"hem\",\n",
        ),
        Pattern::Diagonal => (
            format!(
                "\n[band.rising-tide]\nwefts = [{all}]\nopening = \"over 3, under 3\"\nopposite = true\nstep = \"1 \
                 right every pair\"\nlength = \"fill\"\n"
            ),
            "  \"hem\",\n  \"rising-tide\",\n  \"hem\",\n",
        ),
        Pattern::Satin => (
            format!(
                "\n[band.panel]\nwefts = [{first}]\nweave = \"sateen 5\"\nedges = \"taken\"\nlength = \"fill\"\n"
            ),
            "  \"hem\",\n  \"panel\",\n  \"hem\",\n",
        ),
    };
    let _ =
        write!(out, "{body}\n[piece]                          # bottom up: the first line is woven first\n");
    let _ = write!(out, "bands = [\n{stack}]\n");
    out
}
