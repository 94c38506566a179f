//! Laws of the picture: it shows what is woven where the packing puts it, and equal input gives equal bytes.

mod support;

use fellmark_core::cloth::Across;
use fellmark_core::cloth::size::State;
use fellmark_core::side::Surface;
use fellmark_core::study::Study;
use fellmark_core::yarn::Srgb;
use fellmark_picture::relief::{
    EVENING, PAPER, Picture, Raster, Region, Scale, Shown, jpeg, picture, placement, png, shown,
};
use proptest::prelude::*;
use std::num::NonZeroUsize;
use support::pictured::{made, place, small};
use support::{BANDS, plan, studied};

#[test]
fn any_number_of_threads_and_any_region_give_the_same_pixels() {
    let study = studied(&plan(12, BANDS));
    for surface in [Surface::Front, Surface::Back] {
        // The second of them is drawn finer and averaged.
        for (frame, scale) in [(true, 6.0), (false, 3.0), (false, 21.0)] {
            let whole = Picture { surface, frame, scale: Scale::PerMm(scale), ..Picture::default() };
            let threads = |n| made(&study, &Picture { threads: NonZeroUsize::new(n), ..whole.clone() });
            let all = threads(1);
            assert!([2, 3, usize::MAX].map(threads).iter().all(|made| *made == all));
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

/// Wherever the pieces of which a picture is made begin: what is measured from where one begins is rounded its own way, and
/// then a pixel beside an edge may be of another strand.
#[test]
fn strips_that_begin_anywhere_are_parts_of_the_whole() {
    for plan in [
        include_str!("../../../examples/marsh-light-panel.toml"),
        include_str!("../../../examples/tideline-mat.toml"),
    ] {
        let study = studied(plan);
        let options = Picture { state: State::Finished, scale: Scale::Width(777), ..Picture::default() };
        let all = made(&study, &options);
        for wide in [67, 200, 259] {
            for x in (0..all.width).step_by(wide) {
                let region = Some(Region { x, y: 0, width: wide as u32, height: all.height });
                let part = made(&study, &Picture { region, ..options.clone() });
                let long = part.width as usize * 3;
                let lines = part.rgb.chunks(long).zip(all.rgb.chunks(all.width as usize * 3));
                for (line, (part, all)) in lines.enumerate() {
                    let from = x as usize * 3;
                    assert!(part == &all[from..from + long], "{}: {x}, line {line}", study.piece.name);
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

/// Plans of any measure, with rows over some of the ends.
fn any_plan() -> impl Strategy<Value = String> {
    let yarn = prop::sample::select(vec![
        "40/2 linen",
        "8/2 cotton",
        "2 wraps per cm",
        "132 m per 100 g wool",
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
