//! What a piece takes of yarn, in words.

use super::{Units, about};
use crate::need::{Needleful, Parts, YarnNeed};
use crate::piece::Piece;
use crate::quantity::{Estimate, Mm, Typed};
use crate::yarn::Price;

/// The parts of a weft's yarn by name, each with what it rests on: the model, or a habit.
#[must_use]
pub fn parts(parts: &Parts<Estimate<Mm>>) -> [(&'static str, Estimate<Mm>); 8] {
    [
        ("rows", parts.rows),
        ("rows that are not level", parts.rises),
        ("turns", parts.turns),
        ("carries", parts.carries),
        ("slack laid in", parts.slack),
        ("tails", parts.tails),
        ("joins", parts.joins),
        ("left on the needle", parts.rests),
    ]
}

/// All that one yarn goes into by name: the warp, the weft's parts, the header.
#[must_use]
pub fn goes_into(need: &YarnNeed) -> Vec<(&'static str, Estimate<Mm>)> {
    let weft = if need.weft.likely > Mm::ZERO { parts(&need.parts).to_vec() } else { Vec::new() };
    let warp = [("warp, with its ties", need.warp)];
    let header = [("header, comes out again", need.header)];
    let all = warp.into_iter().chain(weft).chain(header);
    all.filter(|(_, estimate)| estimate.high > Mm::ZERO).collect()
}

/// What a figure rests on.
#[must_use]
pub fn rests_on(estimate: &Estimate<Mm>) -> &'static str {
    match (estimate.basis.model, estimate.basis.habit, estimate.basis.measured) {
        (_, _, true) => "measured",
        (true, true, false) => "model and habit",
        (true, false, false) => "model",
        (false, true, false) => "habit",
        (false, false, false) => "exact",
    }
}

/// The needlefuls of one weft: how long to cut each, its rows, and where it joins.
#[must_use]
pub fn needlefuls(all: &[Needleful], piece: &Piece, units: Units) -> Vec<String> {
    all.iter()
        .map(|needleful| {
            let strands = f64::from(piece.wefts[needleful.weft.0].strands);
            let cut = super::cut(needleful.length * strands, units);
            let doubled = if strands > 1.0 { ", to lie double" } else { "" };
            let rows = match (needleful.from_row, needleful.to_row) {
                (a, b) if a == b => format!("row {}", a + 1),
                (a, b) => format!("rows {} to {}", a + 1, b + 1),
            };
            let begins = match needleful.join {
                Some(join) => format!(
                    "joins in row {} over {}",
                    join.row + 1,
                    super::ends(join.ends.first(), join.ends.last())
                ),
                None => "begins with a tail".into(),
            };
            format!("{cut}{doubled}: {rows}; {begins}")
        })
        .collect()
}

/// What a piece takes of one yarn, warp and weft together: "Foam: about 9 m (8 to 11), about 12 g", and what that costs
/// where its price is known: "about 1.20 EUR".
#[must_use]
pub fn takes(need: &YarnNeed, piece: &Piece, units: Units) -> String {
    let name = super::sentence(super::yarn(piece, need.yarn));
    let price = piece.yarns[need.yarn.0].price.as_ref();
    let cost = need
        .cost
        .zip(price)
        .map_or(String::new(), |(cost, price)| format!(", about {}", money(cost.likely, price)));
    format!("{name}: {}, about {}{cost}", about(need.total, units), super::mass(need.mass.likely, units))
}

/// An amount of money, with its currency where the weaver writes it: "£1.63", "1.63 EUR".
fn money(amount: f64, price: &Typed<Price>) -> String {
    let currency = &price.value.currency;
    let sign = !currency.chars().any(char::is_alphabetic);
    match (price.typed.trim_start().starts_with(currency.as_str()), sign) {
        (true, true) => format!("{currency}{amount:.2}"),
        (true, false) => format!("{currency} {amount:.2}"),
        (false, _) => format!("{amount:.2} {currency}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_is_written_as_the_weaver_writes_it() {
        let told = |typed: &str| money(1.634, &Typed::new(Price::parse(typed).unwrap(), typed));
        assert_eq!(told("£5 per 50 m"), "£1.63");
        assert_eq!(told("12 € / kg"), "1.63 €");
        assert_eq!(told("EUR 5 per 50 g"), "EUR 1.63");
        assert_eq!(told("4.90 EUR per 50 g"), "1.63 EUR");
    }
}
