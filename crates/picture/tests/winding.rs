//! The warp on its frame, drawn: its yarn is followed from knot to knot in the drawing's own lines.

mod support;

use fellmark_core::say::Units;
use fellmark_core::warp::{Bar, wind};
use fellmark_picture::winding;
use roxmltree::Document;
use support::reader::{self, Part};
use support::{plan, studied};

const BAND: &str =
    "[band.ground]\nwefts = [\"reed\"]\nweave = \"plain\"\nrows = 4\n[piece]\nbands = [\"ground\"]\n";

/// What is read back of one block: where its lengths lie across, its loops as (bar, from, to), its knots as (bar, across).
#[derive(Debug, Default, PartialEq)]
struct Read {
    lengths: Vec<f64>,
    loops: Vec<(Bar, f64, f64)>,
    knots: Vec<(Bar, f64)>,
}

/// Above the middle of the drawing lies the far bar.
fn bar(svg: &Document, down: f64) -> Bar {
    let height: f64 = svg.root_element().attribute("height").unwrap().parse().unwrap();
    if down < height / 2.0 { Bar::Far } else { Bar::Near }
}

fn read(svg: &Document) -> Read {
    let mut read = Read::default();
    for path in reader::of_class(svg, "yarn") {
        for part in reader::parts(path.attribute("d").unwrap()) {
            let [(left, right), (top, foot)] = reader::bounds(&part);
            let (first, last): (&Part, _) = (&part, part.last().unwrap());
            if bar(svg, top) == bar(svg, foot) {
                read.loops.push((bar(svg, top), first[0].0, last.0));
            } else {
                assert_eq!(left, right, "a length goes straight from bar to bar");
                read.lengths.push(left);
            }
        }
    }
    for knot in reader::of_class(svg, "knot") {
        let number = |name: &str| knot.attribute(name).unwrap().parse::<f64>().unwrap();
        read.knots.push((bar(svg, number("cy")), number("cx")));
    }
    read
}

/// Follows the yarn from its first knot: up and down, by whatever loop begins where it is. Gives the lengths that it went.
fn follow(read: &Read) -> Vec<f64> {
    let (mut at, mut x) = read.knots[0];
    let mut went = Vec::new();
    let mut loops = read.loops.clone();
    loop {
        assert!(read.lengths.contains(&x), "no length at {x}");
        went.push(x);
        at = at.other();
        let Some(next) = loops.iter().position(|&(bar, from, _)| bar == at && from == x) else { break };
        x = loops.swap_remove(next).2;
    }
    assert!(loops.is_empty(), "loops that nothing leads to: {loops:?}");
    assert_eq!((at, x), read.knots[1], "it is tied where it ends");
    went
}

#[test]
fn the_yarn_goes_up_and_down_from_knot_to_knot_through_every_notch() {
    for ends in [1, 2, 7, 24] {
        let study = studied(&plan(ends, BAND));
        let text = winding(&study, None, Units::Metric).unwrap();
        let svg = Document::parse(&text).unwrap();
        let read = read(&svg);
        let went = follow(&read);
        assert_eq!(went, read.lengths, "from the left to the right");
        assert_eq!(went.len(), ends as usize);
        // A zigzag of an odd number of lengths ends at the other bar (a fact of the trade; common practice, no source).
        assert_eq!(read.knots.map_bars(), [Bar::Near, if ends % 2 == 0 { Bar::Near } else { Bar::Far }]);
        let block = &wind(&study.piece, &study.habits).blocks[0];
        let count = |bar: Bar| read.loops.iter().filter(|(at, ..)| *at == bar).count() as u32;
        assert_eq!([count(Bar::Near), count(Bar::Far)], [block.loops_near, block.loops_far]);
    }
}

trait Bars {
    fn map_bars(&self) -> Vec<Bar>;
}

impl Bars for Vec<(Bar, f64)> {
    fn map_bars(&self) -> Vec<Bar> {
        self.iter().map(|&(bar, _)| bar).collect()
    }
}

#[test]
fn round_and_round_it_comes_back_behind_the_frame() {
    let study = studied(&plan(9, BAND).replace("[warp]\n", "[warp]\npath = \"round\"\n"));
    let text = winding(&study, None, Units::Metric).unwrap();
    let svg = Document::parse(&text).unwrap();
    let read = read(&svg);
    assert_eq!(read.lengths.len(), 9);
    let [behind] = reader::of_class(&svg, "behind")[..] else { panic!("one path behind the frame") };
    assert_eq!(reader::parts(behind.attribute("d").unwrap()).len(), 9, "one behind each in front");
    assert_eq!(
        read.loops.iter().filter(|(bar, ..)| *bar == Bar::Near).count(),
        8,
        "the way to the next notch"
    );
    assert_eq!(read.knots.map_bars(), [Bar::Near, Bar::Near]);
}

