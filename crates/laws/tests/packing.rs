//! How rows pack and what the faces show: closed forms of the cloth model, facts of the trade, and laws on
//! random plans.

use fellmark_core::cloth::measures::Threads;
use fellmark_core::cloth::{Across, Seen, Shows};
use fellmark_core::math;
use fellmark_core::peirce;
use fellmark_core::quantity::Mm;
use fellmark_core::side::{Span, Surface};
use fellmark_core::sound::Kind;
use fellmark_laws::run::{Case, on_plans};

/// A warp of reed, linen of 1 mm, and wefts slate and foam of as many mm and this fibre, at this pitch.
fn plan(pitch: f64, ends: u32, weft: (f64, &str), bands: &str, habits: &str) -> Case {
    let (thick, fibre) = weft;
    let wraps = 10.0 / thick;
    Case::written(&format!(
        "schema = 1\nname = \"Trial\"\nedges = \"crossed\"\n[loom]\nnotches = 60\npitch = \"{pitch} mm\"\n\
         turn-to-turn = \"34 cm\"\nclear-height = \"32 cm\"\n\
         [yarn.reed]\ncolour = \"#a88b4c\"\nsize = \"10 wraps per cm\"\nfibre = \"linen\"\n\
         [yarn.slate]\ncolour = \"#2d6f73\"\nsize = \"{wraps} wraps per cm\"\nfibre = \"{fibre}\"\n\
         [yarn.foam]\ncolour = \"#e3e9de\"\nsize = \"{wraps} wraps per cm\"\nfibre = \"{fibre}\"\n\
         [warp]\nends = {ends}\norder = [\"1 reed\"]\n{bands}[habits]\n{habits}\n"
    ))
}

fn plain(wefts: &str, rows: u32) -> String {
    format!("[band.tide]\nwefts = [{wefts}]\nweave = \"plain\"\nrows = {rows}\n[piece]\nbands = [\"tide\"]\n")
}

fn columns(opening: &str, rows: u32) -> String {
    format!(
        "[band.tide]\nwefts = [\"slate\", \"foam\"]\nopening = \"{opening}\"\nopposite = true\nrows = {rows}\n\
         [piece]\nbands = [\"tide\"]\n"
    )
}

#[track_caller]
fn near(is: f64, expected: f64) {
    assert!((is - expected).abs() <= 1e-4 * expected.abs().max(1.0), "{is}, not {expected}");
}

/// How far rows `a` and `b` lie apart, which must be the same on an end and in a gap.
#[track_caller]
fn apart(case: &Case, a: u32, b: u32) -> f64 {
    let at = |row, place| case.study.cloth.row(row).at(place).unwrap().mm();
    let [on_end, in_gap] = [Across::End(3), Across::Gap(3)].map(|place| at(b, place) - at(a, place));
    near(on_end, in_gap);
    on_end
}

/// The cloth model, section 3: on an open sett a row of plain weave advances by what two strands take where they
/// cross in a gap, or by half of what they take along an end, whichever is more.
#[test]
fn plain_weave_on_an_open_sett_advances_by_its_closed_form() {
    for (fibre, kind, flat, squeezed) in [
        ("wool", "soft", 0.65, 0.55),
        ("cotton", "medium", 0.75, 0.70),
        ("linen", "hard", 0.90, 0.90),
        // Half of what the rows take along an end is more than they take where they cross.
        ("wool", "soft", 0.8, 0.3),
    ] {
        let habits = format!("flatten-{kind} = {flat}\nsqueeze-{kind} = {squeezed}");
        let case = plan(6.0, 12, (1.5, fibre), &plain("\"slate\"", 41), &habits);
        let advance = f64::max(squeezed * 1.5, flat * 1.5 / 2.0);
        // The first two rows lie on the foot; from then on every pair of rows advances alike.
        near(apart(&case, 2, 40), 38.0 * advance);
    }
}

