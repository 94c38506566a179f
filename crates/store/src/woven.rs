//! A row as it was woven, in a few bytes.
//!
//! ```text
//! row    = 1 (the form) weft yarn strands side first length bits acts acts
//! name   = number of bytes, UTF-8
//! side   = 0 left, 1 right           pass = 0 under, 1 over
//! bits   = one for each end from the left, the lowest bit of a byte first; 1 is over
//! acts   = number of acts, act ...
//! act    = 0 side (begin) | 1 pass name side (cross) | 2 side rows (carry) | 3 side (cut)
//! number = LEB128
//! ```

use fellmark_core::plan::bounds;
use fellmark_core::side::{Pass, Side, Span};
use fellmark_core::weaving::{Act, Opening, Woven};

const FORM: u8 = 1;

/// The bytes of a row.
pub(crate) fn write(woven: &Woven) -> Vec<u8> {
    let mut to = vec![FORM];
    name(&mut to, &woven.weft);
    name(&mut to, &woven.yarn);
    number(&mut to, woven.strands);
    to.push(side(woven.from));
    let span = woven.opening.span();
    number(&mut to, span.first());
    number(&mut to, span.len());
    let mut bits = vec![0_u8; span.len().div_ceil(8) as usize];
    for (k, pass) in woven.opening.passes().enumerate() {
        bits[k / 8] |= u8::from(pass.is_over()) << (k % 8);
    }
    to.extend(bits);
    acts(&mut to, &woven.before);
    acts(&mut to, &woven.after);
    to
}

fn name(to: &mut Vec<u8>, name: &str) {
    // No name is as long as a plan may be.
    number(to, u32::try_from(name.len()).unwrap_or(u32::MAX));
    to.extend(name.as_bytes());
}

fn number(to: &mut Vec<u8>, mut number: u32) {
    while number >= 0x80 {
        to.push(number as u8 | 0x80);
        number >>= 7;
    }
    to.push(number as u8);
}

fn side(side: Side) -> u8 {
    u8::from(side == Side::Right)
}

fn acts(to: &mut Vec<u8>, acts: &[Act]) {
    number(to, u32::try_from(acts.len()).unwrap_or(u32::MAX));
    for act in acts {
        match act {
            Act::Begin { side: at } => to.extend([0, side(*at)]),
            Act::Cross { pass, other, side: at } => {
                to.extend([1, u8::from(pass.is_over())]);
                name(to, other);
                to.push(side(*at));
            }
            Act::Carry { side: at, past } => {
                to.extend([2, side(*at)]);
                number(to, *past);
            }
            Act::Cut { side: at } => to.extend([3, side(*at)]),
        }
    }
}

/// Reads what [`write()`] wrote; `None` if these bytes are no row.
pub(crate) fn read(bytes: &[u8]) -> Option<Woven> {
    let mut from = From { bytes };
    if from.byte()? != FORM {
        return None;
    }
    let (weft, yarn, strands, side) = (from.name()?, from.name()?, from.number()?, from.side()?);
    let (first, length) = (from.number()?, from.number()?);
    let last = first.checked_add(length.checked_sub(1)?)?;
    if last >= bounds::ENDS {
        return None;
    }
    let span = Span::new(first, last)?;
    let bits = from.take(length.div_ceil(8) as usize)?;
    let over = |end: u32| {
        let k = (end - first) as usize;
        bits.get(k / 8).is_some_and(|byte| byte >> (k % 8) & 1 == 1)
    };
    let opening = Opening::new(span, over);
    let woven = Woven { weft, yarn, strands, from: side, opening, before: from.acts()?, after: from.acts()? };
    from.bytes.is_empty().then_some(woven)
}

struct From<'a> {
    bytes: &'a [u8],
}