/// Yarn goes round the wood between two notches, and can't turn within one: of two strands in each notch each goes its own way
/// through all of them (common practice, no source).
#[test]
fn two_strands_in_each_notch_are_two_lengths_side_by_side() {
    for (act, ends) in [("one end", 6), ("ends", 12)] {
        let loom = format!("[loom]\nstrands = 2\nstrands-act-as = \"{act}\"\n");
        let study = studied(&plan(ends, BAND).replace("[loom]\n", &loom));
        let wound = wind(&study.piece, &study.habits);
        assert_eq!((wound.blocks.len(), wound.alike().len()), (2, 1), "two lengths that are alike");
        let text = winding(&study, None, Units::Metric).unwrap();
        let svg = Document::parse(&text).unwrap();
        let both = read(&svg);
        assert_eq!(both.lengths.len(), 12);
        assert_eq!(both.knots.map_bars(), [Bar::Near; 4]);
        let mut went: Vec<f64> = (0..2)
            .flat_map(|nth| {
                // The loops of a length begin where its lengths lie: every second one from the left.
                let of = |x: &f64| both.lengths.iter().filter(|other| *other < x).count() % 2 == nth;
                let mut lengths: Vec<f64> = both.lengths.iter().copied().filter(|x| of(x)).collect();
                lengths.sort_by(f64::total_cmp);
                let loops = both.loops.iter().copied().filter(|(_, from, _)| of(from)).collect();
                let knots = both.knots.iter().copied().filter(|(_, x)| of(x)).collect();
                follow(&Read { lengths, loops, knots })
            })
            .collect();
        went.sort_by(f64::total_cmp);
        went.dedup();
        assert_eq!(went.len(), 12);
    }
}

#[test]
fn step_by_step_it_shows_what_is_wound_now_and_before_and_nothing_that_comes_after() {
    let study = studied(&plan(12, BAND).replace("order = [\"1 reed\"]", "order = [\"4 reed\", \"4 foam\"]"));
    let wound = wind(&study.piece, &study.habits);
    let tasks = wound.tasks().len();
    let lengths = |task: usize| {
        let text = winding(&study, Some(task), Units::Metric).unwrap();
        let svg = Document::parse(&text).unwrap();
        let pale = svg.descendants().filter(|node| node.attribute("class") == Some("before")).count();
        (read(&svg).lengths.len(), pale)
    };
    // The place; reed at both sides; foam between them, looked at closely, with two ends beside it; and all of it counted.
    assert_eq!((0..tasks).map(lengths).collect::<Vec<_>>(), [(0, 0), (8, 0), (8, 1), (12, 0)]);
    assert_eq!(winding(&study, Some(tasks), Units::Metric), None);
}

#[test]
fn a_warp_of_any_width_is_as_wide_as_the_drawing_and_no_notch_is_too_near_the_next() {
    for ends in [60, 300, 4000] {
        let study = studied(&plan(ends, BAND));
        let tasks = wind(&study.piece, &study.habits).tasks().len();
        for task in [None].into_iter().chain((0..tasks).map(Some)) {
            let text = winding(&study, task, Units::Metric).unwrap();
            let svg = Document::parse(&text).unwrap();
            let read = read(&svg);
            let width: f64 = svg.root_element().attribute("width").unwrap().parse().unwrap();
            assert!(read.lengths.iter().all(|x| (0.0..width).contains(x)));
            assert!(read.lengths.windows(2).all(|pair| pair[1] - pair[0] > 6.0), "{ends}");
            assert!(text.len() < 40_000, "{}", text.len());
        }
    }
}

#[test]
fn who_does_not_see_it_reads_it_in_inches_too() {
    let study = studied(&plan(24, BAND));
    let told = |units: Units| {
        let text = winding(&study, None, units).unwrap();
        let svg = Document::parse(&text).unwrap();
        let desc = svg.descendants().find(|node| node.has_tag_name("desc"));
        desc.and_then(|node| node.text()).unwrap().to_owned()
    };
    let (cm, inches) = (told(Units::Metric), told(Units::Inch));
    assert!(cm.contains("outer ends 11.5 cm apart"), "{cm}");
    assert!(inches.contains("outer ends 4 1/2 in apart") && !inches.contains(" cm"), "{inches}");
}