/// Peirce, as read in N. Balasubramanian's yarn and cloth notes: a jammed square plain cloth has p/D = 0.8660 in
/// both directions and threads that stand at 60 degrees.
#[test]
fn a_jammed_square_cloth_packs_as_peirce_says() {
    let spacing = 3.0_f64.sqrt();
    let case =
        plan(spacing, 12, (1.0, "linen"), &plain("\"slate\"", 21), "flatten-hard = 1\nsqueeze-hard = 1");
    let advance = apart(&case, 1, 20) / 19.0;
    near(advance / 2.0, 0.8660);
    near(math::asin(advance / 2.0).to_degrees(), 60.0);
}

/// The cloth model, section 3: only inside a float do two opposite rows lie at one height.
#[test]
fn opposite_sheds_lie_at_one_height_inside_their_floats_alone() {
    let case = plan(6.0, 24, (2.0, "wool"), &columns("over 12, under 12", 20), "stiffness = 1");
    let at = |row, place| case.study.cloth.row(row).at(place).unwrap().mm();
    for pair in (0..20).step_by(2) {
        for end in [0, 5, 18, 23] {
            near(at(pair, Across::End(end)), at(pair + 1, Across::End(end)));
            near(at(pair, Across::End(end)), 2.0 * 0.65 * (f64::from(pair / 2) + 0.5));
        }
        near(at(pair + 1, Across::Gap(11)) - at(pair, Across::Gap(11)), 0.55 * 2.0);
    }
}

/// The wefts that show on the front at an end, from the bottom up; `None` where the end is bare.
fn reads(case: &Case, end: u32) -> Vec<Option<String>> {
    let piece = &case.study.piece;
    let mut seen = case.study.cloth.column(piece, Across::End(end), Surface::Front);
    // Beyond the lowest and the highest row of this face the end is bare in any weave.
    let is_row = |seen: &Seen| matches!(seen.shows, Shows::Row(_));
    seen.truncate(seen.iter().rposition(is_row).map_or(0, |last| last + 1));
    seen.drain(..seen.iter().position(is_row).unwrap_or(0));
    let mut reads: Vec<Option<String>> = Vec::new();
    for Seen { shows, .. } in seen {
        let name = match shows {
            Shows::Row(row) => Some(piece.wefts[piece.row(row).weft.0].name.clone()),
            _ => None,
        };
        if reads.last() != Some(&name) {
            reads.push(name);
        }
    }
    reads
}

/// The end as the model vectors number it: a weft passes over end j in row i where i + j is even.
fn model_end(case: &Case, j: u32) -> u32 {
    if case.study.piece.grid.over(0, 0) == Some(true) { j } else { j + 1 }
}

fn named(names: &[&str]) -> Vec<Option<String>> {
    names.iter().map(|&name| Some(name.to_owned())).collect()
}

/// Common practice: two wefts in turn, one row each, make columns one end wide.
#[test]
fn wefts_in_turn_make_columns() {
    let case = plan(4.0, 11, (2.0, "wool"), &plain("\"slate\", \"foam\"", 24), "");
    for end in 0..10 {
        let expected = if end % 2 == 0 { "slate" } else { "foam" };
        assert_eq!(reads(&case, model_end(&case, end)), named(&[expected]), "end {end}");
    }
}

/// Common practice: two rows of one weft, two of the other, make thin stripes across, half a step off from end
/// to end.
#[test]
fn two_and_two_rows_make_stripes_across() {
    let wefts = "\"slate\", \"slate\", \"foam\", \"foam\"";
    let case = plan(4.0, 11, (2.0, "wool"), &plain(wefts, 24), "");
    for end in 0..10 {
        let expected: Vec<&str> = ["slate", "foam"].into_iter().cycle().take(12).collect();
        assert_eq!(reads(&case, model_end(&case, end)), named(&expected), "end {end}");
    }
}

