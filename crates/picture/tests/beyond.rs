//! What leaves the rows, pictured: turns and the yarn that holds them, slits, yarn that is led across, the warp off the
//! loom, the header below the first row, and hairs.

mod support;

use fellmark_core::cloth::Across;
use fellmark_core::cloth::size::State;
use fellmark_core::quantity::Mm;
use fellmark_core::side::{Side, Surface};
use fellmark_picture::relief::{Picture, Raster, Scale, Shown, placement, shown};
use support::pictured::{made, place, small};
use support::{BANDS, plan, studied};

#[test]
fn a_turn_that_is_crossed_lies_the_way_the_walk_says() {
    // Columns of two wefts from one side: each turn is held by a crossing.
    let study = studied(&plan(
        11,
        r#"
[band.pools]
wefts = ["slate", "foam"]
opening = "over 3, under 5"
opposite = true
rows = 12
[piece]
bands = ["pools"]
"#,
    ));
    let held = study.walk.turns().filter(|turn| turn.held.is_some()).count();
    assert!(held > 4, "{held}");
    let (_, _, all) = shown(&study, &Picture { scale: Scale::PerMm(12.0), ..small() }).unwrap();
    for turn in study.walk.turns() {
        assert!(all.contains(&Shown::Turn(turn.row)), "the turn before row {} is not seen", turn.row + 1);
    }
    assert!(study.walk.turns().any(|turn| turn.side == Side::Left));
}

/// Where one weft passes in front of another at an edge, it hides it: at some height between the rows of the turn that waits
/// that is not seen, where the other passes in front of it, and where it does itself it is seen at all of them.
#[test]
fn of_two_yarns_that_cross_at_an_edge_the_one_that_the_walk_says_is_in_front() {
    let bands = r#"
[band.pools]
wefts = ["slate", "foam"]
opening = "over 3, under 5"
opposite = true
rows = 12
[band.shoals]
like = "pools"
exchanged = true
[piece]
bands = ["pools", "shoals"]
"#;
    let study = studied(&plan(14, bands));
    for surface in [Surface::Front, Surface::Back] {
        let options = Picture { surface, scale: Scale::PerMm(16.0), ..small() };
        let seen = if surface == Surface::Back { study.from_back() } else { study.clone() };
        let (width, _, all) = shown(&study, &options).unwrap();
        let mut found = [0, 0];
        for turn in seen.walk.turns() {
            let Some(hold) = turn.held.filter(|hold| hold.made_here && hold.row < turn.row) else { continue };
            let Some(outer) = seen.walk.turns().find(|other| other.since == hold.row) else { continue };
            let x = f64::from(turn.end) * seen.cloth.spacing().mm();
            let height = |row: u32| seen.cloth.row(row).at(Across::End(turn.end)).unwrap().mm();
            let ((px, low), (_, high)) = (
                place(&study, &options, (x, height(turn.since))),
                place(&study, &options, (x, height(turn.row))),
            );
            // Sees the outer yarn at a height, and not the inner.
            let hidden = |y: usize| {
                let line = &all[y * width as usize..][..width as usize];
                let outward = match turn.side {
                    Side::Left => &line[..px as usize],
                    Side::Right => &line[px as usize..],
                };
                let sees = |row: u32| outward.contains(&Shown::Turn(row));
                sees(outer.row) && !sees(turn.row)
            };
            // The turn that waits passes under the other, or over it.
            let in_front = hold.pass == fellmark_core::side::Pass::Over;
            let (_, at) = place(&study, &options, (x, height(hold.row)));
            let says = format!("{surface:?} before row {}", turn.row + 1);
            if in_front {
                assert!((high as usize + 1..low as usize).any(hidden), "{says}");
            } else {
                assert!(!(at as usize - 2..at as usize + 3).any(hidden), "{says}");
            }
            found[usize::from(in_front)] += 1;
        }
        assert!(found.iter().all(|&found| found > 2), "{found:?}");
    }
}

