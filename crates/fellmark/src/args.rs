//! The arguments as they are typed.

use clap::builder::PossibleValue;
use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use fellmark_core::say::Units;
use fellmark_note::start::{Pattern, usual};
use std::net::IpAddr;
use std::path::PathBuf;

/// Stands beside a small notched frame loom: checks a plan, says how to wind the warp, how much yarn it takes,
/// and every row as the needle weaves it.
#[derive(Debug, Parser)]
#[command(name = "fellmark", version, max_term_width = 80)]
pub struct Args {
    /// What to do; without one, open
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

const EDIT_EXAMPLES: &str = r#"Examples of EDIT, between single quotes:
  '{"edit": "band_rows", "band": "hem", "rows": 8}'
  '{"edit": "touch", "band": "pools", "row": 3, "ends": [5, 7], "pass": "over"}'
  '{"edit": "toggle", "band": "pools", "flag": "exchanged"}'
  '{"edit": "band_weave", "band": "hem", "weave": "twill 2/2"}'
  '{"edit": "part", "band": "pools", "place": 2}'
  '{"edit": "stack_move", "from": [1], "to": [4]}'
  '{"edit": "warp_yarn", "yarn": "reed", "to": "slate"}'
  '{"edit": "write_out", "band": "pools"}'
Bands, wefts and yarns go by name; rows, ends, places and lines of the stack
count from 1, from the bottom and from the left. docs/json.md has them all."#;

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Open the page with your pieces in the browser. This is what happens when no command is given
    ///
    /// Fellmark answers until you press Ctrl-C, on this computer alone, and lets in only who opens the address
    /// that it prints.
    ///
    /// To weave from a phone or tablet on the same network, choose "Weave from your phone" on the page: it shows a
    /// code to scan or to type, and closes the network again with one tap.
    Open(Open),
    /// Everything needed to begin: what check, warp, yarn and rows say
    Begin {
        #[command(flatten)]
        plan: PlanArgs,
        #[command(flatten)]
        view: View,
        #[command(flatten)]
        out: Out,
    },
    /// What the piece is, and what is wrong with it. Exits with 1 if something must be mended
    Check {
        #[command(flatten)]
        plan: PlanArgs,
        /// Write the plan with remedy K taken, to -o FILE
        #[arg(long, value_name = "K", requires = "output")]
        apply: Option<u32>,
        /// Print JSON
        #[arg(long, conflicts_with = "apply")]
        json: bool,
        /// Say also what the figures are made of
        #[arg(long, conflicts_with_all = ["apply", "json"])]
        why: bool,
        #[command(flatten)]
        view: View,
        #[command(flatten)]
        out: Out,
    },
    /// The plan with something changed in it; its notes stay. Says on standard error what was done
    #[command(after_long_help = EDIT_EXAMPLES)]
    Edit {
        #[command(flatten)]
        plan: PlanArgs,
        /// What to change, as JSON; several are made one after the other
        #[arg(value_name = "EDIT", required = true)]
        edits: Vec<String>,
        #[command(flatten)]
        out: Out,
    },
    /// Every row as the needle weaves it
    Rows {
        #[command(flatten)]
        plan: PlanArgs,
        /// Only this row, or those of A..B (both included)
        #[arg(value_name = "ROWS")]
        rows: Vec<String>,
        /// All of them, but those that come again only once
        #[arg(long, conflicts_with_all = ["rows", "unpick", "json", "csv"])]
        short: bool,
        /// How to take the rows out again, last row first
        #[arg(long, conflicts_with_all = ["json", "csv"])]
        unpick: bool,
        /// Print JSON
        #[arg(long)]
        json: bool,
        /// Print comma-separated values
        #[arg(long, conflicts_with = "json")]
        csv: bool,
        #[command(flatten)]
        view: View,
        #[command(flatten)]
        out: Out,
    },
    /// How much of every yarn, and how to load the needles
    Yarn {
        #[command(flatten)]
        plan: PlanArgs,
        /// Print JSON
        #[arg(long)]
        json: bool,
        #[command(flatten)]
        view: View,
        #[command(flatten)]
        out: Out,
    },
    /// How to wind the warp
    Warp {
        #[command(flatten)]
        plan: PlanArgs,
        /// Print JSON
        #[arg(long)]
        json: bool,
        #[command(flatten)]
        view: View,
        #[command(flatten)]
        out: Out,
    },
    /// How large it is on the loom, released and finished
    Size {
        #[command(flatten)]
        plan: PlanArgs,
        /// Print JSON
        #[arg(long)]
        json: bool,
        /// Measure in cm or inch
        #[arg(long, value_enum, default_value_t = UnitsArg::Cm)]
        units: UnitsArg,
        #[command(flatten)]
        out: Out,
    },
    /// What to change so that it comes near a finished size
    Fit {
        #[command(flatten)]
        plan: PlanArgs,
        /// Finished width; without it the one in the plan
        #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
        width: Option<String>,
        /// Finished length; without it the one in the plan
        #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
        length: Option<String>,
        /// Write the plan with choice K taken, to -o FILE
        #[arg(long, value_name = "K", requires = "output")]
        apply: Option<u32>,
        /// Print JSON
        #[arg(long, conflicts_with = "apply")]
        json: bool,
        /// Measure in cm or inch
        #[arg(long, value_enum, default_value_t = UnitsArg::Cm)]
        units: UnitsArg,
        #[command(flatten)]
        out: Out,
    },
    /// A line drawing of the piece, strand over strand, as SVG in true size
    Draw {
        #[command(flatten)]
        plan: PlanArgs,
        #[command(flatten)]
        drawing: DrawArgs,
        #[command(flatten)]
        out: Out,
    },
    /// The piece as it will look, yarn for yarn, as a PNG picture
    Picture {
        #[command(flatten)]
        plan: PlanArgs,
        #[command(flatten)]
        picture: PictureArgs,
        #[command(flatten)]
        out: Out,
    },
    /// A plan to start from
    New(New),
    /// Print the JSON Schema of plan files, for editors
    Schema {
        #[command(flatten)]
        out: Out,
    },
    /// Print completions for a shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
        #[command(flatten)]
        out: Out,
    },
    /// Print the manual page, or that of one command
    Man {
        /// The command
        command: Option<String>,
        #[command(flatten)]
        out: Out,
    },
}

