//! Where the cloth is measured while weaving: every few centimetres, over the whole width, best after a plain row, and
//! never where nothing follows from it (common practice, no source). What is to be left open up to the far bar: what all
//! that is still to come takes, and what a needle can't reach.

use fellmark_core::piece::Resolved;
use fellmark_core::plan::Edit;
use fellmark_core::quantity::Mm;
use fellmark_core::ruler::{choices, measured_before};
use fellmark_core::side::{Side, Span};
use fellmark_core::study::{Study, study};
use fellmark_core::walk::{Room, Step};
use fellmark_core::weaving::Woven;
use fellmark_laws::plans::{self, Tape};
use fellmark_laws::run::{Case, on_plans, on_texts};

/// How high the fell lies when so many rows are woven.
fn fell(study: &Study, rows: u32) -> f64 {
    study.piece.rows[..rows as usize].iter().map(|row| row.height.mm()).fold(0.0, f64::max)
}

fn is_plain(study: &Study, row: u32) -> bool {
    study.piece.crossings(row).runs(Side::Left).all(|run| run.ends == 1)
}

#[test]
fn it_is_measured_every_few_centimetres_over_the_whole_width() {
    let measured = std::cell::Cell::new(0_usize);
    on_plans(61, 1500, |case| {
        let study = &case.study;
        let piece = &study.piece;
        let spans = (0..piece.row_count()).map(|row| piece.crossings(row).span());
        let whole = spans.reduce(Span::hull).ok_or("no row")?;
        let rows = measured_before(piece);
        if whole.len() == 1 {
            // A single end has no width to lose.
            return if rows.is_empty() { Ok(()) } else { Err("a single end is measured".into()) };
        }
        measured.set(measured.get() + rows.len());
        let top = fell(study, piece.row_count());
        let is_whole = |row: &u32| piece.crossings(row - 1).span() == whole;
        // First about 1.5 cm up, and from there every 4 cm, each a quarter more or less.
        let (mut last, mut on) = (0.0, 15.0);
        for &row in &rows {
            let here = fell(study, row);
            if !is_whole(&row) || here - last < on * 0.75 - 1e-9 || top - here < 20.0 - 1e-9 {
                return Err(format!("measured before row {} at {here} of {top} mm", row + 1));
            }
            // A better place near by would have been taken.
            let near = |row: &u32| (last + on * 0.75..=last + on * 1.25).contains(&fell(study, *row));
            let mut others = (1..piece.row_count()).filter(near).filter(is_whole);
            let useful = |row: &u32| top - fell(study, *row) >= 20.0;
            if !is_plain(study, row - 1) && others.any(|row| useful(&row) && is_plain(study, row - 1)) {
                return Err(format!("a plain row near row {} would be better", row + 1));
            }
            (last, on) = (here, 40.0);
        }
        // And it is not forgotten.
        let forgotten = (1..piece.row_count()).filter(is_whole).find(|row| {
            let here = fell(study, *row);
            here - last > on * 1.25 + 1.0 && top - here >= 20.0
        });
        forgotten
            .map_or(Ok(()), |row| Err(format!("never measured past {last} mm, as before row {}", row + 1)))
    });
    assert!(measured.get() > 60, "only {} measured", measured.get());
}

