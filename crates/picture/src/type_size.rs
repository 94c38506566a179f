//! Words on the drawing: their sizes, and how much room they take without asking any font.

use crate::ink;
use crate::svg::{Element, Svg};
use fellmark_core::yarn::Srgb;

/// The fonts, the best first.
pub(crate) const FAMILY: &str =
    "'Atkinson Hyperlegible Next', 'Atkinson Hyperlegible', system-ui, -apple-system, 'Segoe UI', sans-serif";

/// A size of type and its look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Type {
    /// Its size in mm.
    pub(crate) size: f64,
    pub(crate) bold: bool,
    pub(crate) colour: Srgb,
}

/// The piece's name.
pub(crate) const TITLE: Type = Type { size: 6.4, bold: true, colour: ink::INK };
/// What stands beside the piece's name.
pub(crate) const ASIDE: Type = Type { size: 4.2, bold: false, colour: ink::FAINT };
/// Names of bands.
pub(crate) const NAME: Type = Type { size: 3.8, bold: true, colour: ink::INK };
/// Numbers of rows, and what stands below a band's name.
pub(crate) const SMALL: Type = Type { size: 2.9, bold: false, colour: ink::FAINT };

/// Where a text is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Held {
    AtStart,
    AtEnd,
}

impl Type {
    /// About how wide a text is: no font is asked, so it is taken a little wide.
    pub(crate) fn width(self, text: &str) -> f64 {
        let per_size: f64 = text
            .chars()
            .map(|sign| match sign {
                'i' | 'j' | 'l' | 'I' | '.' | ',' | '\'' | ' ' | ':' | ';' | '|' => 0.34,
                'm' | 'w' | 'M' | 'W' => 0.92,
                sign if sign.is_ascii_uppercase() => 0.7,
                sign if (sign as u32) < 0x2000 => 0.6,
                _ => 1.0,
            })
            .sum();
        per_size * self.size * if self.bold { 1.12 } else { 1.0 }
    }

    /// As much of a text as goes into a width; what is left out is marked.
    pub(crate) fn cut(self, text: &str, width: f64) -> String {
        if self.width(text) <= width {
            return text.to_owned();
        }
        let mut short = String::new();
        let mut so_far = self.width("…");
        for sign in text.chars() {
            so_far += self.width(sign.encode_utf8(&mut [0; 4]));
            if so_far > width {
                break;
            }
            short.push(sign);
        }
        short.truncate(short.trim_end().len());
        short.push('…');
        short
    }

    /// Writes a text with its foot at a place on the paper.
    pub(crate) fn write(self, svg: &mut Svg, class: &str, (x, y): (f64, f64), held: Held, text: &str) {
        let mut element = svg.element("text").set("class", class).length("x", x).length("y", y);
        if held == Held::AtEnd {
            element = element.set("text-anchor", "end");
        }
        self.dress(element).text(text);
    }

    /// Writes a text and after it, as far on as the font makes the first, another in another type.
    pub(crate) fn write_two(
        self,
        svg: &mut Svg,
        (x, y): (f64, f64),
        (class, text): (&str, &str),
        (after, after_class, after_text): (Type, &str, &str),
    ) {
        svg.element("text").length("x", x).length("y", y).open_for_text();
        self.dress(svg.element("tspan").set("class", class)).text_within(text);
        let second = svg.element("tspan").set("class", after_class).length("dx", self.size * 0.4);
        after.dress(second).text_within(after_text);
        svg.close();
    }

    fn dress<'a>(self, element: Element<'a>) -> Element<'a> {
        let element = element.length("font-size", self.size).set("fill", self.colour);
        if self.bold { element.set("font-weight", "bold") } else { element }
    }

    /// From the middle of a line of type down to its foot.
    pub(crate) fn drop(self) -> f64 {
        self.size * 0.36
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_too_long_is_cut_and_marked() {
        let long = "samphire ".repeat(50);
        let short = NAME.cut(&long, 40.0);
        assert!(
            short.ends_with('…')
                && NAME.width(&short) <= 40.0
                && long.starts_with(short.trim_end_matches('…'))
        );
        assert_eq!(NAME.cut("hem", 40.0), "hem");
        assert_eq!(NAME.cut("hem", 0.0), "…");
    }
}
