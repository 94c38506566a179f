//! Examples of lengths in the words about what to do: they are written metric, and are told in inches to who measures
//! in them.

use fellmark_core::say::Units;

/// Every example with a metric unit, and what would be written in its place: no conversion, but what a ruler or a label
/// in inches says of such a thing.
const PAIRS: [(&str, &str); 30] = [
    ("11 cm x 14 cm", "4 1/2 in x 5 1/2 in"),
    ("11 cm wide", "4 1/2 in wide"),
    ("14 cm long", "5 1/2 in long"),
    ("210 m per 100 g", "230 yd per 100 g"),
    ("4.90 EUR per 50 g", "4.90 EUR per 2 oz"),
    ("12.4 g, 31 m", "0.44 oz, 34 yd"),
    ("7 wraps per cm", "18 wraps per inch"),
    ("foam=7 wraps per cm", "foam=18 wraps per inch"),
    ("1.2 m", "48 in"),
    ("24 cm", "9 1/2 in"),
    ("22 cm", "8 1/2 in"),
    ("2.5 cm", "1 in"),
    ("15 cm", "6 in"),
    ("14 cm", "5 1/2 in"),
    ("11 cm", "4 1/2 in"),
    ("9 cm", "3 1/2 in"),
    ("8 cm", "3 in"),
    ("3 cm", "1 1/4 in"),
    ("2 cm", "3/4 in"),
    ("20 mm", "3/4 in"),
    ("18 mm", "3/4 in"),
    ("15 mm", "5/8 in"),
    ("12 mm", "1/2 in"),
    ("6 mm", "1/4 in"),
    ("4 mm", "1/8 in"),
    ("2 mm", "1/16 in"),
    ("0 mm", "0 in"),
    ("22 m", "24 yd"),
    ("50 g", "2 oz"),
    ("10 m", "32 ft"),
];

/// What to do, with its examples as they are written by who measures so.
#[must_use]
pub fn examples_in(units: Units, words: &str) -> String {
    if units == Units::Metric {
        return words.to_owned();
    }
    // Only what stands between quotes is an example; anything else may be what the weaver typed.
    let example = |(at, part): (usize, &str)| match PAIRS.iter().find(|(metric, _)| *metric == part) {
        Some((_, inch)) if at % 2 == 1 => (*inch).to_owned(),
        _ => part.to_owned(),
    };
    let told: Vec<String> = words.split('"').enumerate().map(example).collect();
    told.join("\"")
}

/// How the writer of a text measures: in inches if more of its lengths are written so than not. What a label says of
/// a yarn is no length of the writer's.
#[must_use]
pub fn units_of(text: &str) -> Units {
    let (mut metric, mut inch) = (0_u32, 0_u32);
    for line in text.lines().filter(|line| !line.contains(" per ")) {
        for (at, _) in line.match_indices(|sign: char| sign.is_ascii_digit()) {
            let unit = line[at + 1..].trim_start_matches(' ');
            let word: String = unit.chars().take_while(|sign| sign.is_alphabetic()).collect();
            match word.as_str() {
                "" if unit.starts_with(['″', '”']) => inch += 1,
                "mm" | "cm" | "m" => metric += 1,
                "in" | "inch" | "inches" | "ft" | "yd" => inch += 1,
                _ => {}
            }
        }
    }
    if inch > metric { Units::Inch } else { Units::Metric }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::keys::Section;

    /// Whether a text still has a metric length or mass in it.
    fn has_metric(text: &str) -> bool {
        let words: Vec<&str> = text.split(|sign: char| !(sign.is_alphanumeric() || sign == '.')).collect();
        words.windows(2).any(|pair| {
            pair[0].starts_with(|sign: char| sign.is_ascii_digit()) && ["mm", "cm", "m"].contains(&pair[1])
        })
    }

    #[test]
    fn no_key_is_explained_with_a_metric_example_to_who_measures_in_inches() {
        for key in Section::ALL.into_iter().flat_map(Section::keys) {
            let said = examples_in(Units::Inch, &key.wanted());
            assert!(!has_metric(&said), "{said}");
            assert_eq!(examples_in(Units::Metric, &key.wanted()), key.wanted());
        }
    }

    #[test]
    fn every_example_in_inches_is_read_as_what_it_stands_for() {
        use fellmark_core::quantity::Mm;
        let mut read = 0;
        for (metric, inch) in PAIRS {
            let (Ok(metric), Ok(inch)) = (Mm::parse(metric), Mm::parse(inch)) else { continue };
            read += 1;
            let near = (metric.mm() - inch.mm()).abs() <= 0.3 * metric.mm();
            assert!(near, "{metric:?} {inch:?}");
        }
        assert!(read > 15, "{read}");
    }

    #[test]
    fn only_examples_are_told_otherwise() {
        let said = |words| examples_in(Units::Inch, words);
        assert_eq!(
            said("such as \"6 mm\", \"16 mm\" or \"1.2 m\""),
            "such as \"1/4 in\", \"16 mm\" or \"48 in\""
        );
        assert_eq!(said("there is 22 cm of it, and \"over 1\""), "there is 22 cm of it, and \"over 1\"");
    }

    #[test]
    fn a_text_measures_as_most_of_its_lengths_do() {
        assert_eq!(units_of("pitch = \"1/4 in\"\nsize = \"210 m per 100 g\""), Units::Inch);
        assert_eq!(units_of("pitch = \"6 mm\"\nheight = \"9 1/2 in\"\ndepth = \"2mm\""), Units::Metric);
        assert_eq!(units_of("# over 5, under 3"), Units::Metric);
        assert_eq!(units_of("pitch = \"1/4″\"\nheight = \"9 in\""), Units::Inch);
    }
}
