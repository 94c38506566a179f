//! A piece that was changed in rows that are on a loom, in words. Rows count from 1.

/// What is so: the rows that the piece would have otherwise, or none where its plan can't be read.
#[must_use]
pub fn changed_below(rows: &[u32]) -> String {
    if rows.is_empty() {
        return "The piece's plan can't be read as it is now. This weaving goes on as it was begun."
            .to_owned();
    }
    format!(
        "The piece has been changed in rows that are woven ({}). This weaving goes on as it was begun, unless you \
         choose otherwise.",
        stretches(rows)
    )
}

/// The way on with the piece as it is now, over the rows that come out for it, the last one first; `None`: there are
/// none.
#[must_use]
pub fn take_out(unpick: &[u32]) -> Option<String> {
    let (last, lowest) = (unpick.first()?, unpick.last()?);
    let rows = if last == lowest { format!("row {lowest}") } else { format!("rows {last} to {lowest}") };
    Some(format!("take out {rows}, and weave on as the piece is now"))
}

/// The way on where the change becomes another piece.
#[must_use]
pub fn part() -> &'static str {
    "make what it has become a piece of its own, and leave this one as it is on the loom"
}

/// "3 to 6, 9".
fn stretches(rows: &[u32]) -> String {
    let mut rows = rows.to_vec();
    rows.sort_unstable();
    let mut found: Vec<(u32, u32)> = Vec::new();
    for row in rows {
        match found.last_mut() {
            Some((_, last)) if row - *last <= 1 => *last = row,
            _ => found.push((row, row)),
        }
    }
    let told: Vec<String> = found
        .iter()
        .map(|(first, last)| if first == last { first.to_string() } else { format!("{first} to {last}") })
        .collect();
    told.join(", ")
}

#[cfg(test)]
mod tests {
    use super::{changed_below, stretches, take_out};

    #[test]
    fn rows_beside_each_other_are_one_stretch() {
        assert_eq!(stretches(&[9, 3, 4, 5, 6]), "3 to 6, 9");
        assert_eq!(stretches(&[2]), "2");
        assert!(changed_below(&[5, 6]).contains("(5 to 6)"));
        assert_eq!(take_out(&[6, 5]).unwrap(), "take out rows 6 to 5, and weave on as the piece is now");
        assert_eq!(take_out(&[8]).unwrap(), "take out row 8, and weave on as the piece is now");
        assert_eq!(take_out(&[]), None);
    }
}
