//! What is drawn is what is woven: read back from the drawing's own lines.

mod support;

use fellmark_core::cloth::Across;
use fellmark_core::say::Units;
use fellmark_core::side::{Side, Surface};
use fellmark_core::study::Study;
use fellmark_core::walk::TurnState;
use fellmark_picture::{Drawing, drawing};
use proptest::prelude::*;
use roxmltree::Document;
use support::{plan, reader, studied};

fn bare(surface: Surface) -> Drawing {
    Drawing { surface, frame: false, ..Drawing::default() }
}

/// The ends that each row goes over and under, by the grid; as they lie on the sheet from the left.
fn woven(study: &Study, surface: Surface) -> [Vec<(u32, Vec<usize>)>; 2] {
    let piece = match surface {
        Surface::Front => study.piece.clone(),
        Surface::Back => study.piece.turned(),
    };
    [true, false].map(|over| {
        let rows = (0..piece.row_count()).map(|row| {
            let ends = (0..piece.end_count()).filter(|&end| piece.grid.over(row, end) == Some(over));
            (row + 1, ends.map(|end| end as usize).collect::<Vec<_>>())
        });
        rows.filter(|(_, ends)| !ends.is_empty()).collect()
    })
}

fn check(study: &Study) {
    for surface in [Surface::Front, Surface::Back] {
        let text = drawing(study, &bare(surface));
        let svg = Document::parse(&text).unwrap_or_else(|error| panic!("{error}: {text}"));
        let [over, under] = woven(study, surface);
        assert_eq!(reader::passed(&svg, "over"), over);
        assert_eq!(reader::passed(&svg, "under"), under);
    }
}

const COLUMNS: &str = r#"
[band.hem]
wefts = ["reed"]
weave = "plain"
rows = 4
[band.pools]
wefts = ["slate", "foam"]
opening = "over 5, under 3"
opposite = true
rows = 10
[band.shoals]
like = "pools"
exchanged = true
[band.tongue]
wefts = ["samphire"]
weave = "twill 2/2"
ends = "3 to 8"
rows = 6
[piece]
bands = ["hem", "pools", "shoals", "tongue", "hem"]
"#;

#[test]
fn strands_lie_over_and_under_the_ends_that_the_grid_says_on_both_sides() {
    check(&studied(&plan(13, COLUMNS)));
}

#[test]
fn layers_are_drawn_from_the_back_to_the_front() {
    let text = drawing(&studied(&plan(13, COLUMNS)), &Drawing::default());
    let at = |class: &str| text.find(&format!("class=\"{class}\"")).unwrap_or_else(|| panic!("no {class}"));
    let order = ["ground", "frame", "rows-under", "warp", "rows-over", "edges"].map(at);
    assert!(order.is_sorted(), "{order:?}");
}

#[test]
fn every_turn_is_one_loop_and_every_yarn_has_its_two_tails() {
    let study = studied(&plan(13, COLUMNS));
    let text = drawing(&study, &Drawing::default());
    let svg = Document::parse(&text).unwrap();
    let mut drawn: Vec<&str> =
        reader::of_class(&svg, "turn").iter().map(|node| node.attribute("data-rows").unwrap()).collect();
    let mut walked: Vec<String> =
        study.walk.turns().map(|turn| format!("{}-{}", turn.since + 1, turn.row + 1)).collect();
    drawn.sort_unstable();
    walked.sort_unstable();
    assert_eq!(drawn, walked);
    let caught = study.walk.turns().filter(|turn| turn.state == TurnState::Caught).count();
    assert_eq!(reader::of_class(&svg, "caught").len(), caught);
    let open = study.walk.turns().filter(|turn| turn.is_open()).count();
    assert_eq!(reader::of_class(&svg, "loose").len(), open);
    assert_eq!(reader::of_class(&svg, "tail").len(), 2 * study.walk.stretches.len());
}

#[test]
fn a_turn_is_a_loop_outside_the_edge_end_from_one_row_to_the_next() {
    let study = studied(&plan(
        9,
        "[band.ground]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 6\n[piece]\nbands = [\"ground\"]",
    ));
    let text = drawing(&study, &bare(Surface::Front));
    let svg = Document::parse(&text).unwrap();
    let ends = reader::ends(&svg);
    let turns: Vec<_> = study.walk.turns().collect();
    let loops = reader::of_class(&svg, "turn");
    assert_eq!(loops.len(), 5);
    for node in loops {
        let part = &reader::parts(node.attribute("d").unwrap())[0];
        let [x, y] = reader::bounds(part);
        let name = node.attribute("data-rows").unwrap();
        let turn = turns.iter().find(|t| format!("{}-{}", t.since + 1, t.row + 1) == name).unwrap();
        match turn.side {
            Side::Left => assert!(x.1 < ends[0]),
            Side::Right => assert!(x.0 > ends[8]),
        }
        let rise = (study.piece.row(turn.row).height - study.piece.row(turn.since).height).mm();
        assert!((y.1 - y.0 - rise).abs() < 0.02);
    }
}

