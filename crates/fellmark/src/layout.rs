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
    let options =
        textwrap::Options::new(WIDTH).initial_indent(&indent).subsequent_indent(&indent).break_words(true);
    let wrapped = textwrap::fill(words, options);
    // The lead may carry colour, which must not count as width.
    let rest = wrapped.strip_prefix(indent.as_str()).unwrap_or(&wrapped).to_owned();
    format!("{first}{rest}\n")
}

/// How many columns a text takes, colour left out.
pub(crate) fn visible(text: &str) -> usize {
    textwrap::core::display_width(&anstream::adapter::strip_str(text).to_string())
}
