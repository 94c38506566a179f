//! Laws of the picture: it shows what is woven where the packing puts it, and equal input gives equal bytes.

mod support;

use fellmark_core::cloth::Across;
use fellmark_core::cloth::size::State;
use fellmark_core::quantity::Mm;
use fellmark_core::side::{Side, Surface};
use fellmark_core::study::Study;
use fellmark_core::yarn::Srgb;
use fellmark_picture::relief::{
    EVENING, PAPER, Picture, Raster, Region, Scale, Shown, jpeg, picture, placement, png, shown,
};
use proptest::prelude::*;
use std::num::NonZeroUsize;
use support::{BANDS, plan, studied};

fn small() -> Picture {
    Picture { scale: Scale::PerMm(6.0), frame: false, ..Picture::default() }
}

/// The pixel of a point of the cloth as it is seen from its side.
fn place(study: &Study, options: &Picture, (x, y): (f64, f64)) -> (f64, f64) {
    let placement = placement(study, options).unwrap();
    let last = study.cloth.spacing() * f64::from(study.cloth.end_count() - 1);
    let x = if options.surface == Surface::Back { last - Mm::new(x) } else { Mm::new(x) };
    placement.pixel(x, Mm::new(y))
}

fn made(study: &Study, options: &Picture) -> Raster {
    picture(study, options).unwrap_or_else(|large| panic!("{large:?}"))
}

#[test]
fn any_number_of_threads_and_any_region_give_the_same_pixels() {
    let study = studied(&plan(12, BANDS));
    for surface in [Surface::Front, Surface::Back] {
        // The second of them is drawn finer and averaged.
        for (frame, scale) in [(true, 6.0), (false, 3.0), (false, 21.0)] {
            let whole = Picture { surface, frame, scale: Scale::PerMm(scale), ..Picture::default() };
            let threads = |n| made(&study, &Picture { threads: NonZeroUsize::new(n), ..whole.clone() });
            let all = threads(1);
            assert!(threads(2) == all && threads(3) == all);
            let (w, h) = (all.width, all.height);
            for (x, y, width, height) in
                [(0, 0, w / 3, h), (w / 5, h / 7, w / 2, h / 3), (w - 9, h - 7, 99, 99)]
            {
                let region = Some(Region { x, y, width, height });
                let part = made(&study, &Picture { region, ..whole.clone() });
                assert_eq!((part.width, part.height), (width.min(w - x), height.min(h - y)));
                for line in 0..part.height {
                    let at = |raster: &Raster, x: u32, y: u32| {
                        (y as usize * raster.width as usize + x as usize) * 3
                    };
                    let (a, b) = (at(&part, 0, line), at(&all, x, y + line));
                    let long = part.width as usize * 3;
                    assert!(part.rgb[a..a + long] == all.rgb[b..b + long], "{scale} line {line}");
                }
            }
        }
    }
}

#[test]
fn at_every_crossing_lies_what_the_grid_says() {
    let study = studied(&plan(12, BANDS));
    for surface in [Surface::Front, Surface::Back] {
        let options = Picture { surface, scale: Scale::PerMm(12.0), ..small() };
        let seen = if surface == Surface::Back { study.turned() } else { study.clone() };
        let (width, height, all) = shown(&study, &options).unwrap();
        let (mut over, mut under) = (0, 0);
        for row in 0..seen.piece.row_count() {
            let crossings = seen.piece.crossings(row);
            for end in crossings.span().ends() {
                let height_at = |row| seen.cloth.row(row).at(Across::End(end)).unwrap().mm();
                let y = height_at(row);
                // Beside the middle, where strands of a doubled weft meet.
                let point = (f64::from(end) * seen.cloth.spacing().mm(), y + 0.05);
                let (px, py) = place(&study, &options, point);
                assert!(px >= 0.0 && py >= 0.0 && px < f64::from(width) && py < f64::from(height));
                let what = all[py as usize * width as usize + px as usize];
                if crossings.over(end) == Some(true) {
                    assert_eq!(what, Shown::Row(row), "row {row} end {end}");
                    over += 1;
                } else {
                    // Where a row that goes over lies beside it, that is seen; else the end.
                    let covers = |other: &u32| {
                        seen.piece.grid.over(*other, end) == Some(true)
                            && (height_at(*other) - y).abs() < seen.cloth.thread(*other).spread().mm() * 0.65
                    };
                    if (0..seen.piece.row_count()).any(|other| covers(&other)) {
                        continue;
                    }
                    // Beside a band over some of the ends its turns and tails lie on it.
                    let edge = matches!(what, Shown::Tail(_) | Shown::Turn(_));
                    let lies = matches!(what, Shown::End(at) if at == end) || edge;
                    assert!(lies, "row {row} end {end}: {what:?}");
                    under += 1;
                }
            }
        }
        assert!(over > 100 && under > 20, "{over} {under}");
    }
}