/// Common practice: two rows of one weft once, then in turn again, and the columns change places.
#[test]
fn a_doubled_row_makes_a_checkerboard() {
    let wefts: Vec<String> =
        "ABABBABA".chars().map(|c| if c == 'A' { "\"slate\"" } else { "\"foam\"" }.into()).collect();
    let case = plan(4.0, 11, (2.0, "wool"), &plain(&wefts.join(", "), 32), "");
    for end in 0..10 {
        // Even ends read A, A, B, B; odd ones B, B, A, A; four times over.
        let pair = if end % 2 == 0 { ["slate", "foam"] } else { ["foam", "slate"] };
        let expected: Vec<&str> = pair.into_iter().cycle().take(8).collect();
        assert_eq!(reads(&case, model_end(&case, end)), named(&expected), "end {end}");
    }
}

/// The cloth model, section 3: a soft weft hides the warp at any pitch from D to about 2 D, D the thickness of
/// warp and weft where they cross; a hard cord never hides it wholly.
#[test]
fn a_soft_weft_hides_the_warp_and_a_hard_cord_does_not() {
    for part in [1.0, 1.25, 1.5, 2.0] {
        let soft = part * (0.9 + 2.0 * 0.65);
        let case = plan(soft + 1e-9, 11, (2.0, "wool"), &plain("\"slate\", \"foam\"", 24), "");
        for end in 0..11 {
            assert_eq!(reads(&case, end).len(), 1, "{part} D, end {end}");
        }
        assert!(!case.study.findings.iter().any(|f| matches!(f.kind, Kind::WarpShows { .. })));

        let hard = part * (0.9 + 2.0 * 0.9);
        let case = plan(hard + 1e-9, 11, (2.0, "linen"), &plain("\"slate\", \"foam\"", 24), "");
        for end in 0..11 {
            assert!(reads(&case, end).contains(&None), "{part} D, end {end}");
        }
        let share = case.study.findings.iter().find_map(|f| match f.kind {
            Kind::WarpShows { share, .. } => Some(share),
            _ => None,
        });
        // Rows on one face lie 1.8 d apart, but for the lowest, and are d / 0.9 wide there.
        assert!((share.unwrap() - (1.0 - 1.0 / 0.9 / 1.8)).abs() < 1e-3);
    }
}

/// The mass of the rows over the area they cover is `0.1 n T (1 + c)`, with n from the packed cloth.
#[test]
fn the_mass_of_an_area_follows_from_rows_per_cm() {
    let case = plan(4.0, 21, (2.0, "wool"), &plain("\"slate\"", 60), "");
    let study = &case.study;
    let tex = study.habits.tex(&study.piece.yarns[1]);
    let lies = |row| study.cloth.row(row).mean();
    let per_cm = 59.0 / (lies(59) - lies(0)).cm();
    let crimp = peirce::path_at_change(Mm::new(4.0), Mm::new(0.9 + 2.0 * 0.65)) / Mm::new(4.0) - 1.0;
    let threads = Threads { spacing: Mm::new(10.0 / per_cm), tex, crimp };
    let rows = study.need.yarns.iter().find(|need| need.yarn.0 == 1).unwrap().parts.rows.likely;
    let width = Mm::new(20.0 * 4.0);
    let area = (width.metres()) * Mm::new(60.0 * 10.0 / per_cm).metres();
    near(tex.mass_of(rows).grams() / area, threads.mass_per_area().grams_per_m2());
}

/// Places where wefts change face rise by a row each time, the inside of their floats by half a row: where rows
/// bend, a hump grows there, and it is found; plain weave grows none.
#[test]
fn rows_pile_up_where_colours_change() {
    let hump = |bands: &str, habits| {
        let case = plan(6.0, 24, (2.0, "wool"), bands, habits);
        case.study.findings.iter().find_map(|f| match f.kind {
            Kind::BuildUp { hump, rows: None } => Some(hump),
            _ => None,
        })
    };
    let found = hump(&columns("over 12, under 12", 80), "stiffness = 10").unwrap();
    assert!(found.ends.contains(11) && found.ends.contains(12), "{found:?}");
    assert!(found.above >= Mm::new(2.0) && found.range > found.above);
    assert_eq!(hump(&columns("over 12, under 12", 80), "stiffness = 10000"), None);
    assert_eq!(hump(&plain("\"slate\"", 80), "stiffness = 10"), None);
}

