//! Reads a yarn's size as labels and weavers write it.

use super::size::{ParsedSize, Size, SizeError};
use super::{Fibre, System};
use crate::quantity::{Amount, Mm, QuantityError, Scan, Tex};

/// The most strands that a text may ask for.
const MOST_STRANDS: f64 = 200.0;
/// Up to this many strands are plied in one; a larger number before the stroke is a count.
const USUAL_PLY: f64 = 4.0;

impl Size {
    /// Reads a size:
    ///
    /// - a count: `50 tex`, `R 100 tex`, `50 tex x 2`, `167 dtex`, `70 den`, `Nm 28/2`, `Ne 30`,
    ///   `8/2 cotton`, `30s cotton`, `2/30 worsted`, `16/2 linen`, `16 lea`, `2 run`, `8 YSW`;
    /// - a length of a mass: `210 m per 100 g`, `400 m/200g`, `50 g = 110 m`, `3360 yards per pound`;
    /// - wraps: `7 wraps per cm`, `18 wraps per inch`, `18 wpi`, `36 wraps per 2 in`.
    ///
    /// A fibre may be named in front or at the end. `fibre` is what is known of it from elsewhere: it
    /// settles the system of a count that names none (`16/2` of linen). Where the fibre is counted in several
    /// systems (wool, silk) the system must be named.
    ///
    /// **Plies.** Of the two numbers round the stroke one is the singles' count and the other the number of
    /// plies, and custom has both orders: 8/2 cotton and 2/8 cotton are one yarn. The smaller number is the
    /// plies, because fine singles are plied in twos and threes. The exception is cord: where the first
    /// number is 5 or more and the second larger, as in the cotton twine 12/18 of tapestry warps, cotton
    /// and linen keep their order, count before plies. Spun silk in the English count is named by its
    /// *result*: 30/2 wraps as a single 30.
    ///
    /// # Errors
    /// Says what is wrong with the text, with the readings where it can mean several yarns.
    pub fn parse(text: &str, fibre: Option<Fibre>) -> Result<ParsedSize, SizeError> {
        let scan = Scan::new(text);
        let parsed = match wraps(scan)? {
            Some(parsed) => parsed,
            None => match length_of_mass(scan)? {
                Some(parsed) => parsed,
                None => count(scan, fibre)?,
            },
        };
        if parsed.size.is_possible() { Ok(parsed) } else { Err(SizeError::OutOfRange) }
    }
}

/// What stands after a size: nothing or a fibre.
fn then_fibre(mut scan: Scan, size: Size) -> Result<Option<ParsedSize>, SizeError> {
    let words = Words::read(&mut scan);
    if !scan.at_end() {
        return Err(QuantityError::Trailing { rest: scan.shown() }.into());
    }
    match words.meaning()? {
        (None, implies) => Ok(Some(ParsedSize { size, implies })),
        (Some(_), _) => Err(SizeError::Twice),
    }
}

/// `7 wraps per cm`; `None` if the text is not about wraps.
fn wraps(mut scan: Scan) -> Result<Option<ParsedSize>, SizeError> {
    let Ok(count) = scan.number() else { return Ok(None) };
    let per = match scan.word().to_lowercase().as_str() {
        "wpi" => Mm::parse("1 in")?,
        "wpc" => Mm::parse("1 cm")?,
        "wrap" | "wraps" => {
            if !(scan.eat_word("per") || scan.eat('/')) {
                return Err(SizeError::WrapsPer);
            }
            match Amount::scan_per(&mut scan).and_then(Amount::some)? {
                Amount::Length(per) => per,
                Amount::Mass(_) => return Err(SizeError::WrapsPer),
            }
        }
        _ => return Ok(None),
    };
    then_fibre(scan, Size::Wraps(per / count))
}

/// `210 m per 100 g`; `None` if the text does not begin with an amount.
fn length_of_mass(mut scan: Scan) -> Result<Option<ParsedSize>, SizeError> {
    let first = match Amount::scan(&mut scan) {
        Ok(amount) => amount.some()?,
        Err(QuantityError::TooLarge) => return Err(SizeError::OutOfRange),
        Err(_) => return Ok(None),
    };
    if !(scan.eat_word("per") || scan.eat('/') || scan.eat('=')) {
        return Err(SizeError::NoPer);
    }
    let (mass, length) = match (first, Amount::scan_per(&mut scan).and_then(Amount::some)?) {
        (Amount::Length(length), Amount::Mass(mass)) | (Amount::Mass(mass), Amount::Length(length)) => {
            (mass, length)
        }
        _ => return Err(SizeError::SameKind),
    };
    then_fibre(scan, Size::Count(Tex::new(mass.grams() / length.metres() * 1000.0)))
}

/// Words that name a system, a fibre or both.
#[derive(Default)]
struct Words(Vec<String>);

