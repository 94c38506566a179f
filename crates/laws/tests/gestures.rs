//! Laws of gestures: a border that is drawn, one place that goes its own way, a fill whose neighbour makes room.

use fellmark_core::edit::{drawn, gaps, were};
use fellmark_core::plan::{BandId, Edit, Extent, StackEdit, StackList};
use fellmark_core::study::study;
use fellmark_laws::plans;
use fellmark_laws::run::{Case, on_plans, on_texts};
use fellmark_note::apply;
use fellmark_report::read_edit;
use serde_json::json;
use std::cell::Cell;

fn edited(case: &Case, json: &serde_json::Value) -> Result<Case, String> {
    let edit = read_edit(&json.to_string(), &case.plan).map_err(|error| error.to_string())?;
    let new = apply(&case.text, &edit).map_err(|error| format!("{error:?}"))?;
    Case::of(new.clone()).map_err(|error| format!("{error}\n{new}"))
}

/// The lengths of a plan in other units and ways of writing, so that each is met.
fn lengths(tape: &mut plans::Tape<'_>) -> String {
    let other = tape.one_of(&["1.2 cm", "1,2 cm", "1/2 in", "½\\\"", "0.5 inch", "12 mm"]);
    let text = plans::text(tape).replace("length = \"12 mm\"", &format!("length = \"{other}\""));
    let rows = format!("length = \"{other}\"");
    // Bands say how many rows more often than how long they are.
    if tape.once_in(2) { text.replace("\nrows = 7\n", &format!("\n{rows}\n")) } else { text }
}

/// No length with a digit less comes to the same rows.
fn shortest(case: &Case, band: &str, typed: &str, rows: u32) -> Result<(), String> {
    if typed.contains('"') {
        return Ok(());
    }
    let number_end = typed.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(typed.len());
    let (number, unit) = typed.split_at(number_end);
    let (Some((_, decimals)), Ok(value)) = (number.split_once('.'), number.parse::<f64>()) else {
        return Ok(());
    };
    let scale = f64::from(10_u32.pow(decimals.len() as u32 - 1));
    for shorter in [(value * scale).floor() / scale, (value * scale).ceil() / scale] {
        if shorter <= 0.0 {
            continue;
        }
        let other = format!("{shorter}{unit}");
        let text = case.text.replace(&format!("\"{typed}\""), &format!("\"{other}\""));
        let after = Case::of(text)?;
        let now = after.study.piece.places.iter().find(|place| place.name == band).map(|place| place.rows);
        if now == Some(rows) {
            return Err(format!("{typed} has more digits than {other}, which is {rows} rows as well"));
        }
    }
    Ok(())
}

#[test]
fn a_band_has_the_rows_that_its_border_is_drawn_to_in_the_words_it_was_given_in() {
    let (counted, measured, stuck) = (Cell::new(0), Cell::new(0), Cell::new(0));
    on_texts(81, 300, lengths, |case| {
        for (k, place) in case.study.piece.places.iter().enumerate().take(2) {
            for rows in [1, place.rows + 3, place.rows * 2] {
                let extent = case.plan.extent_of(place.band).cloned();
                let asked = drawn(&case.plan, place.band, rows).map_err(|error| format!("{error:?}"))?;
                let json = json!({"edit": "length", "band": place.name, "rows": rows});
                let after = edited(case, &json)?;
                let band = after.plan.bands.iter().position(|band| band.name == place.name).unwrap();
                let now = after.study.piece.places.iter().find(|place| place.band.0 == band).unwrap();
                if now.rows != asked.1 || asked.0 != place.band {
                    return Err(format!(
                        "place {k} has {} rows, asked for {asked:?}:\n{}",
                        now.rows, after.text
                    ));
                }
                let turn = case.plan.rows_in_turn(place.band);
                if now.rows % turn != 0 || now.rows.abs_diff(rows) * 2 > turn.max(2 * (turn - rows.min(turn)))
                {
                    return Err(format!("{rows} rows became {} in turns of {turn}", now.rows));
                }
                match (extent, after.plan.extent_of(BandId(band))) {
                    (Some(Extent::Length(old)), Some(Extent::Length(new))) => {
                        let unit = |typed: &str| {
                            typed
                                .trim_start_matches(|c: char| c.is_numeric() || " .,/".contains(c))
                                .to_owned()
                        };
                        if unit(&old.typed) != unit(&new.typed)
                            || (old.typed.contains(',') && new.typed.contains('.'))
                        {
                            return Err(format!("{} became {}", old.typed, new.typed));
                        }
                        shortest(&after, &place.name, &new.typed, now.rows)?;
                        measured.set(measured.get() + 1);
                    }
                    (Some(Extent::Length(_)), Some(Extent::Rows(_))) => stuck.set(stuck.get() + 1),
                    (_, Some(Extent::Rows(_))) => counted.set(counted.get() + 1),
                    (old, new) => return Err(format!("{old:?} became {new:?}")),
                }
            }
        }
        Ok(())
    });
    assert!(counted.get() > 300 && measured.get() > 60, "{} and {}", counted.get(), measured.get());
    // Rows in one opening have no length of their own; almost all others have.
    assert!(stuck.get() * 10 < measured.get(), "{} lengths became rows", stuck.get());
}