/// A mirrored cloth lies mirrored to the last bit, and its front shows what the back of the other shows.
#[test]
fn a_cloth_turned_over_lies_turned_over() {
    on_plans(71, 150, |case| {
        let (study, turned) = (&case.study, case.study.turned());
        for row in 0..study.cloth.row_count() {
            let mirrored: Vec<f32> = turned.cloth.row(row).heights().iter().rev().copied().collect();
            if study.cloth.row(row).heights() != mirrored {
                return Err(format!("row {row}"));
            }
        }
        let mirrored: Vec<f32> = turned.cloth.fell().iter().rev().copied().collect();
        if study.cloth.fell() != mirrored {
            return Err("the fell".into());
        }
        let (back, front) = (
            study.cloth.cover(&study.piece, Surface::Back),
            turned.cloth.cover(&turned.piece, Surface::Front),
        );
        let close = |a: &[f64], b: &[f64]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9);
        let same = close(&back.weft, &front.weft) && close(&back.warp, &front.warp);
        if same { Ok(()) } else { Err(format!("{back:?} {front:?}")) }
    });
}

/// What shows at a place fills it from its lowest row to its highest without overlap, and the shares of a face are the
/// parts of it that each yarn fills: a place on an end is as wide as its strand lies free, a gap what that leaves.
#[test]
fn faces_are_filled_just_once() {
    on_plans(72, 150, |case| {
        let (piece, cloth) = (&case.study.piece, &case.study.cloth);
        for surface in [Surface::Front, Surface::Back] {
            let end = |end: u32| cloth.end(end).side_by_side().min(cloth.spacing()).mm();
            let mut weft = vec![0.0; piece.yarns.len()];
            let (mut warp, mut open) = (weft.clone(), 0.0);
            for number in 0..2 * piece.end_count() - 1 {
                let seen = cloth.column(piece, Across::of(number), surface);
                let width = match Across::of(number) {
                    Across::End(at) => end(at),
                    Across::Gap(left) => cloth.spacing().mm() - (end(left) + end(left + 1)) / 2.0,
                };
                for seen in &seen {
                    let area = seen.length().mm() * width;
                    match seen.shows {
                        Shows::Row(row) => weft[piece.wefts[piece.row(row).weft.0].yarn.0] += area,
                        Shows::End(end) => warp[piece.ends[end as usize].yarn.0] += area,
                        Shows::Nothing => open += area,
                    }
                }
                if seen.iter().any(|seen| seen.from >= seen.to) {
                    return Err(format!("place {number}: {seen:?}"));
                }
                if seen.windows(2).any(|pair| pair[0].to != pair[1].from) {
                    return Err(format!("place {number}: {seen:?}"));
                }
            }
            let cover = cloth.cover(piece, surface);
            let sum: f64 = cover.weft.iter().chain(&cover.warp).sum::<f64>() + cover.open;
            let all: f64 = weft.iter().chain(&warp).sum::<f64>() + open;
            let is = |shares: &[f64], areas: &[f64]| {
                shares.iter().zip(areas).all(|(share, area)| (share - area / all).abs() < 1e-9)
            };
            let right = is(&cover.weft, &weft) && is(&cover.warp, &warp) && is(&[cover.open], &[open]);
            if (sum - 1.0).abs() > 1e-9 || !right {
                return Err(format!("{cover:?} {weft:?} {warp:?} {open}"));
            }
        }
        Ok(())
    });
}