impl Words {
    /// Reads words, with or without dashes between them, up to what is none, such as a number, a stroke or the
    /// `x` before strands.
    fn read(scan: &mut Scan) -> Words {
        let mut words = Words::default();
        loop {
            let mut ahead = *scan;
            ahead.eat('-');
            let word = ahead.word().to_lowercase();
            if word.is_empty() || word == "x" || !word.chars().all(char::is_alphabetic) {
                return words;
            }
            words.0.push(word);
            *scan = ahead;
        }
    }

    /// What they mean: a system, a fibre, both in either order, or nothing.
    fn meaning(&self) -> Result<(Option<System>, Option<Fibre>), SizeError> {
        let phrases = (0..=self.0.len()).map(|cut| self.0.split_at(cut));
        let system = |words: &[String]| optional(words, System::parse);
        let fibre = |words: &[String]| optional(words, Fibre::parse);
        for (first, second) in phrases {
            if let (Some(system), Some(fibre)) = (system(first), fibre(second)) {
                return Ok((system, fibre));
            }
            if let (Some(fibre), Some(system)) = (fibre(first), system(second)) {
                return Ok((system, fibre));
            }
        }
        Err(SizeError::UnknownWords { words: self.0.join(" ") })
    }
}

/// `Some(None)` for no words, `None` for words that mean nothing.
fn optional<T>(words: &[String], parse: impl Fn(&str) -> Option<T>) -> Option<Option<T>> {
    if words.is_empty() { Some(None) } else { parse(&words.join(" ")).map(Some) }
}

/// One of two, which may not both be there.
fn either<T>(one: Option<T>, other: Option<T>) -> Result<Option<T>, SizeError> {
    match (one, other) {
        (Some(_), Some(_)) => Err(SizeError::Twice),
        (one, other) => Ok(one.or(other)),
    }
}

/// A number of strands.
fn strands(number: f64) -> Result<f64, SizeError> {
    let whole = number.fract() == 0.0 && (1.0..=MOST_STRANDS).contains(&number);
    if whole { Ok(number) } else { Err(SizeError::Strands) }
}

/// A count in any system.
fn count(mut scan: Scan, known: Option<Fibre>) -> Result<ParsedSize, SizeError> {
    let resultant = scan.eat_word("R");
    let before = Words::read(&mut scan).meaning()?;
    let first = scan.decimal()?;
    scan.eat_word("s");
    let mut second = None;
    if scan.eat('/') {
        second = Some(scan.decimal()?);
        scan.eat_word("s");
    }
    let after = Words::read(&mut scan);
    let mut doubled = 1.0;
    if ["x", "×", "*"].into_iter().any(|sign| scan.eat_word(sign)) {
        doubled = strands(scan.decimal()?)?;
    } else if resultant && scan.eat('/') {
        // ISO 1139 writes the plies behind the resultant count; it is a result already.
        strands(scan.decimal()?)?;
    }
    if scan.eat('/') {
        return Err(SizeError::Stroke);
    }
    if !scan.at_end() {
        return Err(QuantityError::Trailing { rest: scan.shown() }.into());
    }

    let after = after.meaning()?;
    let system = either(before.0, after.0)?;
    let named = either(before.1, after.1)?;
    let fibre = named.or(system.and_then(System::fibre)).or(known);
    let implies = named.or(system.and_then(System::fibre));
    let tex = |system| resulting(system, fibre, first, second).map(|tex| tex * doubled);
    let candidates = match &system {
        Some(system) => std::slice::from_ref(system),
        None => fibre.map_or(&[][..], System::usual_for),
    };
    match candidates {
        [] => Err(SizeError::NoSystem),
        [system] => Ok(ParsedSize { size: Size::Count(tex(*system)?), implies }),
        several => {
            let readings = several.iter().map(|&system| tex(system).map(|tex| (system, tex)));
            Err(SizeError::SystemUnclear { readings: readings.collect::<Result<_, _>>()? })
        }
    }
}

/// The linear density of a count with its plies. Twist shortens plies, so the real yarn is a little heavier.
fn resulting(
    system: System,
    fibre: Option<Fibre>,
    first: f64,
    second: Option<f64>,
) -> Result<Tex, SizeError> {
    let Some(second) = second else { return Ok(system.tex(first)) };
    if system.is_direct() {
        return Err(SizeError::Stroke);
    }
    let keeps_order = matches!(system, System::Cotton | System::Lea);
    let cord = keeps_order && first > USUAL_PLY;
    let (singles, plies) = if second <= first || cord { (first, second) } else { (second, first) };
    let plies = strands(plies)?;
    let named_by_result = system == System::Cotton && fibre == Some(Fibre::Silk);
    Ok(if named_by_result { system.tex(singles) } else { system.tex(singles) * plies })
}