#[test]
fn wefts_that_wait_side_by_side_go_up_in_lanes_of_their_own() {
    let more = "[band.three]\nwefts = [\"slate\", \"foam\", \"samphire\"]\nweave = \"plain\"\nrows = 12\n[piece]\nbands = [\"three\"]";
    let study = studied(&plan(8, more));
    let text = drawing(&study, &bare(Surface::Front));
    let svg = Document::parse(&text).unwrap();
    let mut loops: Vec<(u32, u32, f64)> = Vec::new();
    for node in reader::of_class(&svg, "turn") {
        let (since, row) = node.attribute("data-rows").unwrap().split_once('-').unwrap();
        let part = &reader::parts(node.attribute("d").unwrap())[0];
        let [x, _] = reader::bounds(part);
        let left = x.0 < reader::ends(&svg)[0];
        loops.push((since.parse().unwrap(), row.parse().unwrap(), if left { x.0 } else { x.1 }));
    }
    let same_side = |a: f64, b: f64| (a - b).abs() < 20.0;
    for (k, a) in loops.iter().enumerate() {
        for b in &loops[k + 1..] {
            if same_side(a.2, b.2) && a.0.max(b.0) < a.1.min(b.1) {
                // Slate and samphire are 1/6 cm thick, squeezed to a bit more than half of that.
                assert!((a.2 - b.2).abs() > 0.9, "{a:?} and {b:?} lie in one lane");
            }
        }
    }
    assert!(loops.len() > 6);
}

#[test]
fn the_frame_has_all_its_notches_and_the_warp_stands_in_its_middle() {
    let study = studied(&plan(13, COLUMNS));
    let text = drawing(&study, &Drawing::default());
    let svg = Document::parse(&text).unwrap();
    let frame = &reader::parts(reader::of_class(&svg, "frame")[0].attribute("d").unwrap())[0];
    // The ground of a notch is round: a point between two that lie as high and as far from it.
    let round = frame.windows(3).filter(|three| {
        let near = |a: f64, b: f64| (a - b).abs() < 0.015;
        near(three[0].1, three[2].1)
            && !near(three[0].1, three[1].1)
            && near(three[1].0 - three[0].0, three[2].0 - three[1].0)
    });
    let middles: Vec<f64> = round.map(|three| three[1].0).collect();
    assert_eq!(middles.len(), 2 * 17);
    let knots: Vec<f64> = reader::of_class(&svg, "knot")
        .iter()
        .map(|knot| knot.attribute("cx").unwrap().parse().unwrap())
        .collect();
    // Thirteen ends of one yarn: it is tied at the first and at the last end; two notches are free at each side.
    let mut far: Vec<f64> = middles[..17].to_vec();
    far.sort_by(f64::total_cmp);
    assert_eq!(knots.len(), 2);
    assert!((knots[0] - far[2]).abs() < 0.011 && (knots[1] - far[14]).abs() < 0.011, "{knots:?} {far:?}");
}

#[test]
fn the_sheet_is_in_true_millimetres() {
    let study = studied(&plan(13, COLUMNS));
    let text = drawing(&study, &bare(Surface::Front));
    let svg = Document::parse(&text).unwrap();
    let root = svg.root_element();
    let view: Vec<&str> = root.attribute("viewBox").unwrap().split(' ').collect();
    assert_eq!(root.attribute("width").unwrap(), format!("{}mm", view[2]));
    assert_eq!(root.attribute("height").unwrap(), format!("{}mm", view[3]));
    let ends = reader::ends(&svg);
    assert_eq!(ends.len(), 13);
    // Twelve times a pitch of 5 mm.
    assert!((ends[12] - ends[0] - 60.0).abs() < 0.02);
}