/// A finger on a row where it passes over an end finds that row and that end.
#[test]
fn a_point_leads_to_the_crossing_that_lies_there() {
    on_plans(73, 150, |case| {
        let (piece, cloth) = (&case.study.piece, &case.study.cloth);
        for row in 0..piece.row_count() {
            for end in piece.crossings(row).span().ends() {
                let x = piece.spacing() * f64::from(end);
                let y = cloth.row(row).at(Across::End(end)).ok_or("outside")?;
                let spot = cloth.point(piece, x, y).ok_or(format!("nothing at row {row}, end {end}"))?;
                let over = piece.grid.over(row, end) == Some(true);
                if spot.end != end || (over && spot.row != row) {
                    return Err(format!("row {row}, end {end}: {spot:?}"));
                }
            }
        }
        let beside = Mm::new(-0.6 * piece.spacing().mm());
        let above = cloth.highest() + Mm::new(20.0);
        match (cloth.point(piece, beside, Mm::new(1.0)), cloth.point(piece, Mm::ZERO, above)) {
            (None, None) => Ok(()),
            found => Err(format!("{found:?}")),
        }
    });
}

/// What is on the loom half way lies just as it does when all is woven: rows that come later push none that are there.
#[test]
fn what_is_woven_does_not_move_when_more_is_woven() {
    on_plans(76, 60, |case| {
        let (piece, cloth) = (&case.study.piece, &case.study.cloth);
        let rows = piece.row_count();
        if case.study.up_to(0).is_some() {
            return Err("nothing is a cloth".into());
        }
        for woven in [1, rows / 3, rows / 2, rows.saturating_sub(1), rows] {
            let Some(part) = case.study.up_to(woven) else { continue };
            if part.piece.row_count() != woven || part.piece.rows != piece.rows[..woven as usize] {
                return Err(format!("{woven}: other rows"));
            }
            let count: u32 = part.piece.places.iter().map(|place| place.rows).sum();
            if count != woven {
                return Err(format!("{woven}: its places hold {count} rows"));
            }
            for row in 0..woven {
                if part.piece.grid.row(row) != piece.grid.row(row) || part.cloth.row(row) != cloth.row(row) {
                    return Err(format!("{woven}: row {row} lies otherwise"));
                }
            }
        }
        Ok(())
    });
}

/// Along an end a finger finds the same by the list as point for point, and every row that covers it lies there.
#[test]
fn the_list_of_an_end_is_its_points() {
    on_plans(75, 100, |case| {
        let (piece, cloth) = (&case.study.piece, &case.study.cloth);
        for end in 0..piece.end_count() {
            let spots = cloth.spots(piece, end);
            let x = piece.spacing() * f64::from(end);
            for k in 0..400 {
                let y = spots.top * (f64::from(k) + 0.37) / 390.0;
                let by_list = spots.found.iter().rev().find(|&&(from, _)| from <= y).map(|&(_, row)| row);
                let by_list = by_list.filter(|_| y < spots.top);
                let point = cloth.point(piece, x, y).map(|spot| spot.row);
                // A boundary itself may fall to either side.
                let close = spots.found.iter().any(|&(from, _)| (from - y).abs() < Mm::new(1e-6));
                if by_list != point && !close && (spots.top - y).abs() > Mm::new(1e-6) {
                    return Err(format!("end {end}, {y:?}: {by_list:?} but {point:?}"));
                }
            }
            let covers = (0..piece.row_count()).filter(|&row| piece.grid.over(row, end).is_some()).count();
            if spots.lies.len() != covers || !spots.lies.is_sorted_by(|a, b| a.1 <= b.1) {
                return Err(format!("end {end}: {:?}", spots.lies));
            }
        }
        Ok(())
    });
}

