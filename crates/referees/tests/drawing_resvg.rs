//! Looks: resvg, a renderer from outside, draws the drawing, and the colours at the places where strands meet
//! are those of the strand that lies in front.

#[path = "../../picture/tests/support/mod.rs"]
mod support;

use fellmark_core::side::{Side, Surface};
use fellmark_core::study::Study;
use fellmark_picture::{Drawing, drawing};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};
use roxmltree::Document;
use support::{plan, reader, studied};

/// Dots in a millimetre.
const DOTS: f64 = 20.0;
/// An SVG's millimetre in CSS pixels: 96 to the inch (CSS Values and Units 4, "absolute lengths").
const CSS_PIXELS: f64 = 96.0 / 25.4;

const REED: [u8; 3] = [0xa8, 0x8b, 0x4c];
const FOAM: [u8; 3] = [0xe3, 0xe9, 0xde];
const SLATE: [u8; 3] = [0x2d, 0x6f, 0x73];

/// A rendered drawing.
struct Rendered {
    text: String,
    pixels: Pixmap,
}

fn render(study: &Study, surface: Surface) -> Rendered {
    let text = drawing(study, &Drawing { surface, frame: false, ..Drawing::default() });
    let tree = Tree::from_str(&text, &Options::default()).unwrap();
    let dots = |css: f32| (f64::from(css) / CSS_PIXELS * DOTS).ceil() as u32;
    let mut pixels = Pixmap::new(dots(tree.size().width()), dots(tree.size().height())).unwrap();
    let scale = (DOTS / CSS_PIXELS) as f32;
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixels.as_mut());
    Rendered { text, pixels }
}

impl Rendered {
    /// The colour at a place of the sheet, in mm from its upper left corner.
    fn at(&self, x: f64, y: f64) -> [u8; 3] {
        let pixel = self.pixels.pixel((x * DOTS) as u32, (y * DOTS) as u32).unwrap().demultiply();
        [pixel.red(), pixel.green(), pixel.blue()]
    }
}

/// The height on the sheet of the middle of each row.
fn heights(svg: &Document, rows: u32) -> Vec<f64> {
    let nodes: Vec<_> = ["over", "under"].iter().flat_map(|class| reader::of_class(svg, class)).collect();
    (1..=rows)
        .map(|row| {
            let name = row.to_string();
            let node = nodes.iter().find(|node| node.attribute("data-row") == Some(&name)).unwrap();
            let points = reader::parts(node.attribute("d").unwrap()).concat();
            let [_, y] = reader::bounds(&points);
            f64::midpoint(y.0, y.1)
        })
        .collect()
}

/// Rows that keep well apart and hardly bend, as they are drawn: nothing lies over a crossing but its own two strands.
const OPEN: &str = "\n[habits]\ncomb = 3.0\nstiffness = 10000\n";

/// At every crossing of a piece whose wefts are drawn in these colours.
fn check_crossings(text: &str, wefts: &[[u8; 3]]) {
    let study = studied(text);
    for surface in [Surface::Front, Surface::Back] {
        let rendered = render(&study, surface);
        let svg = Document::parse(&rendered.text).unwrap();
        let (ends, heights) = (reader::ends(&svg), heights(&svg, study.piece.row_count()));
        let seen = match surface {
            Surface::Front => study.piece.clone(),
            Surface::Back => study.piece.turned(),
        };
        for row in 0..seen.row_count() {
            let weft = wefts[seen.row(row).weft.0];
            for end in 0..seen.end_count() {
                let expected = match seen.grid.over(row, end) {
                    Some(true) => weft,
                    Some(false) => REED,
                    None => continue,
                };
                let found = rendered.at(ends[end as usize], heights[row as usize]);
                assert_eq!(found, expected, "{surface:?}: row {}, place {} from the left", row + 1, end + 1);
            }
        }
    }
}

#[test]
fn the_strand_in_front_shows_at_every_crossing_of_plain_weave() {
    let more = format!(
        "[band.ground]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 9\n[piece]\nbands = [\"ground\"]{OPEN}"
    );
    check_crossings(&plan(10, &more), &[SLATE]);
}

