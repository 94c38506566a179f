//! Weaves by their names: "twill 2/1 left", "satin 8 step 3".

use crate::near::{either, near, quoted};
use crate::reader::Misread;
use crate::words::Walk;
use fellmark_core::plan::bounds;
use fellmark_core::side::Side;
use fellmark_core::weave::{MOST_ENDS, NamedWeave, SatinError, TwillKind, Weave};
use std::num::NonZeroU32;

/// How each weave's name is written, for those who are told what there is.
pub(crate) const NAMES: [&str; 9] = [
    "plain",
    "rib of 2 ends",
    "rib of 2 rows",
    "basket 2",
    "twill 2/2",
    "pointed twill 2/2",
    "broken twill 2/2",
    "herringbone 2/2",
    "satin 5",
];

const USUAL: &str = "Weaves are named plain; rib of 2 ends; rib of 2 rows; basket 2; basket 3 by 2; twill 2/2; twill \
                     2/1/1/2 left; pointed twill 2/2 after 6 steps; broken twill 2/2 after 4 rows; herringbone 2/2 \
                     after 8 ends; satin 5; satin 8 step 3; sateen 5.";

/// The weave of a name.
pub(crate) fn weave(text: &str) -> Result<Weave, Misread> {
    let named = named(text)?;
    named.expand().map_err(|_| {
        Misread::new(
            format!("A repeat of {} would have more than {MOST_ENDS} ends.", quoted(text)),
            "Take smaller numbers.",
        )
    })
}

fn named(text: &str) -> Result<NamedWeave, Misread> {
    let mut walk = Walk::new(text, USUAL);
    let first = walk.take().to_lowercase();
    let named = match first.as_str() {
        "plain" | "tabby" => NamedWeave::Plain,
        "rib" => {
            walk.expect(&["of"])?;
            let number = positive(&mut walk, MOST_ENDS)?;
            if walk.eat("rows") || walk.eat("row") {
                NamedWeave::RibOfRows(number)
            } else {
                walk.expect(&["ends", "end"])?;
                NamedWeave::RibOfEnds(number)
            }
        }
        "basket" | "hopsack" => {
            let ends = positive(&mut walk, MOST_ENDS)?;
            let rows = if walk.eat("by") { positive(&mut walk, bounds::ROWS)? } else { ends };
            NamedWeave::Basket { ends, rows }
        }
        "twill" => twill(&mut walk, TwillKind::Straight)?,
        "pointed" => {
            walk.expect(&["twill"])?;
            twill(&mut walk, TwillKind::Pointed(None))?
        }
        "broken" => {
            walk.expect(&["twill"])?;
            twill(&mut walk, TwillKind::Broken(None))?
        }
        "herringbone" => twill(&mut walk, TwillKind::Herringbone(None))?,
        "satin" => satin(&mut walk, false)?,
        "sateen" => satin(&mut walk, true)?,
        _ => return Err(unknown(text, &first)),
    };
    walk.end()?;
    Ok(named)
}

fn unknown(text: &str, first: &str) -> Misread {
    if first.is_empty() {
        return Misread::new("There is nothing between the quotes.", USUAL);
    }
    let words = ["plain", "rib", "basket", "twill", "pointed", "broken", "herringbone", "satin", "sateen"];
    let help = match near(first, words).as_slice() {
        [] => USUAL.to_string(),
        meant => format!("Did you mean {}? {USUAL}", either(meant.iter().copied())),
    };
    Misread::new(format!("{} is no weave known here.", quoted(text)), help)
}

fn positive(walk: &mut Walk<'_>, most: u32) -> Result<NonZeroU32, Misread> {
    walk.number(1, most).map(|number| NonZeroU32::new(number).unwrap_or(NonZeroU32::MIN))
}

/// What follows "twill" and its kin: the fraction, the lean, and after what it turns.
fn twill(walk: &mut Walk<'_>, kind: TwillKind) -> Result<NamedWeave, Misread> {
    let fraction = fraction(walk)?;
    let lean = if walk.eat("left") {
        Side::Left
    } else {
        let _ = walk.eat("right");
        Side::Right
    };
    let kind = match kind {
        TwillKind::Straight => kind,
        TwillKind::Pointed(_) => TwillKind::Pointed(after(walk, 1, bounds::ROWS, &["steps", "step"])?),
        TwillKind::Broken(_) => TwillKind::Broken(after(walk, 2, bounds::ROWS, &["rows", "row"])?),
        TwillKind::Herringbone(_) => TwillKind::Herringbone(after(walk, 2, MOST_ENDS, &["ends", "end"])?),
    };
    Ok(NamedWeave::Twill { fraction, lean, kind })
}

fn after(walk: &mut Walk<'_>, least: u32, most: u32, of: &[&str]) -> Result<Option<NonZeroU32>, Misread> {
    if !walk.eat("after") {
        return Ok(None);
    }
    let number = walk.number(least, most)?;
    walk.expect(of)?;
    Ok(NonZeroU32::new(number))
}