const SLIT: &str = r#"
[band.hem]
wefts = ["reed"]
weave = "plain"
rows = 16
[band.left]
wefts = ["slate"]
weave = "plain"
ends = "1 to 6"
rows = 10
[band.right]
wefts = ["foam"]
weave = "plain"
ends = "7 to 12"
rows = 10
[piece]
bands = ["hem", "left", "right"]
"#;

#[test]
fn where_two_bands_meet_that_nothing_links_there_is_a_slit() {
    let study = studied(&plan(12, SLIT));
    let (left, right) = (study.piece.places[1].row_range(), study.piece.places[2].row_range());
    for surface in [Surface::Front, Surface::Back] {
        let options = Picture { surface, scale: Scale::PerMm(14.0), ..small() };
        let (width, _, all) = shown(&study, &options).unwrap();
        let at = placement(&study, &options).unwrap();
        let mut lines = 0;
        let heights = |row: u32| study.cloth.row(row).mean();
        let (low, high) = (heights(left.start + 1), heights(left.end - 2));
        for step in 0..200 {
            let y = low + (high - low) * (f64::from(step) / 200.0);
            let x = |end: f64| at.pixel(study.cloth.spacing() * end, y);
            let ((a, line), (b, _)) = (x(5.0), x(6.0));
            let line = &all[line as usize * width as usize..][..width as usize];
            let mut between = line[a.min(b) as usize..a.max(b) as usize].to_vec();
            if a > b {
                between.reverse();
            }
            // From the left band over the ground to the right one, and nothing of either beyond it.
            let runs: Vec<Shown> = between.chunk_by(|a, b| a == b).map(|run| run[0]).collect();
            let gap = runs.iter().position(|what| *what == Shown::Paper);
            let gap = gap.unwrap_or_else(|| panic!("{surface:?} {step}: no gap in {runs:?}"));
            let of = |rows: std::ops::Range<u32>, end: u32| {
                move |what: &Shown| match *what {
                    Shown::Row(row) | Shown::Turn(row) => rows.contains(&row),
                    Shown::End(seen) => seen == end,
                    // A tail comes out of the slit and lies on the back.
                    Shown::Tail(_) | Shown::Paper => true,
                    _ => false,
                }
            };
            let last = if surface == Surface::Front { (5, 6) } else { (6, 5) };
            assert!(runs[..gap].iter().all(of(left.clone(), last.0)), "{surface:?} {step}: {runs:?}");
            assert!(runs[gap..].iter().all(of(right.clone(), last.1)), "{surface:?} {step}: {runs:?}");
            lines += 1;
        }
        assert_eq!(lines, 200);
        // The tails at the slit hang at the back.
        let tails = all.iter().filter(|what| **what == Shown::Tail(right.start)).count();
        assert_eq!(tails > 500, surface == Surface::Back, "{surface:?} {tails}");
    }
}

#[test]
fn yarn_that_is_led_across_lies_in_front_and_from_the_back_behind() {
    let bands = r#"
[band.steps]
wefts = ["foam"]
rows = ["over 1, under 1", { row = "under 1, over 1", ends = "3 to 12" }, "over 1, under 1", "under 1, over 1"]
[band.top]
wefts = ["reed"]
weave = "plain"
rows = 2
[piece]
bands = ["steps", "top"]
"#;
    let study = studied(&plan(12, bands));
    let led: Vec<_> = study.walk.turns().filter(|turn| turn.led.is_some()).copied().collect();
    assert!(!led.is_empty());
    for surface in [Surface::Front, Surface::Back] {
        let options = Picture { surface, scale: Scale::PerMm(12.0), ..small() };
        let (width, _, all) = shown(&study, &options).unwrap();
        let at = placement(&study, &options).unwrap();
        for turn in &led {
            // The edge end itself the turn goes round.
            let ends: Vec<u32> = turn.led.unwrap().ends().filter(|&end| end != turn.end).collect();
            assert!(!ends.is_empty());
            let seen = ends.iter().filter(|&&end| {
                let x = study.cloth.spacing() * f64::from(end);
                let (px, top) = at.pixel(x, study.cloth.highest());
                let (_, foot) = at.pixel(x, Mm::ZERO);
                (top as usize..foot as usize)
                    .any(|y| all[y * width as usize + px as usize] == Shown::Turn(turn.row))
            });
            let wanted = if surface == Surface::Front { ends.len() } else { 0 };
            assert_eq!(seen.count(), wanted, "{surface:?} {turn:?}");
        }
    }
}

