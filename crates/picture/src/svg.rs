//! Writing SVG: elements, attributes and text with everything escaped, numbers always in the same form.
//!
//! Lengths are written in hundredths of a millimetre at the finest, so that equal drawings are equal bytes.

use std::fmt::{self, Display, Write};

/// A number with two decimals at most, as short as it can be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Hundredths(pub(crate) i64);

/// The farthest a coordinate may lie from the origin: ten kilometres in mm.
const FARTHEST: f64 = 1e7;

impl Hundredths {
    /// The nearest to a number; what is no number becomes 0.
    pub(crate) fn of(number: f64) -> Hundredths {
        if number.is_nan() {
            return Hundredths(0);
        }
        Hundredths((number.clamp(-FARTHEST, FARTHEST) * 100.0).round() as i64)
    }
}

impl Display for Hundredths {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, part) = (self.0.unsigned_abs() / 100, self.0.unsigned_abs() % 100);
        if self.0 < 0 {
            f.write_char('-')?;
        }
        if whole > 0 || part == 0 {
            write!(f, "{whole}")?;
        }
        match part {
            0 => Ok(()),
            part if part % 10 == 0 => write!(f, ".{}", part / 10),
            part => write!(f, ".{part:02}"),
        }
    }
}

/// Text as XML takes it: the marks of XML escaped, and the signs that no XML may hold replaced.
struct Escaped<'a, W: Write>(&'a mut W);

impl<W: Write> Write for Escaped<'_, W> {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        for sign in text.chars() {
            match sign {
                '&' => self.0.write_str("&amp;")?,
                '<' => self.0.write_str("&lt;")?,
                '>' => self.0.write_str("&gt;")?,
                '"' => self.0.write_str("&quot;")?,
                '\'' => self.0.write_str("&#39;")?,
                '\t' | '\n' | '\r' => self.0.write_char(' ')?,
                // What XML 1.0 shuts out (its production 2, Char).
                '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => self.0.write_char('\u{fffd}')?,
                sign => self.0.write_char(sign)?,
            }
        }
        Ok(())
    }
}

/// A document in the making.
#[derive(Debug, Default)]
pub(crate) struct Svg {
    out: String,
    open: Vec<&'static str>,
}

impl Svg {
    /// Begins an element; finish it with [`Element::end`], [`Element::open`] or [`Element::text`].
    pub(crate) fn element(&mut self, name: &'static str) -> Element<'_> {
        self.out.push('<');
        self.out.push_str(name);
        Element { svg: self, name }
    }

    /// Closes the element opened last.
    pub(crate) fn close(&mut self) {
        if let Some(name) = self.open.pop() {
            self.out.push_str("</");
            self.out.push_str(name);
            self.out.push_str(">\n");
        }
    }

    /// The document, all that is open closed.
    pub(crate) fn finish(mut self) -> String {
        while !self.open.is_empty() {
            self.close();
        }
        self.out
    }

    fn escaped(&mut self, text: impl Display) {
        // Writing to a string never fails.
        let _ = write!(Escaped(&mut self.out), "{text}");
    }
}

/// An element whose attributes are being written.
#[must_use = "an element has to be ended"]
pub(crate) struct Element<'a> {
    svg: &'a mut Svg,
    name: &'static str,
}

impl<'a> Element<'a> {
    /// Adds an attribute.
    pub(crate) fn set(self, name: &str, value: impl Display) -> Self {
        self.svg.out.push(' ');
        self.svg.out.push_str(name);
        self.svg.out.push_str("=\"");
        self.svg.escaped(value);
        self.svg.out.push('"');
        self
    }

    /// Adds a length.
    pub(crate) fn length(self, name: &str, mm: f64) -> Self {
        self.set(name, Hundredths::of(mm))
    }

    /// Ends it, empty.
    pub(crate) fn end(self) {
        self.svg.out.push_str("/>\n");
    }

    /// Leaves it open for others.
    pub(crate) fn open(self) {
        self.svg.out.push_str(">\n");
        self.svg.open.push(self.name);
    }

    /// Leaves it open for texts that follow one another without a space.
    pub(crate) fn open_for_text(self) {
        self.svg.out.push('>');
        self.svg.open.push(self.name);
    }

    /// Ends it with a text in it.
    pub(crate) fn text(self, text: impl Display) {
        let svg = self.text_within(text);
        svg.out.push('\n');
    }

    /// Ends it with a text in it, where spaces count.
    pub(crate) fn text_within(self, text: impl Display) -> &'a mut Svg {
        self.svg.out.push('>');
        self.svg.escaped(text);
        self.svg.out.push_str("</");
        self.svg.out.push_str(self.name);
        self.svg.out.push('>');
        self.svg
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_as_short_as_they_can_be() {
        let all = [0.0, 0.5, -0.25, 12.0, -3.07, 0.004, f64::NAN, 1.999];
        let texts = all.map(|n| Hundredths::of(n).to_string());
        assert_eq!(texts, ["0", ".5", "-.25", "12", "-3.07", "0", "0", "2"]);
        assert_eq!(Hundredths::of(f64::INFINITY).to_string(), "10000000");
    }

    #[test]
    fn marks_of_xml_and_control_signs_are_taken_out_of_names() {
        let mut svg = Svg::default();
        svg.element("g").set("data-name", "a \"b\" & 'c'\u{1}").open();
        svg.element("text").text("<reed & foam>\n\u{ffff}");
        assert_eq!(
            svg.finish(),
            "<g data-name=\"a &quot;b&quot; &amp; &#39;c&#39;\u{fffd}\">\n\
             <text>&lt;reed &amp; foam&gt; \u{fffd}</text>\n</g>\n"
        );
    }
}