/// A piece is planned with the rows that the cloth shows, so what fits when it is planned fits when it is woven;
/// and what rows take because they are not level is never less than nothing.
#[test]
fn what_is_planned_is_what_is_packed() {
    on_plans(74, 150, |case| {
        let study = &case.study;
        for row in 0..study.piece.row_count() {
            let off = study.cloth.row(row).mean() - study.piece.row(row).height;
            if off.abs() > Mm::new(1e-3) {
                return Err(format!("row {row}: {off:?}"));
            }
            if study.cloth.rise(row, |_| study.piece.spacing()) < Mm::ZERO {
                return Err(format!("row {row}"));
            }
        }
        let fits = !study.findings.iter().any(|f| matches!(f.kind, Kind::TooTall { .. }));
        let all = study.piece.row_count().checked_sub(1);
        if fits != (study.cloth.last_combable() == all) {
            return Err(format!("{:?}", study.cloth.last_combable()));
        }
        Ok(())
    });
}

/// The rise of a row is that of straight stretches from place to place, 3 mm apart across.
#[test]
fn the_rise_of_a_row_is_that_of_its_triangles() {
    let case = plan(6.0, 24, (2.0, "wool"), &columns("over 12, under 12", 2), "stiffness = 1");
    let cloth = &case.study.cloth;
    let heights = cloth.row(1).heights();
    let climbs = heights.windows(2).map(|pair| f64::from(pair[1]) - f64::from(pair[0]));
    let by_hand: f64 = climbs.map(|climb| (9.0 + climb * climb).sqrt() - 3.0).sum();
    assert!(by_hand > 0.1);
    near(cloth.rise(1, |_| Mm::new(6.0)).mm(), by_hand);
    assert_eq!(cloth.row(1).span(), Span::all(24).unwrap());
}

fn seen(case: &Case, place: Across) -> Vec<(f64, f64, Shows)> {
    let seen = case.study.cloth.column(&case.study.piece, place, Surface::Front);
    seen.into_iter().map(|seen| (seen.from.mm(), seen.to.mm(), seen.shows)).collect()
}

#[track_caller]
fn shows(is: &[(f64, f64, Shows)], expected: &[(f64, f64, Shows)]) {
    assert_eq!(is.len(), expected.len(), "{is:?}");
    for (is, expected) in is.iter().zip(expected) {
        near(is.0, expected.0);
        near(is.1, expected.1);
        assert_eq!(is.2, expected.2);
    }
}

/// In a gap a row that stays in front hides one that changes there. By hand: a weft of 2 mm takes 1.3 mm along
/// an end. Row 1 lies at 0.65; row 2 lies on it at end 1, at 1.95, and on the foot at end 2, at 0.65: halfway
/// between, 1.3, in the gap, and its upper edge there at 1.95. Row 1 is 2 mm wide and hides it up to 1.65.
#[test]
fn a_row_in_front_hides_one_that_changes() {
    let rows = "[band.tide]\nwefts = [\"slate\"]\nrows = [\"over 4\", \"over 1, under 3\"]\n[piece]\nbands = [\"tide\"]\n";
    let case = plan(6.0, 4, (2.0, "wool"), rows, "stiffness = 1");
    shows(&seen(&case, Across::Gap(0)), &[(0.0, 1.65, Shows::Row(0)), (1.65, 1.95, Shows::Row(1))]);
}

/// Strands that would overlap part at the same part of either's width. By hand: a single strand lies at 0.65
/// and takes 1.3, a doubled one on it takes 2.6 and lies at 2.6; both spread far wider than that, so they part
/// a third of the way, at 1.3.
#[test]
fn strands_part_in_proportion_to_their_widths() {
    let rows = "[weft.foam]\ndoubled = true\n[band.tide]\nwefts = [\"slate\", \"foam\"]\n\
                rows = [\"over 4\", \"over 3, under 1\"]\n[piece]\nbands = [\"tide\"]\n";
    let case = plan(6.0, 4, (2.0, "wool"), rows, "stiffness = 10000");
    shows(&seen(&case, Across::End(0)), &[(0.0, 1.3, Shows::Row(0)), (1.3, 3.9, Shows::Row(1))]);
}
