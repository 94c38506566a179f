//! Yarn between rows of which one stops short of the other: it lies on the face of the cloth, so it is told, measured and
//! judged, and where it would lie there too long it is cut.

mod common;

use common::on_slate;
use fellmark_core::need;
use fellmark_core::quantity::Mm;
use fellmark_core::say;
use fellmark_core::side::{Side, Span};
use fellmark_core::sound::floats::{FloatList, list};
use fellmark_core::study::Study;
use fellmark_core::walk::{Step, TurnState};

/// On 20 ends: ends `first` to 20 for four rows, then all for four.
fn shape(first: u32) -> Study {
    on_slate(
        20,
        &format!(
            r#"
[band.short]
wefts = ["slate"]
weave = "plain"
ends = "{first} to 20"
rows = 4
[band.whole]
wefts = ["slate"]
weave = "plain"
rows = 4
[piece]
bands = ["short", "whole"]
"#
        ),
    )
}

fn floats(study: &Study) -> FloatList {
    list(&study.piece, &study.walk, &study.habits)
}

fn before(study: &Study, row: usize) -> &[Step] {
    &study.walk.rows[row].before
}

#[test]
fn over_a_few_ends_it_is_led_in_front_and_counted() {
    let all = shape(4);
    let ends = Span::new(0, 2).unwrap();
    // Row 4 comes out past end 4, row 5 begins at end 1.
    let turn = all.walk.rows[4].turn.unwrap();
    assert_eq!((turn.side, turn.end, turn.led, turn.past), (Side::Left, 0, Some(ends), 0));
    let [Step::Lead { ends: told, .. }] = *before(&all, 4) else { panic!("{:?}", before(&all, 4)) };
    assert_eq!(told, ends);
    let words = say::step(&before(&all, 4)[0], &all.piece, say::Units::Metric);
    assert_eq!(words, "lead slate in front of ends 1 to 3 to where its row begins");
    // Three spacings of 4 mm more than up the edge alone.
    let lengths = need::row_lengths(&all.piece, &all.walk, &all.cloth, &all.habits);
    assert!((lengths[4].carry.mm() - 12.0).abs() < 1e-9, "{:?}", lengths[4]);
    assert_eq!(lengths[5].carry, Mm::ZERO);
    // It lies in front, so it joins what lies over next to it: row 4 passes end 4 over or under, row 5 end 1.
    let over = |row, end| u32::from(all.piece.crossings(row).over(end) == Some(true));
    let count = 3 + over(3, 3) + over(4, 0);
    let floats = floats(&all).weft_front.worst.clone();
    assert!(floats.iter().any(|float| float.count == count && float.rows == (3, 4)), "{count}: {floats:?}");
    // The short row counts as over there.
    assert_eq!(turn.state == TurnState::Caught, over(4, 0) == 0);
}

#[test]
fn over_many_it_is_cut_and_begun_again() {
    let all = shape(12);
    assert_eq!(all.walk.rows[4].turn, None);
    assert_eq!(all.walk.stretches.len(), 2);
    let say = |step: &Step| say::step(step, &all.piece, say::Units::Metric);
    let [cut] = all.walk.rows[3].after.iter().filter(|step| !step.is_routine()).collect::<Vec<_>>()[..]
    else {
        panic!()
    };
    assert_eq!(say(cut), "cut slate at the left of end 12, leaving a tail of 8 cm to knot or darn in");
    assert!(
        say(&before(&all, 0)[0]).starts_with("begin slate at the left of end 12, "),
        "{}",
        say(&before(&all, 0)[0])
    );
    assert!(
        say(&before(&all, 4)[0]).starts_with("begin slate at the left, "),
        "{}",
        say(&before(&all, 4)[0])
    );
    assert_eq!(floats(&all).weft_front.count, 0);
}

#[test]
fn rows_elsewhere_are_not_passed() {
    // Slate waits at the left while foam weaves ends 10 to 20: it is taken up past none of those rows.
    let all = on_slate(
        20,
        r#"
[band.left]
wefts = ["slate"]
weave = "plain"
ends = "1 to 9"
rows = 6
[band.right]
wefts = ["foam"]
weave = "plain"
ends = "10 to 20"
rows = 6
[band.whole]
wefts = ["slate"]
weave = "plain"
rows = 2
[piece]
bands = ["left", "right", "whole"]
"#,
    );
    let [step] = before(&all, 12) else { panic!("{:?}", before(&all, 12)) };
    assert_eq!(say::step(step, &all.piece, say::Units::Metric), "take up slate, which waits at the left");
    assert!(step.is_routine());
    let lengths = need::row_lengths(&all.piece, &all.walk, &all.cloth, &all.habits);
    assert_eq!(lengths[12].carry, Mm::ZERO);
}

/// Strips that never cross lie beside each other: none lies over the other, and none lifts off the front.
#[test]
fn strips_that_only_the_warp_joins_are_called_strips() {
    let strips = on_slate(
        20,
        "[band.left]\nwefts = [\"slate\"]\nweave = \"plain\"\nends = \"1 to 10\"\nrows = 12\n[band.right]\n\
         wefts = [\"foam\"]\nweave = \"plain\"\nends = \"11 to 20\"\nrows = 12\n[piece]\nbands = [\"left\", \"right\"]\n",
    );
    let said: Vec<String> = (strips.findings.iter())
        .map(|finding| say::finding(finding, &strips.piece, say::Units::Metric).to_string())
        .collect();
    let strips =
        "Only its turns and loops join 2 strips that lie side by side: ends 1 to 10 and ends 11 to 20.";
    assert!(said.iter().any(|said| said == strips), "{said:#?}");
}