impl<'a> From<'a> {
    fn take(&mut self, count: usize) -> Option<&'a [u8]> {
        let (taken, rest) = self.bytes.split_at_checked(count)?;
        self.bytes = rest;
        Some(taken)
    }

    fn byte(&mut self) -> Option<u8> {
        self.take(1)?.first().copied()
    }

    fn number(&mut self) -> Option<u32> {
        let mut number = 0_u64;
        for shift in [0, 7, 14, 21, 28] {
            let byte = self.byte()?;
            number |= u64::from(byte & 0x7f) << shift;
            if byte & 0x80 == 0 {
                return u32::try_from(number).ok();
            }
        }
        None
    }

    fn name(&mut self) -> Option<String> {
        let length = self.number()? as usize;
        String::from_utf8(self.take(length)?.to_owned()).ok()
    }

    fn side(&mut self) -> Option<Side> {
        Side::BOTH.get(usize::from(self.byte()?)).copied()
    }

    fn acts(&mut self) -> Option<Vec<Act>> {
        let count = self.number()?;
        // Each act takes two bytes at least, so a wrong count ends with the bytes.
        (0..count).map(|_| self.act()).collect()
    }

    fn act(&mut self) -> Option<Act> {
        Some(match self.byte()? {
            0 => Act::Begin { side: self.side()? },
            1 => {
                let pass = [Pass::Under, Pass::Over].get(usize::from(self.byte()?)).copied()?;
                Act::Cross { pass, other: self.name()?, side: self.side()? }
            }
            2 => Act::Carry { side: self.side()?, past: self.number()? },
            3 => Act::Cut { side: self.side()? },
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sides() -> impl Strategy<Value = Side> {
        prop_oneof![Just(Side::Left), Just(Side::Right)]
    }

    fn an_act() -> impl Strategy<Value = Act> {
        prop_oneof![
            sides().prop_map(|side| Act::Begin { side }),
            (any::<bool>(), "[a-zø-]{0,9}", sides()).prop_map(|(over, other, side)| Act::Cross {
                pass: Pass::from_bit(over),
                other,
                side
            }),
            (sides(), any::<u32>()).prop_map(|(side, past)| Act::Carry { side, past }),
            sides().prop_map(|side| Act::Cut { side }),
        ]
    }

    prop_compose! {
        fn a_row()(
            (weft, yarn) in ("[a-zø-]{0,12}", "\\PC{0,12}"),
            strands in any::<u32>(),
            from in sides(),
            first in 0_u32..4000,
            over in prop::collection::vec(any::<bool>(), 1..96),
            before in prop::collection::vec(an_act(), 0..4),
            after in prop::collection::vec(an_act(), 0..4),
        ) -> Woven {
            let span = Span::new(first, first + over.len() as u32 - 1).unwrap();
            let opening = Opening::new(span, |end| over[(end - first) as usize]);
            Woven { weft, yarn, strands, from, opening, before, after }
        }
    }

    proptest! {
        #[test]
        fn a_row_is_read_as_it_was_written(row in a_row(), cut in any::<prop::sample::Index>()) {
            let bytes = write(&row);
            prop_assert_eq!(read(&bytes), Some(row));
            prop_assert_eq!(read(&bytes[..cut.index(bytes.len())]), None);
            let longer = [bytes.as_slice(), &[0]].concat();
            prop_assert_eq!(read(&longer), None);
        }

        #[test]
        fn any_bytes_are_a_row_or_none(mut bytes in prop::collection::vec(any::<u8>(), 0..60)) {
            if let Some(form) = bytes.first_mut() {
                *form = FORM;
            }
            if let Some(row) = read(&bytes) {
                prop_assert_eq!(read(&write(&row)), Some(row));
            }
        }
    }

    #[test]
    fn a_row_takes_a_few_bytes() {
        let span = Span::all(24).unwrap();
        let row = Woven {
            weft: "slate".into(),
            yarn: "slate".into(),
            strands: 1,
            from: Side::Right,
            opening: Opening::new(span, |end| end % 8 < 5),
            before: vec![Act::Cross { pass: Pass::Under, other: "foam".into(), side: Side::Right }],
            after: vec![],
        };
        // Kept: rows of this form stand in files for ever.
        let kept = [
            1, 5, b's', b'l', b'a', b't', b'e', 5, b's', b'l', b'a', b't', b'e', 1, 1, 0, 24, 0x1f, 0x1f,
            0x1f, 1, 1, 0, 4, b'f', b'o', b'a', b'm', 1, 0,
        ];
        assert_eq!(write(&row), kept);
        assert_eq!(read(&kept), Some(row));
    }
}
