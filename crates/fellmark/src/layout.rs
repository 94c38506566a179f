//! Text for people: 80 columns, headings and quiet lines.

use anstyle::Style;

/// The width that everything fits.
pub(crate) const WIDTH: usize = 80;

/// Bold, for what is looked for first.
pub(crate) fn strong(words: &str) -> String {
    styled(Style::new().bold(), words)
}

/// Faint, for what is only looked up.
pub(crate) fn quiet(words: &str) -> String {
    styled(Style::new().dimmed(), words)
}

fn styled(style: Style, words: &str) -> String {
    format!("{style}{words}{style:#}")
}

/// A paragraph, wrapped; its first line begins with `first`, the others with as many spaces.
pub(crate) fn paragraph(first: &str, words: &str) -> String {
    let indent = " ".repeat(visible(first));
    let options = lines_of(WIDTH).initial_indent(&indent).subsequent_indent(&indent);
    let wrapped = textwrap::fill(&glued(words), options).replace(GLUE, " ");
    // The lead may carry colour, which must not count as width.
    let rest = wrapped.strip_prefix(indent.as_str()).unwrap_or(&wrapped).to_owned();
    format!("{first}{rest}\n")
}

/// Stands for a space at which no line breaks.
const GLUE: char = '\u{202f}';

/// The words with numbers and their units in one piece.
fn glued(words: &str) -> String {
    const UNITS: [&str; 12] = ["%", "mm", "cm", "m", "in", "ft", "yd", "g", "kg", "oz", "h", "tex"];
    let mut glued = String::with_capacity(words.len());
    let mut after_number = false;
    for (k, word) in words.split(' ').enumerate() {
        let bare = word.trim_end_matches(|sign: char| sign != '%' && !sign.is_alphanumeric());
        if k > 0 {
            let stays = after_number && (UNITS.contains(&bare) || is_fraction(bare));
            glued.push(if stays { GLUE } else { ' ' });
        }
        glued.push_str(word);
        after_number = word.ends_with(|sign: char| sign.is_ascii_digit());
    }
    glued
}

/// Whether a word is what stands behind the whole number of a mixed one.
fn is_fraction(word: &str) -> bool {
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|sign| sign.is_ascii_digit());
    word.split_once('/').is_some_and(|(over, under)| digits(over) && digits(under))
}

/// Lines that break only where a space stands: a name such as mud-lark stays whole, and so can be read back.
pub(crate) fn lines_of(width: usize) -> textwrap::Options<'static> {
    textwrap::Options::new(width)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
}

/// How many columns a text takes, colour left out.
pub(crate) fn visible(text: &str) -> usize {
    textwrap::core::display_width(&anstream::adapter::strip_str(text).to_string())
}

#[cfg(test)]
mod tests {
    use super::paragraph;

    #[test]
    fn a_number_and_its_unit_stand_in_one_line() {
        let words = "x".repeat(77);
        assert_eq!(paragraph("", &format!("{words} 3 % of it")), format!("{words}\n3 % of it\n"));
        assert_eq!(paragraph("", &format!("{words} (3 cm), 4 it")), format!("{words}\n(3 cm), 4 it\n"));
        assert_eq!(paragraph("", &format!("{words} 3 ends")), format!("{words} 3\nends\n"));
        assert_eq!(paragraph("", &format!("{words} 5 13/16 in")), format!("{words}\n5 13/16 in\n"));
    }

    #[test]
    fn a_name_with_a_hyphen_stays_whole_at_the_end_of_a_line() {
        let words = "x".repeat(74);
        assert_eq!(paragraph("", &format!("{words} mud-lark")), format!("{words}\nmud-lark\n"));
    }
}