#[derive(Debug, Default, ClapArgs)]
pub(crate) struct Open {
    /// Plan files to bring in; - reads standard input. A text that is known opens the piece it belongs to
    #[arg(value_name = "PLAN")]
    pub plans: Vec<PathBuf>,
    /// Keep the pieces in this folder instead of the usual one: fellmark in the system's folder for your data
    /// ($XDG_DATA_HOME, or ~/.local/share; ~/Library/Application Support on macOS; %APPDATA% on Windows)
    #[arg(long, value_name = "DIR")]
    pub data: Option<PathBuf>,
    /// Listen on this port; without it, on 7417, or on any that is free
    #[arg(long, value_name = "PORT", value_parser = clap::value_parser!(u16).range(1024..))]
    pub port: Option<u16>,
    /// Only print the address
    #[arg(long)]
    pub no_browser: bool,
    /// Once the page is opened to phones, listen on this address of the computer alone; without it, on each that it
    /// has on a network
    #[arg(long, value_name = "ADDRESS")]
    pub network: Option<IpAddr>,
    /// How long a code for a phone works; without it, 300 seconds
    #[arg(long, value_name = "SECONDS", hide_short_help = true, value_parser = clap::value_parser!(u64).range(1..=3600))]
    pub code_lasts: Option<u64>,
    /// Take the page's files from this folder, to work on them
    #[arg(long, value_name = "DIR", hide_short_help = true)]
    pub assets: Option<PathBuf>,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct PlanArgs {
    /// The plan file; - reads standard input
    #[arg(value_name = "PLAN")]
    pub plan: PathBuf,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct Out {
    /// Write to FILE instead of standard output (-)
    #[arg(short = 'o', long = "output", id = "output", value_name = "FILE")]
    pub file: Option<PathBuf>,
}

/// How a piece is drawn.
#[derive(Debug, Clone, ClapArgs)]
pub(crate) struct DrawArgs {
    /// Measure in cm or inch
    #[arg(long, value_enum, default_value_t = UnitsArg::Cm)]
    pub units: UnitsArg,
    /// Draw the back, turned over like a page
    #[arg(long)]
    pub back_up: bool,
    #[command(flatten)]
    pub side: NoSide,
    /// Leave out the frame
    #[arg(long)]
    pub no_frame: bool,
    /// Only these rows, as A..B (both included), closer, without the frame
    #[arg(long, value_name = "A..B")]
    pub rows: Option<String>,
    /// How the warp is wound, in place of the piece: from notch to notch, its loops and its knots
    #[arg(long, conflicts_with_all = ["back_up", "no_frame", "rows"])]
    pub warp: bool,
}

/// How a piece is pictured.
#[derive(Debug, Clone, ClapArgs)]
pub(crate) struct PictureArgs {
    /// Picture the back, turned over like a page
    #[arg(long)]
    pub back_up: bool,
    #[command(flatten)]
    pub side: NoSide,
    /// So many pixels wide
    #[arg(long, value_name = "PX", default_value_t = 1200, value_parser = clap::value_parser!(u32).range(1..))]
    pub width: u32,
    /// In true size at so many dots per inch, in place of a width
    #[arg(long, value_name = "N", conflicts_with = "width", value_parser = clap::value_parser!(u32).range(1..=4800))]
    pub dpi: Option<u32>,
    /// How it lies: on the loom, off it, or when all is done
    #[arg(long, value_enum, default_value_t = StateArg::OnLoom)]
    pub state: StateArg,
    /// On the frame, with the open warp
    #[arg(long, conflicts_with = "cloth")]
    pub loom: bool,
    /// The cloth alone
    #[arg(long)]
    pub cloth: bool,
    /// Only these rows, as A..B (both included), without the frame
    #[arg(long, value_name = "A..B", conflicts_with = "loom")]
    pub rows: Option<String>,
    /// The colour of the ground, such as #ffffff; without it, that of paper
    #[arg(long, value_name = "COLOUR")]
    pub ground: Option<String>,
}

/// One of the three states that `size` names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum StateArg {
    /// Under tension, drawn in
    OnLoom,
    /// Off the loom, sprung back
    Released,
    /// Steamed, washed, pinned out or left, as the plan says
    Finished,
}

/// What is called otherwise here: it is answered with the name it has.
#[derive(Debug, Clone, ClapArgs)]
pub(crate) struct NoSide {
    #[arg(long, hide = true, value_name = "SIDE")]
    pub side: Option<String>,
}

#[derive(Debug, Clone, Copy, ClapArgs)]
pub(crate) struct View {
    /// Measure in cm or inch
    #[arg(long, value_enum, default_value_t = UnitsArg::Cm)]
    pub units: UnitsArg,
    /// Tell everything for a weaver who has the back of the piece before her
    #[arg(long)]
    pub back_up: bool,
    /// The reader's hand: left puts row numbers at the right, beside the loom
    #[arg(long, value_enum, default_value_t = Hand::Right)]
    pub hand: Hand,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitsArg {
    Cm,
    Inch,
}

impl UnitsArg {
    pub(crate) fn units(self) -> Units {
        match self {
            UnitsArg::Cm => Units::Metric,
            UnitsArg::Inch => Units::Inch,
        }
    }
}

/// The hand of a reader or a weaver.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Hand {
    /// The left.
    Left,
    /// The right.
    Right,
}

/// A plan to start from: choose a start, then change the file by hand.
#[derive(Debug, ClapArgs)]
pub(crate) struct New {
    /// What to start from
    #[arg(value_enum, default_value_t = StartArg(Pattern::Plain))]
    pub start: StartArg,
    /// The piece's name
    #[arg(long, value_name = "NAME", default_value = usual::NAME)]
    pub name: String,
    /// What it is for: sample, bookmark, coaster (or mat), jewellery, garment or hanging
    #[arg(long = "use", value_name = "USE", default_value = usual::PURPOSE)]
    pub purpose: String,
    /// Notches of the frame
    #[arg(long, value_name = "N", default_value_t = usual::NOTCHES)]
    pub notches: u32,
    /// Distance of the notches
    #[arg(long, value_name = "LENGTH", default_value = usual::PITCH, allow_hyphen_values = true)]
    pub pitch: String,
    /// Length of an end, from turn to turn
    #[arg(long, value_name = "LENGTH", default_value = usual::TURN_TO_TURN, allow_hyphen_values = true)]
    pub turn_to_turn: String,
    /// What can be woven between the bars
    #[arg(long, value_name = "LENGTH", default_value = usual::CLEAR_HEIGHT, allow_hyphen_values = true)]
    pub clear_height: String,
    /// Ends of the warp; without it as many as make whole repeats
    #[arg(long, value_name = "N", conflicts_with = "width")]
    pub ends: Option<u32>,
    /// Width on the loom, in place of a number of ends
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub width: Option<String>,
    /// The warp's yarn: NAME=SIZE, such as "reed=8/2 cotton"
    #[arg(long, value_name = "YARN", default_value_t = format!("{}={}", usual::WARP.0, usual::WARP.1))]
    pub warp: String,
    /// A weft's yarn: NAME=SIZE; two for the starts that weave with two
    #[arg(long, value_name = "YARN")]
    pub weft: Vec<String>,
    /// The hand that holds the needle: left starts the needles at the right
    #[arg(long, value_enum, default_value_t = Hand::Right)]
    pub hand: Hand,
    #[command(flatten)]
    pub out: Out,
}

/// What a new plan starts from, as it is typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct StartArg(pub Pattern);

impl ValueEnum for StartArg {
    fn value_variants<'a>() -> &'a [StartArg] {
        const ALL: [StartArg; Pattern::ALL.len()] = {
            let mut all = [StartArg(Pattern::Plain); Pattern::ALL.len()];
            let mut k = 0;
            while k < all.len() {
                all[k] = StartArg(Pattern::ALL[k]);
                k += 1;
            }
            all
        };
        &ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(PossibleValue::new(self.0.word()).help(self.0.about()))
    }
}