#[test]
fn a_place_that_is_parted_is_a_band_of_its_own_and_the_cloth_is_the_same() {
    let (parted, unrolled) = (Cell::new(0), Cell::new(0));
    on_texts(82, 300, plans::text, |case| {
        let places = &case.study.piece.places;
        for (k, place) in places.iter().enumerate().filter(|(_, place)| place.nth.1 > 1).take(6) {
            let json = json!({"edit": "part", "band": place.name, "place": place.nth.0});
            let after = edited(case, &json)?;
            let piece = &after.study.piece;
            if piece.grid != case.study.piece.grid {
                return Err(format!("{json} changes the cloth:\n{}", after.text));
            }
            let own: Vec<usize> = piece
                .places
                .iter()
                .zip(places)
                .enumerate()
                .filter(|(_, (now, before))| now.name != before.name)
                .map(|(at, _)| at)
                .collect();
            if own != [k] || piece.places.len() != places.len() {
                return Err(format!("{json} parts the places {own:?}, not {k}:\n{}", after.text));
            }
            parted.set(parted.get() + 1);
            unrolled.set(unrolled.get() + usize::from(case.text.contains("times")));
        }
        Ok(())
    });
    assert!(parted.get() > 300 && unrolled.get() > 100, "{} and {}", parted.get(), unrolled.get());
}

#[test]
fn a_fill_gets_the_rows_its_border_is_drawn_to_as_nearly_as_its_neighbour_allows() {
    let text = |above: u32| {
        format!(
            "{}[band.hem]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 6\n\
             [band.tide]\nwefts = [\"foam\", \"slate\"]\nopening = \"over 3, under 2\"\nopposite = true\nlength = \"fill\"\n\
             [band.crest]\nwefts = [\"foam\"]\nweave = \"twill 2/2\"\nrows = {above}\n\
             [piece]\nbands = [\"hem\", \"tide\", \"crest\"]\n",
            plans::head(20, "")
        )
    };
    let rows_of = |case: &Case, band: &str| {
        case.study.piece.places.iter().find(|place| place.name == band).map_or(0, |place| place.rows)
    };
    let case = Case::written(&text(10));
    let filled: Vec<u32> = (1..60).map(|above| rows_of(&Case::written(&text(above)), "tide")).collect();
    for rows in [6, 20, 31, 40, rows_of(&case, "tide")] {
        let json = json!({"edit": "length", "band": "tide", "rows": rows});
        let after = edited(&case, &json).unwrap();
        let nearest = filled.iter().map(|now| now.abs_diff(rows)).min().unwrap();
        let off = rows_of(&after, "tide").abs_diff(rows);
        // As a fill of two wefts it has whole pairs.
        assert!(off <= nearest + 1, "{rows}: off by {off}, not {nearest}\n{}", after.text);
        assert_eq!(rows_of(&after, "hem"), 6);
        assert!(after.text.contains("length = \"fill\""), "{}", after.text);
        assert!(after.text.contains("[band.crest]"), "{}", after.text);
    }
}

/// A line that is carried takes its places with it, and all others keep their order: so each is followed to where it lies.
#[test]
fn each_place_is_followed_where_a_line_is_carried() {
    let (moved, more) = (Cell::new(0), Cell::new(0));
    on_plans(48, 400, |case| {
        let (plan, piece) = (&case.plan, &case.study.piece);
        for line in 0..plan.stack.len() {
            for gap in gaps(plan, piece, StackList::Piece, &[line]) {
                let edit =
                    Edit::Stack(StackList::Piece, StackEdit::Move { from: vec![line], to: gap.to.clone() });
                let Ok(after) = edit.apply(plan) else { continue };
                let Ok(now) = study(&after) else { continue };
                let Some(were) =
                    were((plan, piece), (&after, &now.piece), StackList::Piece, &[line], &gap.to)
                else {
                    return Err(format!("{line} to {:?}: not told", gap.to));
                };
                if were.len() != now.piece.places.len() {
                    return Err("another number of places".into());
                }
                let known: Vec<usize> = were.iter().flatten().map(|place| place.0).collect();
                let mut all = known.clone();
                all.sort_unstable();
                if all != (0..piece.places.len()).collect::<Vec<_>>() {
                    return Err(format!("{line} to {:?}: {were:?}", gap.to));
                }
                // What was woven of the line comes up together: at the top level its places lie side by side.
                if gap.to.len() == 1 {
                    let steps = known.windows(2).filter(|pair| pair[1] != pair[0] + 1).count();
                    if steps > 3 {
                        return Err(format!("{line} to {:?}: {were:?}", gap.to));
                    }
                }
                for (place, was) in now.piece.places.iter().zip(&were) {
                    if was.is_some_and(|was| piece.places[was.0].name != place.name) {
                        return Err(format!("{line} to {:?}: another band", gap.to));
                    }
                }
                moved.set(moved.get() + usize::from(known != (0..piece.places.len()).collect::<Vec<_>>()));
                more.set(more.get() + usize::from(were.iter().any(Option::is_none)));
            }
        }
        Ok(())
    });
    assert!(moved.get() > 300 && more.get() > 20, "{} moved, {} woven more often", moved.get(), more.get());
}