#[test]
fn off_the_loom_the_warp_hangs_out_in_its_loops_and_knots() {
    let study = studied(&plan(12, BANDS));
    let options = Picture { state: State::Released, scale: Scale::PerMm(8.0), ..Picture::default() };
    let at = placement(&study, &options).unwrap();
    let (width, _, all) = shown(&study, &options).unwrap();
    assert!(all.iter().all(|what| *what != Shown::Frame));
    // Up and down, twelve ends make five loops at the near bar, and both tails are tied there.
    let winding = fellmark_core::warp::wind(&study.piece, &study.habits);
    assert_eq!(winding.blocks.iter().map(|block| block.loops_near).sum::<u32>(), 5);
    let runs = |mm: f64| {
        let line = at.pixel(Mm::ZERO, Mm::new(-mm)).1 as usize;
        let line = &all[line * width as usize..][..width as usize];
        let warp = |what: &Shown| matches!(what, Shown::End(_));
        line.chunk_by(|a, b| warp(a) == warp(b)).filter(|run| warp(&run[0])).count()
    };
    // Below the cloth stand twelve legs; where the loops bend, two and two have come together.
    assert_eq!(runs(3.0), 12);
    let lowest = (0..130).rev().map(|k| f64::from(k) / 10.0).find(|&mm| runs(mm) >= 5).unwrap();
    let keeps = 1.0 - study.size.course.spring_back;
    assert!((lowest - 10.0 * keeps).abs() < 3.0, "{lowest}");
}

#[test]
fn in_a_fringe_each_end_hangs_by_itself_with_its_knot() {
    // Thick for its pitch, and tied end by end: two and two ends of a colour, each wound from the near bar and back.
    let bands = r#"
[warp]
ends = 12
order = ["2 samphire", "2 foam"]
[band.cloth]
wefts = ["reed"]
weave = "plain"
rows = 30
[piece]
bands = ["cloth"]
"#;
    let text = plan(12, bands).replace("pitch = \"5 mm\"", "pitch = \"2 mm\"");
    let study = studied(&text);
    for surface in [Surface::Front, Surface::Back] {
        let options =
            Picture { surface, state: State::Finished, scale: Scale::PerMm(16.0), ..Picture::default() };
        let (width, _, all) = shown(&study, &options).unwrap();
        let at = placement(&study, &options).unwrap();
        let foot = at.pixel(Mm::ZERO, Mm::new(-1.0)).1 as usize;
        let mut seen = 0;
        for line in all.chunks(width as usize).skip(foot) {
            let ends = line.iter().filter(|what| matches!(what, Shown::End(_))).copied().collect::<Vec<_>>();
            let runs: Vec<Shown> = ends.chunk_by(|a, b| a == b).map(|run| run[0]).collect();
            let number = |what: &Shown| if let Shown::End(end) = *what { end } else { 0 };
            // One after the other, none twice.
            let distinct: std::collections::BTreeSet<u32> = runs.iter().map(number).collect();
            assert_eq!(distinct.len(), runs.len(), "{surface:?} {runs:?}");
            seen = seen.max(runs.len());
        }
        assert_eq!(seen, 12);
    }
}