/// A row lies at each end where packing has it, also where it bends or slopes: read from the points at which its two
/// sides pass the end.
#[test]
fn rows_lie_at_every_end_as_they_are_packed() {
    let sloping = r#"
[band.tide]
wefts = ["slate", "foam"]
opening = "over 4, under 2"
opposite = true
step = "1 right every pair"
rows = 60
[piece]
bands = ["tide"]
"#;
    for (text, surface) in [
        (plan(13, COLUMNS), Surface::Front),
        (plan(13, COLUMNS), Surface::Back),
        (plan(20, sloping), Surface::Front),
        (plan(20, sloping), Surface::Back),
    ] {
        let study = studied(&text);
        let svg = drawing(&study, &bare(surface));
        let svg = Document::parse(&svg).unwrap();
        let ends = reader::ends(&svg);
        let last = study.piece.end_count() - 1;
        let place = |end: u32| ends[if surface == Surface::Front { end } else { last - end } as usize];
        let mut found: Vec<(f64, f64)> = Vec::new();
        let mut bends = 0.0_f64;
        for node in ["over", "under"].iter().flat_map(|class| reader::of_class(&svg, class)) {
            let Some(row) = node.attribute("data-row") else { continue };
            let lie = study.cloth.row(row.parse::<u32>().unwrap() - 1);
            let all = reader::parts(node.attribute("d").unwrap());
            let (upper, lower) = all.split_at(all.len() / 2);
            for end in lie.span().ends() {
                let is_at = |point: &&(f64, f64)| (point.0 - place(end)).abs() < 0.011;
                for (upper, lower) in upper.iter().zip(lower) {
                    if let (Some(a), Some(b)) = (upper.iter().find(is_at), lower.iter().find(is_at)) {
                        let packed = lie.at(Across::End(end)).unwrap().mm();
                        found.push((f64::midpoint(a.1, b.1), packed));
                    }
                }
            }
            bends = bends.max((lie.highest() - lie.mean()).mm());
        }
        assert!(bends > 0.5, "no row bends in this piece");
        assert!(found.len() > 200, "{} places", found.len());
        // The sheet counts downward from somewhere; a level row is drawn at its mean.
        let base = found[0].0 + found[0].1;
        for (drawn, packed) in &found {
            assert!((drawn + packed - base).abs() < 0.1, "{drawn} and {packed} of {base}");
        }
    }
}

#[test]
fn rows_are_numbered_from_the_bottom_and_bands_named_once_for_each_place() {
    let study = studied(&plan(13, COLUMNS));
    for surface in [Surface::Front, Surface::Back] {
        let text = drawing(&study, &Drawing { surface, ..Drawing::default() });
        let svg = Document::parse(&text).unwrap();
        let words = |class: &str| -> Vec<String> {
            let nodes = reader::of_class(&svg, class);
            nodes.iter().map(|node| node.text().unwrap().to_owned()).collect()
        };
        assert_eq!(words("band-name"), ["hem", "pools", "shoals", "tongue", "hem"]);
        assert_eq!(words("band-rows"), ["1–4", "5–14", "15–24", "25–30", "31–34"]);
        let numbers: Vec<u32> = words("row-number").iter().map(|n| n.parse().unwrap()).collect();
        assert_eq!(numbers[0], 1);
        assert!(numbers.is_sorted() && numbers.len() > 3, "{numbers:?}");
        let heights: Vec<f64> = reader::of_class(&svg, "row-number")
            .iter()
            .map(|node| node.attribute("y").unwrap().parse().unwrap())
            .collect();
        // No number lies on another: type of 2.9 mm.
        assert!(heights.windows(2).all(|pair| pair[0] - pair[1] > 2.9));
    }
}

#[test]
fn each_yarn_is_named_beside_its_colour_also_where_bands_lie_too_close_for_it() {
    // Bands of two rows, so many that their names alone fill the height.
    let thin = "[band.ebb]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 2\n[band.flow]\nwefts = [\"foam\"]\nweave = \
                \"plain\"\nrows = 2\n[piece]\nbands = [{ times = 24, bands = [\"ebb\", \"flow\"] }]";
    for (bands, in_key) in [(COLUMNS, 0), (thin, 1)] {
        let text = drawing(&studied(&plan(13, bands)), &Drawing::default());
        let svg = Document::parse(&text).unwrap();
        let keys = reader::of_class(&svg, "key");
        assert_eq!(keys.len(), in_key);
        let names: std::collections::BTreeSet<&str> =
            reader::of_class(&svg, "weft").iter().filter_map(|node| node.text()).collect();
        assert!(names.contains("slate") && names.contains("foam"), "{names:?}");
        if let Some(key) = keys.first() {
            assert_eq!(
                key.children()
                    .filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "text")))
                    .count(),
                2
            );
            let strokes: Vec<_> = key.children().filter_map(|node| node.attribute("stroke")).collect();
            assert!(strokes.contains(&"#2d6f73"), "{strokes:?}");
        }
    }
}

