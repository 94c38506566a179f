//! Left and right, over and under, front and back: the words a place on the cloth is made of.

/// A side of the piece, seen from the front.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Where end 1 is.
    Left,
    /// Where the last end is.
    Right,
}

impl Side {
    /// Both sides, left first.
    pub const BOTH: [Side; 2] = [Side::Left, Side::Right];

    /// The other side.
    #[must_use]
    pub fn other(self) -> Side {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }
}

/// How a weft passes an end, or one weft passes another, seen from the front.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Pass {
    /// In front: the passing strand shows.
    Over,
    /// Behind: the other strand shows.
    Under,
}

impl Pass {
    /// Over becomes under and the reverse.
    #[must_use]
    pub fn opposite(self) -> Pass {
        match self {
            Pass::Over => Pass::Under,
            Pass::Under => Pass::Over,
        }
    }

    /// `true` means over, as in the bits of an opening.
    #[must_use]
    pub fn from_bit(over: bool) -> Pass {
        if over { Pass::Over } else { Pass::Under }
    }

    /// Whether this is [`Pass::Over`].
    #[must_use]
    pub fn is_over(self) -> bool {
        self == Pass::Over
    }
}

/// A surface of the cloth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Surface {
    /// The side seen while weaving.
    Front,
    /// The other one: mirrored, over and under exchanged.
    Back,
}

/// An unbroken range of ends, both included, counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    first: u32,
    last: u32,
}

impl Span {
    /// The range from `first` to `last`; `None` if it would be empty.
    #[must_use]
    pub fn new(first: u32, last: u32) -> Option<Span> {
        (first <= last).then_some(Span { first, last })
    }

    /// All of `ends` ends; `None` if there are none.
    #[must_use]
    pub fn all(ends: u32) -> Option<Span> {
        Span::new(0, ends.checked_sub(1)?)
    }

    /// The first end, counted from 0.
    #[must_use]
    pub fn first(self) -> u32 {
        self.first
    }

    /// The last end, counted from 0.
    #[must_use]
    pub fn last(self) -> u32 {
        self.last
    }

    /// How many ends it holds: at least one.
    #[must_use]
    #[expect(clippy::len_without_is_empty, reason = "a span is never empty")]
    pub fn len(self) -> u32 {
        self.last - self.first + 1
    }

    /// Whether `end` lies in it.
    #[must_use]
    pub fn contains(self, end: u32) -> bool {
        (self.first..=self.last).contains(&end)
    }

    /// The end at one of its edges.
    #[must_use]
    pub fn edge(self, side: Side) -> u32 {
        match side {
            Side::Left => self.first,
            Side::Right => self.last,
        }
    }

    /// The ends that both hold.
    #[must_use]
    pub fn common(self, other: Span) -> Option<Span> {
        Span::new(self.first.max(other.first), self.last.min(other.last))
    }

    /// The smallest span that holds both.
    #[must_use]
    pub fn hull(self, other: Span) -> Span {
        Span { first: self.first.min(other.first), last: self.last.max(other.last) }
    }

    /// Its ends from left to right.
    pub fn ends(self) -> impl DoubleEndedIterator<Item = u32> + ExactSizeIterator {
        self.first..self.last + 1
    }

    /// Its ends in the order in which a needle that starts from `from` meets them.
    pub fn travel(self, from: Side) -> impl Iterator<Item = u32> {
        let count = self.len();
        (0..count).map(move |k| match from {
            Side::Left => self.first + k,
            Side::Right => self.last - k,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_needle_from_the_right_meets_the_last_end_first() {
        let span = Span::new(2, 5).unwrap();
        assert_eq!(span.travel(Side::Right).collect::<Vec<_>>(), [5, 4, 3, 2]);
        assert_eq!(span.travel(Side::Left).collect::<Vec<_>>(), [2, 3, 4, 5]);
        assert_eq!(Span::new(3, 2), None);
        assert_eq!(Span::all(0), None);
    }
}