#[test]
fn below_the_first_row_lies_the_header_as_long_as_it_is_on_the_loom() {
    for (yarn, over_first) in [("", true), ("yarn = \"foam\"", true)] {
        let study = studied(&plan(12, &format!("{BANDS}\n[header]\nlength = \"15 mm\"\n{yarn}\n")));
        for surface in [Surface::Front, Surface::Back] {
            let options = Picture { surface, scale: Scale::PerMm(9.0), ..Picture::default() };
            let at = placement(&study, &options).unwrap();
            let (width, _, all) = shown(&study, &options).unwrap();
            let what = |x: Mm, y: f64| {
                let (px, py) = at.pixel(x, Mm::new(y));
                all[py as usize * width as usize + px as usize]
            };
            // It fills the warp from the bar to the first row.
            let between = study.cloth.spacing() * 5.5;
            let lines = (0..150).map(|line| what(between, -f64::from(line) / 10.0));
            let shown = lines.filter(|what| *what == Shown::Header).count();
            assert!(shown > 135, "{yarn} {surface:?} {shown}");
            assert_eq!(what(between, -16.5), Shown::Frame, "the bar lies below it");
            // A strip of card goes over one end and under the next, and the other way on its back.
            if yarn.is_empty() {
                for end in 0..12 {
                    let seen = what(study.cloth.spacing() * f64::from(end), -7.0);
                    let over = (end % 2 == 0) == (over_first == (surface == Surface::Front));
                    assert_eq!(seen == Shown::Header, over, "{surface:?} end {end}: {seen:?}");
                }
            }
        }
        let off = Picture { state: State::Released, scale: Scale::PerMm(6.0), ..Picture::default() };
        let (_, _, all) = shown(&study, &off).unwrap();
        assert!(!all.contains(&Shown::Header), "it is out");
    }
}

/// A header spreads the warp (the trade's word for what it is for): right above the near bar the ends stand as far apart as
/// their notches, and it reaches across all of them; the cloth above it draws in.
#[test]
fn a_header_lies_across_the_warp_as_wide_as_it_is_wound() {
    for yarn in ["", "yarn = \"reed\""] {
        let habits = "[habits]\ndraw-in = \"8 %\"\n";
        let study = studied(&plan(12, &format!("{BANDS}\n[header]\nlength = \"20 mm\"\n{yarn}\n{habits}")));
        for surface in [Surface::Front, Surface::Back] {
            let options = Picture { surface, scale: Scale::PerMm(9.0), ..Picture::default() };
            let at = placement(&study, &options).unwrap();
            let (width, _, all) = shown(&study, &options).unwrap();
            let line = |mm: f64| {
                let y = at.pixel(Mm::ZERO, Mm::new(mm)).1 as usize;
                &all[y * width as usize..][..width as usize]
            };
            let middle = (at.first_end + at.end_to_end * 5.5) as usize;
            // On the bar, in the notches.
            let ends: Vec<usize> =
                (0..width as usize).filter(|&x| matches!(line(-21.0)[x], Shown::End(_))).collect();
            let (first, last) = (ends[0], ends[ends.len() - 1]);
            // 11 times a pitch of 5 mm, and the thickness of an end.
            let wound = 11.0 * 5.0 * 9.0;
            let thick = 9.0 * 1.25;
            assert!(((last - first) as f64 - wound - thick).abs() < 12.0, "{surface:?} {}", last - first);
            let drawn_in = (at.end_to_end * 11.0).abs();
            assert!(drawn_in < wound * 0.93, "{drawn_in}");
            // Right above it the header reaches as far and farther, to both sides.
            let header = |x: &usize| line(-18.5)[*x] == Shown::Header;
            let (left, right) =
                ((0..middle).find(header).unwrap(), (middle..width as usize).rev().find(header).unwrap());
            assert!(
                left <= first + 2 && right + 2 >= last,
                "{yarn} {surface:?} {left} {first} {last} {right}"
            );
        }
    }
}