#[test]
fn rows_can_be_drawn_alone() {
    let study = studied(&plan(13, COLUMNS));
    let text = drawing(&study, &Drawing { rows: Some(6..12), ..Drawing::default() });
    let svg = Document::parse(&text).unwrap();
    let rows: Vec<u32> = reader::passed(&svg, "over").into_iter().map(|(row, _)| row).collect();
    assert_eq!(rows, [7, 8, 9, 10, 11, 12]);
    assert!(reader::of_class(&svg, "frame").is_empty());
    let backward = std::ops::Range { start: 5, end: 2 };
    for rows in [0..0, backward, 40..90, 30..u32::MAX] {
        Document::parse(&drawing(&study, &Drawing { rows: Some(rows), ..Drawing::default() })).unwrap();
    }
}

#[test]
fn names_are_escaped_whatever_is_in_them() {
    let mut study = studied(&plan(13, COLUMNS));
    let awkward = "Salt & <foam> \"reed\" 'n' \u{1}\u{0}\u{fffe} ]]> &amp; <!-- \u{202e}mud\r\nlark";
    study.piece.name = awkward.into();
    study.piece.loom.name = Some(awkward.into());
    for name in study.piece.wefts.iter_mut().map(|w| &mut w.name) {
        *name = awkward.into();
    }
    for name in study.piece.yarns.iter_mut().map(|y| &mut y.name) {
        *name = awkward.into();
    }
    for name in study.piece.places.iter_mut().map(|p| &mut p.name) {
        *name = awkward.into();
    }
    let text = drawing(&study, &Drawing::default());
    let svg = Document::parse(&text).unwrap();
    let title = svg.root_element().first_element_child().unwrap();
    let expected = "Salt & <foam> \"reed\" 'n' \u{fffd}\u{fffd}\u{fffd} ]]> &amp; <!-- \u{202e}mud  lark";
    assert_eq!(title.text().unwrap(), expected);
}

#[test]
fn the_drawing_is_described_in_words_and_refers_to_nothing_outside() {
    let study = studied(&plan(13, COLUMNS));
    let text = drawing(&study, &Drawing::default());
    let svg = Document::parse(&text).unwrap();
    let children: Vec<_> = svg.root_element().children().filter(|node| node.is_element()).take(2).collect();
    assert_eq!(children[0].tag_name().name(), "title");
    assert_eq!(children[1].tag_name().name(), "desc");
    let words = children[1].text().unwrap();
    assert!(
        words.starts_with(
            &fellmark_core::say::asked(&study.piece, fellmark_core::say::Units::Metric).to_string()
        ),
        "{words}"
    );
    for forbidden in ["href", "url(", "<script", "<style", "<image", "NaN", "inf"] {
        assert!(!text.contains(forbidden), "{forbidden}");
    }
}

#[test]
fn forty_ends_of_two_hundred_rows_stay_well_below_a_megabyte() {
    let more =
        "[band.ground]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 200\n[piece]\nbands = [\"ground\"]";
    let text = drawing(&studied(&plan(40, more)), &Drawing::default());
    assert!(text.len() < 800_000, "{}", text.len());
}

/// A band of one or two parts of the piece, as a plan writes it.
fn band(name: &str, ends: u32) -> impl Strategy<Value = String> + use<> {
    let name = name.to_owned();
    let wefts = proptest::sample::subsequence(vec!["foam", "slate", "samphire", "reed"], 1..=3);
    let runs = proptest::collection::vec(1_u32..5, 1..4);
    let span = (0..ends, 0..ends).prop_map(|(a, b)| (a.min(b) + 1, a.max(b) + 1));
    (wefts, runs, any::<bool>(), -2_i32..=2, 1_u32..14, proptest::option::of(span), any::<bool>()).prop_map(
        move |(wefts, runs, opposite, step, rows, span, taken)| {
            let pass = |k: usize| if k.is_multiple_of(2) { "over" } else { "under" };
            let runs: Vec<String> = runs.iter().enumerate().map(|(k, n)| format!("{} {n}", pass(k))).collect();
            let side = if step < 0 { "left" } else { "right" };
            let step = match step.unsigned_abs() {
                0 => String::new(),
                n => format!("step = \"{n} {side}\"\n"),
            };
            let span = span.map_or(String::new(), |(a, b)| {
                if a == b { format!("ends = \"{a}\"\n") } else { format!("ends = \"{a} to {b}\"\n") }
            });
            let taken = if taken { "edges = \"taken\"\n" } else { "" };
            format!(
                "[band.{name}]\nwefts = {wefts:?}\nopening = \"{}\"\nopposite = {opposite}\n{step}{span}{taken}rows = {rows}\n",
                runs.join(", ")
            )
        },
    )
}