/// The share of pixels at which two pictures differ that are each other's mirror image.
fn unlike(a: &[Shown], b: &[Shown], width: usize, ends: u32) -> f64 {
    let mirrored = |what: Shown| match what {
        Shown::End(end) => Shown::End(ends - 1 - end),
        other => other,
    };
    let lines = a.chunks(width).zip(b.chunks(width));
    let off = lines.flat_map(|(a, b)| a.iter().zip(b.iter().rev())).filter(|(a, b)| **a != mirrored(**b));
    off.count() as f64 / a.len() as f64
}

#[test]
fn a_mirrored_plan_makes_the_mirrored_cloth() {
    let one = r#"
[habits]
draw-in = "0 %"
[band.slope]
wefts = ["slate", "foam"]
opening = "over 4, under 2"
opposite = true
step = "1 right every pair"
rows = 20
[piece]
bands = ["slope"]
"#;
    let other = one.replace("rows = 20", "rows = 20\nmirrored = true").replace(
        "[band.slope]",
        "[weft.slate]\nfrom = \"right\"\n[weft.foam]\nfrom = \"right\"\n[band.slope]",
    );
    let (one, other) = (studied(&plan(15, one)), studied(&plan(15, &other)));
    let (width, _, a) = shown(&one, &small()).unwrap();
    let (wide, _, b) = shown(&other, &small()).unwrap();
    assert_eq!(width, wide);
    // Ends are a hair thicker or thinner here and there, each in its own way.
    let off = unlike(&a, &b, width as usize, 15);
    assert!(off < 0.004, "{off}");
    let same = unlike(&a, &a, width as usize, 15);
    assert!(same > 0.05, "the cloth must not be its own mirror image: {same}");
}

#[test]
fn the_back_is_mirrored_and_exchanged() {
    let study = studied(&plan(12, BANDS));
    let back = Picture { surface: Surface::Back, ..small() };
    let turned = study.turned();
    assert!(made(&study, &back) == made(&turned, &small()));
    assert!(made(&turned, &back) == made(&study, &small()));
    assert!(made(&study, &back).rgb != made(&study, &small()).rgb);
}

/// The lines of a raster from its bottom up.
fn from_below(raster: &Raster) -> impl Iterator<Item = &[u8]> {
    raster.rgb.chunks(raster.width as usize * 3).rev()
}

#[test]
fn an_edit_in_one_band_changes_no_pixel_of_bands_below_it() {
    let text = plan(12, &BANDS.replace("rows = 8", "rows = 24"));
    let edited = text.replace("weave = \"twill 2/2\"", "weave = \"plain\"").replace("rows = 6", "rows = 9");
    let (before, after) = (studied(&text), studied(&edited));
    let tongue = before.piece.places[2].first_row;
    let scale = 8.0;
    let options = Picture { scale: Scale::PerMm(scale), ..small() };
    let (a, b) = (made(&before, &options), made(&after, &options));
    assert!(a.width == b.width && a.height != b.height);
    // Up to the lowest place that the edited band's first row, its tail or their shadow reaches.
    let lowest = before.cloth.row(tongue).heights().iter().fold(f32::INFINITY, |a, &b| a.min(b));
    let foot = f64::from(a.height) - place(&before, &options, (0.0, f64::from(lowest) - 9.0)).1;
    assert!(foot > 60.0);
    for (line, (a, b)) in from_below(&a).zip(from_below(&b)).take(foot as usize).enumerate() {
        assert!(a == b, "line {line} of {foot}");
    }
}