#[test]
fn a_header_moves_nothing_of_the_cloth_above_it() {
    let cloth = |header: &str| {
        let study = studied(&plan(12, &format!("{BANDS}{header}")));
        let options = Picture { scale: Scale::PerMm(6.0), ..Picture::default() };
        let (at, made) = (placement(&study, &options).unwrap(), made(&study, &options));
        let (left, top) = at.pixel(Mm::new(1.0), study.cloth.highest() - Mm::new(2.0));
        // The bar, or the header, casts no shadow so far up.
        let (right, low) = at.pixel(study.cloth.spacing() * 10.0, Mm::new(6.0));
        let (wide, high) = ((right - left) as usize, (low - top) as usize);
        let line = |y: usize| {
            let from = ((top.round() as usize + y) * made.width as usize + left.round() as usize) * 3;
            made.rgb[from..from + wide * 3].to_vec()
        };
        (0..high).map(line).collect::<Vec<_>>()
    };
    let without = cloth("");
    for header in ["\n[header]\nlength = \"12 mm\"\n", "\n[header]\nlength = \"12 mm\"\nyarn = \"slate\"\n"] {
        let with = cloth(header);
        assert_eq!(without.len(), with.len());
        // Its pixels lie farther up in the picture, so that rounding may tell a few of them from those without.
        let pairs = without.iter().flatten().zip(with.iter().flatten());
        let differ = pairs.clone().filter(|(a, b)| a.abs_diff(**b) > 3).count();
        assert!(differ * 200 < pairs.count(), "{header}: {differ}");
    }
}

#[test]
fn a_brushed_yarn_is_fuzzy_round_its_core_and_a_smooth_one_is_not() {
    let options = Picture { scale: Scale::PerMm(12.0), frame: false, ..Picture::default() };
    let of = |halo: &str| {
        let text = plan(12, BANDS).replace(r#"fibre = "wool""#, &format!("fibre = \"wool\"\n{halo}"));
        let study = studied(&text);
        (made(&study, &options), shown(&study, &options).unwrap().2)
    };
    let (smooth, usual, brushed) = (of("halo = \"0 mm\""), of(""), of("halo = \"4 mm\""));
    // It is seen, and moves no strand.
    assert!(smooth.1 == usual.1 && usual.1 == brushed.1);
    // Pixels of the ground that hairs cross: all else that lies there is alike.
    let fuzz = |other: &Raster| {
        let pixels = other.rgb.chunks(3).zip(smooth.0.rgb.chunks(3)).zip(&smooth.1);
        pixels.filter(|((a, b), shown)| **shown == Shown::Paper && a != b).count()
    };
    let (usual, brushed) = (fuzz(&usual.0), fuzz(&brushed.0));
    assert!(usual > 20 && usual * 4 < brushed, "{usual} {brushed}");
}

#[test]
fn a_brushed_yarn_is_fuzzy_as_far_as_its_tails_reach() {
    let options = Picture { scale: Scale::PerMm(16.0), ..small() };
    let of = |halo: &str| {
        let text =
            plan(12, BANDS).replace(r#"fibre = "wool""#, &format!("fibre = \"wool\"\nhalo = \"{halo}\""));
        let study = studied(&text);
        (made(&study, &options), shown(&study, &options).unwrap())
    };
    let ((smooth, (width, _, all)), (brushed, _)) = (of("0 mm"), of("2 mm"));
    // Farther to the left than any hair of a row or a turn comes lie tails alone.
    let cloth = |what: &Shown| matches!(what, Shown::Row(_) | Shown::Turn(_));
    let edge =
        all.iter().zip((0..width).cycle()).filter(|(what, _)| cloth(what)).map(|(_, x)| x).min().unwrap();
    let beyond = edge - 16 * 4;
    let pixels = smooth.rgb.chunks(3).zip(brushed.rgb.chunks(3)).zip(&all).zip((0..width).cycle());
    let fuzz = pixels.filter(|(((a, b), what), x)| *x < beyond && **what == Shown::Paper && a != b).count();
    assert!(all.iter().zip((0..width).cycle()).any(|(what, x)| x < beyond && matches!(what, Shown::Tail(_))));
    assert!(fuzz > 100, "{fuzz}");
}