prop_compose! {
    fn plans()(ends in 1_u32..14)(
        ends in Just(ends),
        bands in (band("ebb", ends), band("flow", ends), band("slack", ends)),
        doubled in any::<[bool; 3]>(),
        from in any::<[bool; 3]>(),
        order in proptest::collection::vec((1_u32..4, proptest::sample::select(vec!["reed", "slate", "foam"])), 1..4),
        round in any::<bool>(),
        strands in 1_u32..3,
        act in any::<bool>(),
        comb in 0.2_f64..3.0,
        carry in 0_u32..40,
    ) -> String {
        let side = |right: bool| if right { "right" } else { "left" };
        let weft = |k: usize, name: &str| format!("[weft.{name}]\ndoubled = {}\nfrom = \"{}\"\n", doubled[k], side(from[k]));
        let order: Vec<String> = order.iter().map(|(n, yarn)| format!("{n} {yarn}")).collect();
        let act = if act { "ends" } else { "one end" };
        let notches = ends + 5;
        let text = plan(ends, &format!(
            "{}{}{}[warp]\nends = {ends}\norder = {order:?}\npath = \"{}\"\n{}{}{}[piece]\nbands = [\"ebb\", \"flow\", \"slack\", \"ebb\"]\n[habits]\ncomb = {comb:.2}\ncarry = \"{carry} mm\"\n",
            weft(0, "foam"), weft(1, "slate"), weft(2, "samphire"),
            if round { "round" } else { "zigzag" },
            bands.0, bands.1, bands.2,
        ));
        text.replacen("pitch =", &format!("strands = {strands}\nstrands-act-as = \"{act}\"\npitch ="), 1)
            .replacen(&format!("notches = {}", ends.max(1) + 4), &format!("notches = {notches}"), 1)
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    /// Spans, one end, one row, loose turns, doubled wefts, any order of yarns in the warp: the drawing is
    /// well-formed, says what the grid says, and is the same twice.
    #[test]
    fn any_plan_is_drawn_as_it_is_woven(text in plans(), inch in any::<bool>(), frame in any::<bool>()) {
        let study = studied(&text);
        check(&study);
        let units = if inch { Units::Inch } else { Units::Metric };
        for surface in [Surface::Front, Surface::Back] {
            let options = Drawing { units, surface, frame, rows: None };
            let once = drawing(&study, &options);
            prop_assert_eq!(&once, &drawing(&study, &options));
            let svg = Document::parse(&once);
            prop_assert!(svg.is_ok(), "{:?}", svg.err());
            prop_assert_eq!(reader::of_class(&svg.unwrap(), "turn").len(), study.walk.turns().count());
        }
        let rows = Drawing { rows: Some(2..6), ..Drawing::default() };
        prop_assert!(Document::parse(&drawing(&study, &rows)).is_ok());
    }
}

/// A strip of card is longer than the warp is wide, so that it can be taken hold of (common practice, no source), and no longer
/// than the frame is open.
#[test]
fn a_strip_of_card_stands_out_at_both_sides_within_the_frame() {
    for ends in [1, 12, 60] {
        let header = "[header]\nlength = \"1 cm\"\n[band.ground]\nwefts = [\"reed\"]\nweave = \"plain\"\nrows = 4\n\
                      [piece]\nbands = [\"ground\"]\n";
        let study = studied(&plan(ends, header));
        let text = drawing(&study, &Drawing::default());
        let svg = Document::parse(&text).unwrap();
        let across = |class: &str| {
            let group = reader::of_class(&svg, class)[0];
            let data = group.descendants().filter_map(|node| node.attribute("d"));
            let points = data.flat_map(reader::parts).flatten().map(|point| point.0);
            points.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)))
        };
        let (card, warp, frame) = (across("header"), across("warp"), across("frame"));
        assert!(frame.0 < card.0 && card.1 < frame.1, "{card:?} in {frame:?}");
        assert!(card.0 < warp.0 && warp.1 < card.1, "{card:?} beyond {warp:?}");
    }
}
