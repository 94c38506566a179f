//! The arguments as they are typed.

use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Stands beside a small notched frame loom: checks a plan, says how to wind the warp, how much yarn it takes,
/// and every row as the needle weaves it.
#[derive(Debug, Parser)]
#[command(name = "fellmark", version, max_term_width = 80)]
pub struct Args {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
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
        #[command(flatten)]
        view: View,
        #[command(flatten)]
        out: Out,
    },
    /// Every row as the needle weaves it
    Rows {
        #[command(flatten)]
        plan: PlanArgs,
        /// Only this row
        #[arg(value_name = "ROW", conflicts_with_all = ["from", "to"])]
        row: Option<u32>,
        /// From this row on
        #[arg(long, value_name = "A")]
        from: Option<u32>,
        /// Up to this row
        #[arg(long, value_name = "B")]
        to: Option<u32>,
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
        #[arg(long, value_name = "LENGTH")]
        width: Option<String>,
        /// Finished length; without it the one in the plan
        #[arg(long, value_name = "LENGTH")]
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
        /// Measure in cm or inch
        #[arg(long, value_enum, default_value_t = UnitsArg::Cm)]
        units: UnitsArg,
        /// Draw the back, turned over like a page
        #[arg(long)]
        back_up: bool,
        /// Leave out the frame
        #[arg(long)]
        no_frame: bool,
        /// From this row on, closer, without the frame
        #[arg(long, value_name = "A")]
        from: Option<u32>,
        /// Up to this row
        #[arg(long, value_name = "B")]
        to: Option<u32>,
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

/// How a piece is pictured.
#[derive(Debug, Clone, ClapArgs)]
pub(crate) struct PictureArgs {
    /// The side to look at
    #[arg(long, value_enum, default_value_t = SideArg::Front)]
    pub side: SideArg,
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

/// A side of the cloth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SideArg {
    /// The side seen while weaving
    Front,
    /// The other one, turned like a page
    Back,
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
    #[arg(value_enum, default_value_t = StartArg::Plain)]
    pub start: StartArg,
    /// The piece's name
    #[arg(long, value_name = "NAME", default_value = "New piece")]
    pub name: String,
    /// What it is for: sample, bookmark, coaster, jewellery, garment or hanging
    #[arg(long = "use", value_name = "USE", default_value = "sample")]
    pub purpose: String,
    /// Notches of the frame
    #[arg(long, value_name = "N", default_value_t = 40)]
    pub notches: u32,
    /// Distance of the notches
    #[arg(long, value_name = "LENGTH", default_value = "6 mm")]
    pub pitch: String,
    /// Length of an end, from turn to turn
    #[arg(long, value_name = "LENGTH", default_value = "24 cm")]
    pub turn_to_turn: String,
    /// What can be woven between the bars
    #[arg(long, value_name = "LENGTH", default_value = "22 cm")]
    pub clear_height: String,
    /// Ends of the warp
    #[arg(long, value_name = "N", default_value_t = 24, conflicts_with = "width")]
    pub ends: u32,
    /// Width on the loom, in place of a number of ends
    #[arg(long, value_name = "LENGTH")]
    pub width: Option<String>,
    /// The warp's yarn: NAME=SIZE, such as "reed=8/2 cotton"
    #[arg(long, value_name = "YARN", default_value = "reed=8/2 cotton")]
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

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum StartArg {
    /// Plain weave in one weft
    Plain,
    /// Columns in two wefts of opposite sheds
    Columns,
    /// Blocks in two wefts, exchanged
    Blocks,
    /// A diagonal in two wefts
    Diagonal,
    /// A satin panel between hems
    Satin,
}
