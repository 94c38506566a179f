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
    let wrapped = textwrap::fill(words, options);
    // The lead may carry colour, which must not count as width.
    let rest = wrapped.strip_prefix(indent.as_str()).unwrap_or(&wrapped).to_owned();
    format!("{first}{rest}\n")
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
    fn a_name_with_a_hyphen_stays_whole_at_the_end_of_a_line() {
        let words = "x".repeat(74);
        assert_eq!(paragraph("", &format!("{words} mud-lark")), format!("{words}\nmud-lark\n"));
    }
}