/// "2/1", "2/1/1/2".
fn fraction(walk: &mut Walk<'_>) -> Result<Vec<NonZeroU32>, Misread> {
    let place = walk.place();
    let word = walk.peek();
    if word.is_empty() {
        return Err(walk.stuck());
    }
    let numbers: Option<Vec<NonZeroU32>> = word.split('/').map(|n| n.parse().ok()).collect();
    match numbers {
        Some(numbers) if numbers.len() % 2 == 0 => {
            walk.take();
            Ok(numbers)
        }
        Some(_) => Err(Misread::new(
            format!("{} is half a fraction.", quoted(word)),
            "Write warp up and warp down in turn, such as \"twill 2/1\" or \"twill 2/1/1/2\".",
        )
        .at(place)),
        None => Err(Misread::new(
            format!("{} is no fraction of a twill.", quoted(word)),
            "Write warp up and warp down with strokes between them, such as \"twill 2/1\".",
        )
        .at(place)),
    }
}

/// What follows "satin" or "sateen".
fn satin(walk: &mut Walk<'_>, weft_faced: bool) -> Result<NamedWeave, Misread> {
    let on_place = walk.place();
    let on = walk.number(1, MOST_ENDS)?;
    let step_place = walk.place();
    let step = if walk.eat("step") { Some(walk.number(1, MOST_ENDS)?) } else { None };
    NamedWeave::satin(on, step, weft_faced).map_err(|error| match error {
        SatinError::NoneOn(on) => {
            Misread::new(format!("There is no satin on {on} ends."), "Take 5 ends, or 7 and more.")
                .at(on_place)
        }
        SatinError::Step { on, steps } => {
            let shown: Vec<String> = steps.iter().take(12).map(u32::to_string).collect();
            let more = if steps.len() > shown.len() { " and so on" } else { "" };
            let steps = shown.join(", ");
            Misread::new(
                format!("A satin on {on} ends is not made with this step."),
                format!("These steps make one: {steps}{more}."),
            )
            .at(step_place)
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use fellmark_core::weave::satin_steps;

    fn fraction_of(numbers: &[u32]) -> Vec<NonZeroU32> {
        numbers.iter().map(|n| NonZeroU32::new(*n).unwrap()).collect()
    }

    fn n(number: u32) -> NonZeroU32 {
        NonZeroU32::new(number).unwrap()
    }

    #[test]
    fn each_name_is_its_weave() {
        let twill = |numbers, lean, kind| NamedWeave::Twill { fraction: fraction_of(numbers), lean, kind };
        let cases = [
            ("plain", NamedWeave::Plain),
            ("rib of 2 ends", NamedWeave::RibOfEnds(n(2))),
            ("rib of 3 rows", NamedWeave::RibOfRows(n(3))),
            ("basket 2", NamedWeave::Basket { ends: n(2), rows: n(2) }),
            ("basket 3 by 2", NamedWeave::Basket { ends: n(3), rows: n(2) }),
            ("twill 2/1", twill(&[2, 1], Side::Right, TwillKind::Straight)),
            ("Twill 2/1/1/2 left", twill(&[2, 1, 1, 2], Side::Left, TwillKind::Straight)),
            ("pointed twill 2/2", twill(&[2, 2], Side::Right, TwillKind::Pointed(None))),
            ("pointed twill 2/2 after 6 steps", twill(&[2, 2], Side::Right, TwillKind::Pointed(Some(n(6))))),
            ("broken twill 2/2 left after 4 rows", twill(&[2, 2], Side::Left, TwillKind::Broken(Some(n(4))))),
            ("herringbone 2/2 after 8 ends", twill(&[2, 2], Side::Right, TwillKind::Herringbone(Some(n(8))))),
            ("satin 8 step 3", NamedWeave::Satin { on: 8, step: 3 }),
            ("sateen 5", NamedWeave::Sateen { on: 5, step: 2 }),
        ];
        for (text, expected) in cases {
            assert_eq!(named(text), Ok(expected), "{text}");
        }
        for name in NAMES {
            assert!(weave(name).is_ok(), "{name}");
        }
    }

    /// "A 2/1 twill" has two warps up and one down (the trade's fraction, common practice, no source): the weft
    /// goes under two and over one, and leaning right it is one end further right in the next row.
    #[test]
    fn a_fraction_counts_warp_up_first() {
        let weave = weave("twill 2/1").unwrap();
        let row = |row| (0..6).map(|end| if weave.over(row, end) { 'o' } else { '.' }).collect::<String>();
        assert_eq!(row(0), "..o..o");
        assert_eq!(row(1), "o..o..");
    }

    #[test]
    fn what_is_no_weave_is_told_with_what_there_is() {
        assert!(weave("twil 2/2").unwrap_err().help.starts_with("Did you mean twill?"));
        assert!(weave("honeycomb").unwrap_err().help.contains("sateen 5"));
        assert_eq!(weave("twill 2").unwrap_err().message, "\"2\" is half a fraction.");
        assert_eq!(weave("twill 0/2").unwrap_err().part, Some(6..9));
        assert!(weave("satin 4294967295").is_err());
        assert_eq!(weave("satin 6").unwrap_err().message, "There is no satin on 6 ends.");
        assert_eq!(weave("satin 8 step 2").unwrap_err().help, "These steps make one: 3, 5.");
        assert!(weave("twill 4000/4000").unwrap_err().message.contains("4096"));
        assert!(weave("plain weave").is_err());
    }

    #[test]
    fn the_smallest_satins_have_five_ends_and_more_but_not_six() {
        let with: Vec<u32> = (1..=12).filter(|on| !satin_steps(*on).is_empty()).collect();
        assert_eq!(with, [5, 7, 8, 9, 10, 11, 12]);
    }
}
