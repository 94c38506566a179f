//! Holds what a reader wove against the piece and its walk.

use crate::cloth::{Cloth, Lies, Link, Part};
use crate::reader::Reading;
use fellmark_core::piece::Piece;
use fellmark_core::side::{Pass, Side};
use fellmark_core::study::Study;
use fellmark_core::walk::{Grip, TurnState, Walk};

/// The rows, yarns, turns and links are those of the piece and its walk.
///
/// # Errors
/// Says what differs.
pub fn same_cloth(cloth: &Cloth, study: &Study) -> Result<(), String> {
    same_rows(cloth, &study.piece)?;
    same_yarns(cloth, &study.walk)?;
    for row in 0..cloth.rows.len() {
        same_turn(cloth, &study.walk, row).map_err(|differs| format!("row {}: {differs}", row + 1))?;
    }
    Ok(())
}

/// Only the sides, ranges and crossings.
///
/// # Errors
/// Says what differs.
pub fn same_rows(cloth: &Cloth, piece: &Piece) -> Result<(), String> {
    if cloth.rows.len() != piece.rows.len() {
        return Err(format!("{} rows of {}", cloth.rows.len(), piece.rows.len()));
    }
    for (number, (woven, row)) in (0_u32..).zip(cloth.rows.iter().zip(&piece.rows)) {
        let crossings = piece.crossings(number);
        let over: Vec<bool> = crossings.span().ends().filter_map(|end| crossings.over(end)).collect();
        let same = woven.weft == piece.wefts[row.weft.0].name
            && woven.from == row.from
            && woven.span == crossings.span()
            && woven.over == over;
        if !same {
            return Err(format!("row {}: {woven:?} is not {row:?} {over:?}", number + 1));
        }
    }
    Ok(())
}

fn same_yarns(cloth: &Cloth, walk: &Walk) -> Result<(), String> {
    let mut since = vec![None; cloth.rows.len()];
    let mut cut = vec![false; cloth.rows.len()];
    for stretch in &walk.stretches {
        for pair in stretch.rows.windows(2) {
            since[pair[1] as usize] = Some(pair[0] as usize);
        }
        if let Some(last) = stretch.rows.last() {
            cut[*last as usize] = true;
        }
    }
    for (row, woven) in cloth.rows.iter().enumerate() {
        if (woven.since, woven.cut) != (since[row], cut[row]) {
            return Err(format!("row {}: its yarn goes on otherwise", row + 1));
        }
    }
    Ok(())
}

fn same_turn(cloth: &Cloth, walk: &Walk, row: usize) -> Result<(), String> {
    let links: Vec<&Link> = cloth.links.iter().filter(|link| link.row == row).collect();
    let Some(turn) = &walk.rows[row].turn else {
        let none = cloth.rows[row].since.is_none() && links.is_empty();
        return if none { Ok(()) } else { Err("a turn that the walk does not know".into()) };
    };
    let lies = match turn.state {
        TurnState::Caught => Lies::Caught,
        TurnState::LooseAtEdge { slips_to } => Lies::SlipsTo(slips_to),
        TurnState::LooseEverywhere => Lies::Everywhere,
    };
    if cloth.lies(row) != Some(lies) || cloth.edge(row) != Some(turn.end) {
        return Err(format!("lies {:?}, the walk says {lies:?}", cloth.lies(row)));
    }
    if cloth.rows[row].since != Some(turn.since as usize) || cloth.rows[row].from != turn.side {
        return Err("another turn".into());
    }
    if lies == Lies::Caught {
        return if links.is_empty() { Ok(()) } else { Err("a caught turn is crossed".into()) };
    }
    match turn.held {
        None if cloth.is_held(row) => Err("held, the walk says nothing holds it".into()),
        None if !cloth.holders(row).is_empty() => {
            Err(format!("{:?} could hold it, the walk says nothing", cloth.holders(row)))
        }
        None => Ok(()),
        Some(hold) if hold.made_here => {
            let expected = Link {
                row,
                since: turn.since as usize,
                other: hold.row as usize,
                part: match hold.grip {
                    Grip::Yarn => Part::Yarn,
                    Grip::StartingTail => Part::StartingTail,
                    Grip::EndingTail => Part::EndingTail,
                },
                in_front: hold.pass == Pass::Over,
            };
            if links == [&expected] { Ok(()) } else { Err(format!("{links:?} is not {expected:?}")) }
        }
        Some(hold) => {
            let partner =
                cloth.links.iter().rfind(|link| link.other == turn.since as usize && link.row < row);
            let same = partner.is_some_and(|link| link.since == hold.row as usize);
            if same && links.is_empty() && cloth.is_held(row) {
                Ok(())
            } else {
                Err("held by another".into())
            }
        }
    }
}

/// What is said under the rows and in the headings is what the rows are like.
///
/// # Errors
/// Says which words are wrong.
pub fn same_remarks(reading: &Reading, study: &Study) -> Result<(), String> {
    let (cloth, walk) = (&reading.cloth, &study.walk);
    let open: Vec<usize> = (0..cloth.rows.len())
        .filter(|row| cloth.lies(*row).is_some_and(|lies| lies != Lies::Caught) && !cloth.is_held(*row))
        .collect();
    if open != reading.unheld {
        return Err(format!("loose: {open:?}, said of {:?}", reading.unheld));
    }
    if reading.headings.len() != study.piece.places.len() {
        return Err("not one heading for each band".into());
    }
    for (heading, place) in reading.headings.iter().zip(&study.piece.places) {
        let range = place.row_range();
        if heading.rows != (range.start as usize, range.end as usize - 1) {
            return Err(format!("{heading:?} has other rows"));
        }
        for side in Side::BOTH {
            let said = heading.edges[usize::from(side == Side::Right)].as_deref();
            let turns: Vec<usize> = (heading.rows.0..=heading.rows.1)
                .filter(|row| cloth.rows[*row].from == side && walk.rows[*row].turn.is_some())
                .collect();
            let expected = expected_heading(reading, &turns);
            if said.map(str::to_owned) != expected {
                return Err(format!("{heading:?}, expected at {side:?}: {expected:?}"));
            }
        }
    }
    Ok(())
}

fn expected_heading(reading: &Reading, turns: &[usize]) -> Option<String> {
    let cloth = &reading.cloth;
    if turns.is_empty() {
        return None;
    }
    if turns.iter().any(|row| reading.unheld.contains(row)) {
        return Some("some turns are loose".into());
    }
    if turns.iter().all(|row| cloth.lies(*row) == Some(Lies::Caught)) {
        return Some("each turn wraps the edge end".into());
    }
    let pairs: Vec<(&str, &str, bool)> = cloth
        .links
        .iter()
        .filter(|link| turns.contains(&link.row))
        .map(|link| {
            let name = |row: usize| cloth.rows[row].weft.as_str();
            (name(link.row), name(link.other), link.in_front)
        })
        .collect();
    match pairs.first() {
        Some(first) if pairs.iter().all(|pair| pair == first) => {
            Some(format!("{} {} {}", first.0, if first.2 { "under" } else { "over" }, first.1))
        }
        _ => Some("cross as each row says".into()),
    }
}
