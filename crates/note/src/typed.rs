//! The values of a plan as they are typed, read by themselves: for edits whose values come as the texts that a plan
//! would hold.

use crate::choice::Choice;
use crate::keys::Section;
use crate::near::{either, near, quoted};
use crate::problem::Problem;
use crate::reader::Misread;
use crate::{values, weaves, words};
use fellmark_core::plan::{Beat, Wanted};
use fellmark_core::quantity::{Mm, Typed};
use fellmark_core::weave::{Runs, TurnBack, WantedStep, Weave};
use fellmark_core::yarn::{Fibre, Hank, Price, Size, Srgb, Stock};

fn unplaced(misread: Misread) -> Problem {
    Problem { message: misread.message, help: misread.help, at: None }
}

/// A name for each kind of weave there is.
pub const WEAVES: [&str; 9] = weaves::NAMES;

/// An opening, and how one moves, as they are written.
pub const OPENING: &str = "over 5, under 3";
/// See [`OPENING`].
pub const STEP: &str = "1 right every pair";

/// How closely rows are beaten, as it is written.
pub const BEAT: &str = "5 rows per cm";

/// The keys of the frame, each with what it means (but not what it is where it is missing: a frame that is read has
/// all).
pub fn loom_keys() -> impl Iterator<Item = (&'static str, String)> {
    Section::Loom.keys().iter().map(|key| (key.name, plain(key.meaning)))
}

/// What the length of a header means.
#[must_use]
pub fn header_length() -> String {
    Section::Header.key("length").map(|key| plain(key.meaning)).unwrap_or_default()
}

fn plain(meaning: &str) -> String {
    meaning.split(" Without it:").next().unwrap_or_default().replace(['`', '"'], "")
}

/// The value of a word, such as "taken" or "hanging".
///
/// # Errors
/// Says which words there are.
pub fn choice<T: Choice>(word: &str) -> Result<T, Problem> {
    T::of(word).ok_or_else(|| {
        let near = near(word, T::WORDS.iter().copied());
        let meant = if near.is_empty() { T::WORDS.to_vec() } else { near };
        unplaced(Misread::new(
            format!("{} is a word that is not known here.", quoted(word)),
            format!("Write {}.", either(meant)),
        ))
    })
}

/// A weave by its name, such as "twill 2/1 left".
///
/// # Errors
/// Says why it is none.
pub fn weave(text: &str) -> Result<Typed<Weave>, Problem> {
    weaves::weave(text).map(|weave| Typed::new(weave, text)).map_err(unplaced)
}

/// A row or an opening, such as "over 5, under 3".
///
/// # Errors
/// Says why it is none.
pub fn runs(text: &str) -> Result<Runs, Problem> {
    words::runs(text).map_err(unplaced)
}

/// How an opening moves, such as "1 right every pair".
///
/// # Errors
/// Says why it is no step.
pub fn step(text: &str) -> Result<WantedStep, Problem> {
    words::step(text).map_err(unplaced)
}

/// Where a lean turns back as rows go by, such as "after 6 steps".
///
/// # Errors
/// Says why it is none.
pub fn turn_back(text: &str) -> Result<TurnBack, Problem> {
    words::turn_back(text).map_err(unplaced)
}

/// Where a lean turns back from end to end, such as "after 8 ends".
///
/// # Errors
/// Says why it is none.
pub fn turn_ends(text: &str) -> Result<TurnBack, Problem> {
    words::turn_ends(text).map_err(unplaced)
}

/// A step as it is written: what [`step`] reads.
#[must_use]
pub fn written_step(step: WantedStep) -> String {
    words::write_wanted_step(step)
}

/// A turn over rows as it is written: what [`turn_back`] reads.
#[must_use]
pub fn written_turn_back(turn: TurnBack) -> String {
    words::write_turn_back(turn)
}

/// A turn over ends as it is written: what [`turn_ends`] reads.
#[must_use]
pub fn written_turn_ends(turn: TurnBack) -> String {
    words::write_turn_ends(turn)
}

/// A length that is more than nothing, with its unit.
///
/// # Errors
/// Says why it is none.
pub fn some_length(text: &str) -> Result<Typed<Mm>, Problem> {
    values::some_length(text).map_err(unplaced)
}

/// A length with its unit.
///
/// # Errors
/// Says why it is none.
pub fn length(text: &str) -> Result<Typed<Mm>, Problem> {
    values::length(text).map_err(unplaced)
}

/// A finished size, such as "11 cm x 14 cm" or "11 cm wide".
///
/// # Errors
/// Says why it is none.
pub fn wanted(text: &str) -> Result<Typed<Wanted>, Problem> {
    values::wanted(text).map_err(unplaced)
}

/// A colour, such as "#2d6f73".
///
/// # Errors
/// Says why it is none.
pub fn colour(text: &str) -> Result<Srgb, Problem> {
    values::colour(text).map_err(unplaced)
}

/// What a yarn is made of.
///
/// # Errors
/// Says why it is no fibre.
pub fn fibre(text: &str) -> Result<Fibre, Problem> {
    values::fibre(text).map_err(unplaced)
}

/// A yarn's size, and what it is made of where the size or `fibre` says so; else cotton.
///
/// # Errors
/// Says why it is no size.
pub fn size(text: &str, fibre: Option<Fibre>) -> Result<(Typed<Size>, Fibre), Problem> {
    let size = values::size(text, fibre).map_err(unplaced)?;
    let fibre = fibre.or(size.implies).unwrap_or(Fibre::Cotton);
    // What is written beside the fibre must mean the same.
    let size = values::size(text, Some(fibre)).map_err(unplaced)?;
    Ok((Typed::new(size.size, text), fibre))
}

/// How much of a yarn there is, such as "22 m".
///
/// # Errors
/// Says why it is no amount.
pub fn stock(text: &str) -> Result<Typed<Stock>, Problem> {
    values::stock(text).map_err(unplaced)
}

/// What a yarn costs, such as "4.90 EUR per 50 g".
///
/// # Errors
/// Says why it is no price.
pub fn price(text: &str) -> Result<Typed<Price>, Problem> {
    values::price(text).map_err(unplaced)
}

/// Turns on a ruler, such as "7 wraps per cm".
///
/// # Errors
/// Says why it counts none.
pub fn wraps(text: &str) -> Result<Typed<Mm>, Problem> {
    values::wraps(text).map_err(unplaced)
}

/// What a hank weighed and how long it was, such as "12.4 g, 31 m".
///
/// # Errors
/// Says why it is none.
pub fn hank(text: &str) -> Result<Typed<Hank>, Problem> {
    values::hank(text).map_err(unplaced)
}

/// How closely rows are beaten, such as "5 rows per cm".
///
/// # Errors
/// Says why it is no beat.
pub fn beat(text: &str) -> Result<Typed<Beat>, Problem> {
    values::beat(text).map_err(unplaced)
}

/// How far fibres stand out round a yarn, such as "2 mm".
///
/// # Errors
/// Says why they don't.
pub fn halo(text: &str) -> Result<Typed<Mm>, Problem> {
    values::halo(text).map_err(unplaced)
}

/// How many ends and of which yarn, such as "24 reed".
///
/// # Errors
/// Says why it is none.
pub fn ends_of(text: &str) -> Result<(u32, &str), Problem> {
    words::ends_of(text).map_err(unplaced)
}
