//! What a reader of plans says when a text can't be taken as it is: what is so, where, and what to do.

use crate::examples::{examples_in, units_of};
use annotate_snippets::{AnnotationKind, Level, Origin, Renderer, Snippet};
use std::ops::Range;

/// Why a text is no plan yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// What is so.
    pub message: String,
    /// What to do.
    pub help: String,
    /// Where in the text, in bytes; `None` if it is about something that isn't there at all.
    pub at: Option<Range<usize>>,
}

impl Problem {
    /// The same for the writer of this text: examples of lengths are in the units that it is written in.
    pub(crate) fn for_writer_of(self, text: &str) -> Problem {
        Problem { help: examples_in(units_of(text), &self.help), ..self }
    }

    /// The line and the column (in characters) where it begins, both from 1.
    #[must_use]
    pub fn line_column(&self, text: &str) -> Option<(usize, usize)> {
        let before = text.get(..self.at.as_ref()?.start)?;
        let line = before.matches('\n').count() + 1;
        let start = before.rfind('\n').map_or(0, |newline| newline + 1);
        let column = before[start..].trim_start_matches('\u{feff}').chars().count() + 1;
        Some((line, column))
    }

    /// The problem as a person reads it in a terminal, with the line it is about. `name` is what the text is
    /// called, such as the name of its file.
    #[must_use]
    pub fn render(&self, text: &str, name: &str, colour: bool) -> String {
        let title = Level::ERROR.no_name().primary_title(&self.message);
        let group = match &self.at {
            Some(at) if text.get(at.clone()).is_some() => {
                let annotation = AnnotationKind::Primary.span(at.clone());
                title.element(Snippet::source(text).path(name).annotation(annotation))
            }
            _ => title.element(Origin::path(name)),
        };
        let report = &[group.element(Level::HELP.no_name().message(&self.help))];
        let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
        renderer.render(report)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn about(at: Range<usize>) -> Problem {
        Problem { message: "So it is.".into(), help: "Do this.".into(), at: Some(at) }
    }

    #[test]
    fn columns_are_counted_in_characters_from_one_and_a_mark_of_byte_order_is_none() {
        assert_eq!(about(0..1).line_column("abc"), Some((1, 1)));
        assert_eq!(about(3..4).line_column("\u{feff}abc"), Some((1, 1)));
        assert_eq!(about(8..9).line_column("a\r\nmünd x"), Some((2, 5)));
        assert_eq!(about(90..91).line_column("abc"), None);
    }

    #[test]
    fn a_problem_is_drawn_with_its_line_and_what_to_do() {
        let text = "name = \"mat\"\nschema = 2\n";
        let drawn = about(22..23).render(text, "mat.toml", false);
        assert!(drawn.contains("So it is."), "{drawn}");
        assert!(drawn.contains("mat.toml:2:10"), "{drawn}");
        assert!(drawn.contains("schema = 2"), "{drawn}");
        assert!(drawn.contains("Do this."), "{drawn}");
        let nowhere = Problem { at: None, ..about(0..0) };
        assert!(nowhere.render(text, "mat.toml", false).contains("mat.toml"));
    }
}