#[test]
fn what_is_measured_is_the_size_on_the_loom_so_far_and_leaves_nothing_in_a_row_as_woven() {
    on_plans(62, 300, |case| {
        let study = &case.study;
        let rows = measured_before(&study.piece);
        for (row, walk) in (0_u32..).zip(&study.walk.rows) {
            let widths: Vec<_> = walk
                .before
                .iter()
                .filter_map(|step| match step {
                    Step::Measure { width, .. } => Some(*width),
                    _ => None,
                })
                .collect();
            let expected: &[_] = if rows.contains(&row) { &[study.size.on_loom.width] } else { &[] };
            if widths != expected || widths.len() == 1 && !matches!(walk.before[0], Step::Measure { .. }) {
                return Err(format!("before row {}: {:?}", row + 1, walk.before));
            }
            if let Some(Step::Measure { height, reach, .. }) = walk.before.first() {
                // As high as the piece is that ends there, and as uncertain as the whole.
                let so_far = study.piece.up_to(row).ok_or("no row")?.height(&study.habits);
                let whole = study.size.on_loom.length;
                let spread = |end: Mm| (end * (so_far / whole.likely)).mm();
                let off = [
                    height.likely.mm() - so_far.mm(),
                    height.low.mm() - spread(whole.low),
                    height.high.mm() - spread(whole.high),
                ];
                let beyond = height.high.mm() > study.piece.reach().mm() + 1e-3;
                if off.iter().any(|off| off.abs() > 1e-6) || reach.is_some() != beyond {
                    return Err(format!("{height:?}, {reach:?} before row {}", row + 1));
                }
            }
        }
        let mut unmeasured = study.walk.clone();
        for row in &mut unmeasured.rows {
            row.before.retain(|step| !matches!(step, Step::Measure { .. } | Step::Room(_)));
        }
        let woven = |walk| -> Vec<_> {
            (0..study.piece.row_count()).map(|row| Woven::of(&study.piece, walk, row)).collect()
        };
        if woven(&unmeasured) == woven(&study.walk) { Ok(()) } else { Err("another row as woven".into()) }
    });
}

#[test]
fn it_is_measured_at_the_same_places_from_the_back_and_in_a_mirror() {
    on_plans(63, 300, |case| {
        let study = &case.study;
        let here = measured_before(&study.piece);
        for there in [study.turned(), study.mirrored()] {
            let off = |a: Mm, b: Mm| (a - b).mm().abs() > 1e-6;
            let (width, seen) = (study.size.on_loom.width, there.size.on_loom.width);
            if measured_before(&there.piece) != here
                || off(width.likely, seen.likely)
                || off(width.low, seen.low)
                || off(width.high, seen.high)
            {
                return Err(format!("{here:?}, {width:?}, {seen:?}"));
            }
        }
        Ok(())
    });
    on_texts(66, 150, tall, |case| {
        let here = room(&case.study);
        for there in [case.study.turned(), case.study.mirrored()].map(|study| room(&study)) {
            let alike = match (here, there) {
                (Some((a, here)), Some((b, there))) => {
                    let off = (here.needed.likely - there.needed.likely).mm().abs();
                    (a, here.place, here.to_come) == (b, there.place, there.to_come) && off < 1e-6
                }
                (here, there) => here == there,
            };
            if !alike {
                return Err(format!("{here:?}, {there:?}"));
            }
        }
        Ok(())
    });
}

/// A random plan that comes near the far bar: a band fills what the others leave, or is tall.
fn tall(tape: &mut Tape<'_>) -> String {
    let length = tape.one_of(&["fill", "fill", "14 cm", "18 cm"]);
    let wefts = tape.one_of(&["\"slate\"", "\"slate\", \"foam\""]);
    let bands = format!(
        "[band.hem]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 4\n\
         [band.surge]\nwefts = [{wefts}]\nweave = \"plain\"\nlength = \"{length}\"\n"
    );
    let text = plans::text(tape);
    text.replacen("[piece]\nbands = [", &format!("{bands}[piece]\nbands = [\"hem\", \"surge\", "), 1)
}

/// The row before which room is asked for, from 0, and what is said of it.
fn room(study: &Study) -> Option<(u32, Room)> {
    let mut all =
        (0..).zip(&study.walk.rows).flat_map(|(row, walk)| walk.before.iter().map(move |step| (row, step)));
    all.find_map(|(row, step)| if let Step::Room(room) = step { Some((row, *room)) } else { None })
}