#[test]
fn an_edit_in_one_band_leaves_the_grain_of_those_above_that_did_not_move() {
    let bands = r#"
[band.hem]
wefts = ["slate"]
weave = "plain"
rows = 6
[band.pools]
wefts = ["slate"]
weave = "plain"
rows = 12
[piece]
bands = ["hem", "pools"]
"#;
    // The rows of the lower band keep their heights, but the yarn of the upper has another past.
    let edited = bands.replacen("wefts = [\"slate\"]", "wefts = [\"samphire\"]", 1);
    let (before, after) = (studied(&plan(9, bands)), studied(&plan(9, &edited)));
    let options = Picture { scale: Scale::PerMm(8.0), region: None, ..small() };
    let (a, b) = (made(&before, &options), made(&after, &options));
    assert_eq!((a.width, a.height), (b.width, b.height));
    // Not the edges: there the yarn did change, where it begins and turns.
    let top = place(&before, &options, (0.0, before.cloth.row(9).mean().mm())).1 as u32;
    let inner = |raster: &Raster, line: u32| {
        let from = (line * raster.width + raster.width / 3) as usize * 3;
        raster.rgb[from..from + raster.width as usize].to_vec()
    };
    for line in 0..top {
        assert!(inner(&a, line) == inner(&b, line), "line {line} of {top}");
    }
    assert!(a.rgb != b.rgb);
}

#[test]
fn rows_that_move_up_take_their_grain_with_them() {
    let bands = r#"
[band.hem]
wefts = ["slate"]
weave = "plain"
rows = 8
[band.pools]
wefts = ["foam"]
weave = "plain"
rows = 24
[piece]
bands = ["hem", "pools"]
"#;
    let (before, after) =
        (studied(&plan(9, bands)), studied(&plan(9, &bands.replacen("rows = 8", "rows = 12", 1))));
    let at = |study: &Study, row: u32| study.cloth.row(row).mean().mm();
    let moved = at(&after, 24) - at(&before, 20);
    // Four rows are just 40 px high, so that all pixels move by whole ones.
    let options = Picture { scale: Scale::PerMm(40.0 / moved), ..small() };
    let (a, b) = (made(&before, &options), made(&after, &options));
    assert_eq!((a.width, a.height + 40), (b.width, b.height));
    let wide = a.width as usize * 3;
    let top = place(&before, &options, (0.0, at(&before, 22))).1 as usize;
    let lines = a.rgb.chunks(wide).zip(b.rgb.chunks(wide)).skip(top).take(40);
    let inner = lines.flat_map(|(a, b)| a[wide / 3..2 * wide / 3].iter().zip(&b[wide / 3..2 * wide / 3]));
    let off: Vec<u8> = inner.map(|(a, b)| a.abs_diff(*b)).collect();
    let mean = off.iter().map(|&off| f64::from(off)).sum::<f64>() / off.len() as f64;
    // Rounding may tip a pixel here and there over an edge; another grain would change most of them.
    assert!(mean < 0.5, "{mean}");
}

#[test]
fn a_png_is_read_back_pixel_by_pixel_in_true_size() {
    let study = studied(&plan(12, BANDS));
    let raster = made(&study, &Picture { scale: Scale::Dpi(254.0), ..small() });
    let bytes = png(&raster);
    let mut reader = png::Decoder::new(std::io::Cursor::new(&bytes)).read_info().unwrap();
    let mut rgb = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut rgb).unwrap();
    assert_eq!((info.width, info.height, &rgb[..]), (raster.width, raster.height, &raster.rgb[..]));
    // 254 dots per inch are 10 for a mm, 10 000 for a metre (PNG, third edition, 11.3.4.3).
    let size = reader.info().pixel_dims.unwrap();
    assert_eq!((size.xppu, size.yppu, size.unit), (10_000, 10_000, png::Unit::Meter));
    let spread = (study.piece.end_count() - 1) as f64 * study.size.stance(State::OnLoom).spacing.mm();
    let last = (study.piece.end_count() - 1) as f64 * study.cloth.spacing().mm();
    let options = Picture { scale: Scale::Dpi(254.0), ..small() };
    let (a, b) = (place(&study, &options, (0.0, 0.0)), place(&study, &options, (last, 0.0)));
    assert!((b.0 - a.0 - spread * 10.0).abs() < 0.01);
}

#[test]
fn a_picture_that_is_too_large_is_refused_and_a_region_of_a_large_one_is_made() {
    let study = studied(&plan(12, BANDS));
    for scale in [Scale::PerMm(1e9), Scale::PerMm(f64::NAN), Scale::PerMm(-1.0), Scale::Width(u32::MAX)] {
        assert!(picture(&study, &Picture { scale, ..small() }).is_err(), "{scale:?}");
    }
    let large = Picture { scale: Scale::PerMm(300.0), ..small() };
    assert!(picture(&study, &large).is_err());
    let region = Some(Region { x: 9000, y: 9000, width: 64, height: 48 });
    assert_eq!(made(&study, &Picture { region, ..large }).rgb.len(), 64 * 48 * 3);
}

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