#[test]
fn the_strand_in_front_shows_in_columns_a_diagonal_and_a_satin_of_two_wefts() {
    let more = format!(
        r#"[band.pools]
wefts = ["slate", "foam"]
opening = "over 5, under 3"
opposite = true
rows = 8
[band.shoals]
like = "pools"
exchanged = true
[band.tide]
wefts = ["slate", "foam"]
opening = "over 4, under 2"
opposite = true
step = "1 right every pair"
rows = 14
[band.calm]
wefts = ["foam"]
weave = "satin 5"
ends = "3 to 12"
rows = 10
[piece]
bands = ["pools", "shoals", "tide", "calm"]{OPEN}"#
    );
    check_crossings(&plan(16, &more), &[SLATE, FOAM]);
}

/// Where two wefts are crossed at the edge, the colour there is that of the weft that lies under the last end:
/// "whichever weft is under the last end comes over the other one" (common practice, no source).
#[test]
fn at_the_edges_the_weft_that_lies_under_the_last_end_comes_over_the_other() {
    let more = format!(
        "[band.pools]\nwefts = [\"slate\", \"foam\"]\nopening = \"over 3, under 2\"\nopposite = true\nrows = 14\n[piece]\nbands = [\"pools\"]{OPEN}"
    );
    // Over 3, under 2, over 3: slate lies over both edge ends, so foam comes over slate at both.
    check_edges(&plan(8, &more), FOAM, FOAM);
    // Over 3, under 2: slate lies over the first end and under the last.
    check_edges(&plan(5, &more), FOAM, SLATE);
}

/// The colour that is to be seen from the front at every crossing of the left and of the right edge; from the
/// back it is the other.
fn check_edges(text: &str, left: [u8; 3], right: [u8; 3]) {
    let study = studied(text);
    for surface in [Surface::Front, Surface::Back] {
        let rendered = render(&study, surface);
        let svg = Document::parse(&rendered.text).unwrap();
        let heights = heights(&svg, study.piece.row_count());
        let loops = reader::of_class(&svg, "turn");
        let mut met = 0;
        for turn in study.walk.turns() {
            // The other weft comes out between this turn's two rows; the loop nearer the cloth has its lane there.
            let Some(partner) = study.walk.turns().find(|other| {
                let between = turn.since < other.since && other.since < turn.row && turn.row < other.row;
                other.side == turn.side && between
            }) else {
                continue;
            };
            let at_the_left = (turn.side == Side::Left) == (surface == Surface::Front);
            let lane = |since: u32, row: u32| {
                let name = format!("{}-{}", since + 1, row + 1);
                let node = loops.iter().find(|node| node.attribute("data-rows") == Some(&name)).unwrap();
                let [x, _] = reader::bounds(&reader::parts(node.attribute("d").unwrap())[0]);
                if at_the_left { x.0 } else { x.1 }
            };
            let (a, b) = (lane(turn.since, turn.row), lane(partner.since, partner.row));
            let (x, row) = if (a > b) == at_the_left { (a, partner.since) } else { (b, turn.row) };
            let inward = if at_the_left { 0.1 } else { -0.1 };
            let found = rendered.at(x + inward, heights[row as usize]);
            let front = if turn.side == Side::Left { left } else { right };
            let back = if front == FOAM { SLATE } else { FOAM };
            let expected = if surface == Surface::Front { front } else { back };
            assert_eq!(found, expected, "{surface:?}, {:?}, turn from row {}", turn.side, turn.since + 1);
            met += 1;
        }
        assert!(met >= 4, "{met} crossings");
    }
}

#[test]
fn what_is_no_yarn_has_no_strong_colour() {
    let more =
        "[band.ground]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 3\n[piece]\nbands = [\"ground\"]";
    let study = studied(&plan(6, more));
    let text = drawing(&study, &Drawing::default());
    let yarn: Vec<String> = study.piece.yarns.iter().map(|yarn| yarn.colour.to_string()).collect();
    let svg = Document::parse(&text).unwrap();
    for node in svg.descendants() {
        for colour in ["fill", "stroke"].iter().filter_map(|name| node.attribute(*name)) {
            if colour == "none" || yarn.iter().any(|known| known == colour) {
                continue;
            }
            let part = |at: usize| i32::from_str_radix(&colour[at..at + 2], 16).unwrap();
            let parts = [part(1), part(3), part(5)];
            let spread = parts.iter().max().unwrap() - parts.iter().min().unwrap();
            assert!(spread <= 24, "{colour} is no paper, ink or wood");
        }
    }
}