#[test]
fn what_must_be_open_up_to_the_far_bar_is_what_is_to_come_and_what_a_needle_does_not_reach() {
    let (fills, may_not_fit) = (std::cell::Cell::new(0), std::cell::Cell::new(0));
    on_texts(64, 400, tall, |case| {
        let study = &case.study;
        let piece = &study.piece;
        let filling = piece.resolved.iter().find_map(|resolved| match resolved {
            Resolved::Fill { band, rows, .. } if *rows > 0 => Some(*band),
            _ => None,
        });
        let too_tall = study.size.on_loom.length.high > piece.reach() + Mm::new(1e-3);
        let Some((row, room)) = room(study) else {
            // A band that fills is asked of wherever something is woven below its last rows.
            let on = filling.and_then(|band| piece.places.iter().find(|place| place.band == band));
            return match on {
                Some(place) if place.first_row > 0 => Err("a band that fills is not asked of".into()),
                _ => Ok(()),
            };
        };
        let place = &piece.places[room.place.0];
        match filling {
            Some(band) if place.band != band => return Err("another band than the one that fills".into()),
            Some(_) => fills.set(fills.get() + 1),
            None if !too_tall || place.nth.1 != 1 => return Err("nobody needs to ask".into()),
            None => may_not_fit.set(may_not_fit.get() + 1),
        }
        let height = |rows: u32| piece.up_to(rows).map_or(0.0, |piece| piece.height(&study.habits).mm());
        let beyond = (piece.loom.clear_height.value - piece.loom.reach()).mm();
        let (all, top) = (height(piece.row_count()), height(place.row_range().end));
        let whole = study.size.on_loom.length;
        let below = (whole.high - whole.likely).mm().max(20.0);
        let off = [
            room.needed.likely.mm() - (all - height(row) + beyond),
            room.left.likely.mm() - (all - top + beyond),
            f64::from(room.to_come) - f64::from(place.row_range().end - row),
        ];
        if off.iter().any(|off| off.abs() > 1e-6) || top - height(row) > below + 1e-6 {
            return Err(format!("{room:?} before row {}", row + 1));
        }
        // What is needed lies below the bar if the piece does.
        let open = piece.loom.clear_height.value.mm() - piece.foot().mm() - height(row);
        if all <= piece.reach().mm() && room.needed.likely.mm() > open + 1e-6 {
            return Err(format!("{room:?} is more than the {open} mm that are open"));
        }
        // How many rows fill it is decided where the fell is highest, which on two or three ends is some mm.
        let hump = (study.cloth.highest().mm() - all).max(0.0);
        if filling.is_some() && room.needed.likely.mm() + hump + room.turn_height.mm() * 1.5 + 5.0 < open {
            return Err(format!("{room:?} leaves another turn free of {open} mm"));
        }
        Ok(())
    });
    assert!(
        fills.get() > 100 && may_not_fit.get() > 5,
        "{} fill, {} may not fit",
        fills.get(),
        may_not_fit.get()
    );
}

#[test]
fn another_number_of_rows_changes_none_that_is_woven_and_takes_the_room_that_is_said() {
    let tried = std::cell::Cell::new(0);
    on_texts(65, 120, tall, |case| {
        let now = &case.study;
        let Some((row, room)) = room(now) else { return Ok(()) };
        let place = &now.piece.places[room.place.0];
        for choice in choices(&room, &now.piece) {
            if choice.rows <= place.rows - room.to_come {
                return Err(format!("{choice:?} takes rows away that are woven"));
            }
            let changed =
                Edit::BandRows(place.band, choice.rows).apply(&case.plan).map_err(|e| format!("{e:?}"))?;
            let Ok(then) = study(&changed) else { continue };
            let woven = |study: &Study| {
                (0..row).map(|row| Woven::of(&study.piece, &study.walk, row)).collect::<Vec<_>>()
            };
            // Bands that are as long as this one, or like it, may lie below it.
            let alone = now.piece.places.iter().filter(|other| other.rows == place.rows).count() == 1;
            if alone && woven(now) != woven(&then) {
                return Err(format!("{choice:?} changes rows below row {}", row + 1));
            }
            if choice.rows == place.rows && (choice.open.mm() - room.needed.likely.mm()).abs() > 1e-9 {
                return Err(format!("{choice:?} of {room:?}"));
            }
            tried.set(tried.get() + 1);
        }
        Ok(())
    });
    assert!(tried.get() > 300, "only {} tried", tried.get());
}

#[test]
fn a_piece_too_short_to_mend_its_width_is_not_measured() {
    let case = Case::written(include_str!("../../../examples/sandpiper-earrings.toml"));
    let short = case.study.up_to(20).unwrap();
    assert!(fell(&short, 20) < 30.0);
    assert_eq!(measured_before(&short.piece), [] as [u32; 0]);
    // Of the whole one enough is left to weave.
    assert_eq!(measured_before(&case.study.piece).len(), 1);
}