/// Plans of any measure, with rows over some of the ends.
fn any_plan() -> impl Strategy<Value = String> {
    let yarn = prop::sample::select(vec![
        "40/2 linen",
        "8/2 cotton",
        "2 wraps per cm",
        "55 m per 100 g wool",
        "30 wraps per cm",
    ]);
    let weave = prop::sample::select(vec!["plain", "twill 2/2", "basket 2", "sateen 5", "rib of 2 ends"]);
    (1_u32..14, yarn.clone(), yarn, weave, 1_u32..9, 1_u32..14, 1_u32..14, 0.4_f64..20.0, any::<bool>())
        .prop_map(|(ends, warp, weft, weave, rows, a, b, pitch, round)| {
            let (first, last) = (a.min(b).min(ends), a.max(b).min(ends));
            let path = if round { "path = \"round\"\n" } else { "" };
            format!(
                r##"schema = 1
name = "Any"
[loom]
notches = 40
pitch = "{pitch:.2} mm"
turn-to-turn = "30 cm"
clear-height = "29 cm"
[yarn.reed]
colour = "#a88b4c"
size = "{warp}"
[yarn.foam]
colour = "#ffffff"
size = "{weft}"
[warp]
ends = {ends}
order = ["1 reed", "1 foam"]
{path}[weft.second]
yarn = "foam"
doubled = true
[band.one]
wefts = ["foam", "second"]
weave = "{weave}"
rows = {rows}
[band.two]
wefts = ["second"]
rows = [{{ row = "over 1, under 2", ends = "{first} to {last}" }}, "under 1, over 1"]
[piece]
bands = ["one", "two"]
"##
            )
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_woven_is_pictured(text in any_plan(), per_mm in 0.2_f64..4.0, frame in any::<bool>()) {
        let Ok(note) = fellmark_note::read(&text) else { return Err(TestCaseError::reject("not a plan")) };
        let Ok(study) = fellmark_core::study::study(&note.plan) else { return Err(TestCaseError::reject("not a piece")) };
        let options = Picture { scale: Scale::PerMm(per_mm), frame, rows: (!frame).then_some(0..5), ..Picture::default() };
        let raster = made(&study, &options);
        prop_assert_eq!(raster.rgb.len(), raster.width as usize * raster.height as usize * 3);
        let (_, _, all) = shown(&study, &options).unwrap();
        // Strands much thinner than a pixel may all lie between the middles of pixels; from a pixel for a mm on, the
        // rows that are asked for take several.
        prop_assert!(per_mm < 1.0 || all.iter().any(|what| *what != Shown::Paper));
    }
}

/// From side to side and from foot to head of what is shown, in pixels.
fn extent((width, _, all): &(u32, u32, Vec<Shown>), counts: impl Fn(Shown) -> bool) -> (f64, f64) {
    let (mut across, mut up) = ((u32::MAX, 0), (u32::MAX, 0));
    for (at, _) in (0_u32..).zip(all).filter(|(_, what)| counts(**what)) {
        let (x, y) = (at % width, at / width);
        across = (across.0.min(x), across.1.max(x + 1));
        up = (up.0.min(y), up.1.max(y + 1));
    }
    (f64::from(across.1 - across.0), f64::from(up.1 - up.0))
}

#[test]
fn in_every_state_the_cloth_is_as_large_as_its_size_says() {
    let study = studied(&plan(
        12,
        r#"
[habits]
spring-back-linen = "6 %"
[band.pools]
wefts = ["foam"]
weave = "plain"
rows = 60
[piece]
bands = ["pools"]
"#,
    ));
    let mut lengths = Vec::new();
    for state in [State::OnLoom, State::Released, State::Finished] {
        for surface in [Surface::Front, Surface::Back] {
            let options = Picture { surface, state, scale: Scale::Dpi(254.0), ..small() };
            let size = study.size.of(state);
            let seen = shown(&study, &options).unwrap();
            let (wide, high) = extent(&seen, |what| matches!(what, Shown::Row(_)));
            // 10 pixels are a mm. Turns stand out farther than the rows themselves.
            let (width, length) = (size.width.likely.mm() * 10.0, size.length.likely.mm() * 10.0);
            // Where nothing hems them in the outermost rows lie wider than the room they take.
            let weft = study.cloth.thread(0);
            let high = high - (weft.spread() - weft.along).mm() * 10.0;
            assert!((wide / width - 1.0).abs() < 0.015, "{state:?} {wide} {width}");
            assert!((high / length - 1.0).abs() < 0.01, "{state:?} {high} {length}");
            // The first and the last end, wherever the picture puts them.
            let at = placement(&study, &options).unwrap();
            let apart = (at.end_to_end * 11.0).abs();
            assert!(
                (apart + 10.0 * (size.width.likely.mm() - study.size.stance(state).spacing.mm() * 11.0)
                    - width)
                    .abs()
                    < 3.0
            );
            lengths.push(high);
        }
    }
    // The states are told apart.
    assert!(lengths[0] > lengths[2] * 1.02 && lengths[2] > lengths[4] * 1.02, "{lengths:?}");
}

#[test]
fn a_pixel_of_a_crossing_leads_back_to_its_row_and_end() {
    let study = studied(&plan(12, BANDS));
    for state in [State::OnLoom, State::Released, State::Finished] {
        for surface in [Surface::Front, Surface::Back] {
            let options = Picture { surface, state, scale: Scale::PerMm(12.0), ..small() };
            let at = placement(&study, &options).unwrap();
            let (width, height, all) = shown(&study, &options).unwrap();
            assert_eq!((width, height), (at.width, at.height));
            let mut found = 0;
            for row in 0..study.piece.row_count() {
                let crossings = study.piece.crossings(row);
                for end in crossings.span().ends() {
                    let (x, y) = (
                        study.cloth.spacing() * f64::from(end),
                        study.cloth.row(row).at(Across::End(end)).unwrap(),
                    );
                    let (px, py) = at.pixel(x, y);
                    let (back_x, back_y) = at.point(px, py);
                    assert!((back_x - x).abs().mm() < 1e-6 && (back_y - y).abs().mm() < 1e-6);
                    // What is seen there is the front's row or end, numbered as that side has them.
                    let number = if surface == Surface::Back { 11 - end } else { end };
                    let what = all[py as usize * width as usize + px as usize];
                    match what {
                        Shown::Row(seen) if seen == row => found += 1,
                        Shown::End(seen) => assert_eq!(seen, number),
                        _ => {}
                    }
                }
            }
            assert!(found > 60, "{state:?} {surface:?} {found}");
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
fn the_ground_is_the_colour_that_was_asked_for() {
    let study = studied(&plan(12, BANDS));
    for ground in [PAPER, EVENING, Srgb([255; 3]), Srgb([0; 3])] {
        let whole = Picture { ground, ..Picture { frame: true, ..small() } };
        let raster = made(&study, &whole);
        let (_, _, all) = shown(&study, &whole).unwrap();
        assert_eq!(raster.rgb[..3], ground.0);
        let pixels = raster.rgb.chunks(3).zip(&all).filter(|(_, shown)| **shown == Shown::Paper);
        let (as_it_is, on_paper) =
            pixels.fold((0, 0), |(same, all), (rgb, _)| (same + usize::from(rgb == ground.0), all + 1));
        // Only beside the frame and the cloth it takes their shadow.
        assert!(as_it_is * 2 > on_paper, "{ground:?}: {as_it_is} of {on_paper}");
    }
}

/// What a JPEG loses: its file is read back by a decoder from outside (zune-jpeg). From memory: from a peak
/// signal-to-noise ratio of about 35 dB on, which is 255 squared over 3162, a photograph is hard to tell from the original.
#[test]
fn a_jpeg_is_small_and_shows_the_same() {
    let study = studied(&plan(12, BANDS));
    let raster = made(&study, &Picture { scale: Scale::Width(700), ..Picture::default() });
    let file = jpeg(&raster).unwrap();
    let exact = png(&raster);
    assert!(file.len() * 3 < exact.len() * 2, "{} of {}", file.len(), exact.len());
    let mut decoder = zune_jpeg::JpegDecoder::new(zune_jpeg::zune_core::bytestream::ZCursor::new(&file));
    let read = decoder.decode().unwrap();
    assert_eq!(decoder.dimensions().map(|(w, h)| (w as u32, h as u32)), Some((raster.width, raster.height)));
    let square = |(a, b): (&u8, &u8)| f64::from(u32::from(a.abs_diff(*b)).pow(2));
    let mean = read.iter().zip(&raster.rgb).map(square).sum::<f64>() / read.len() as f64;
    assert!(mean < 255.0 * 255.0 / 3162.0, "{mean}");
    assert_eq!(jpeg(&Raster { width: 0, ..raster.clone() }), None);
    assert_eq!(jpeg(&Raster { height: 70_000, ..raster }), None);
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
