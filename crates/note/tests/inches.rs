//! Who writes a plan in inches is told what to do in inches.

use fellmark_core::say::Units;
use fellmark_note::{examples_in, read, study, units_of};

/// The model plan as a weaver with a ruler in inches would write it.
fn model() -> String {
    let mut text = include_str!("data/model.toml").to_owned();
    for (metric, inch) in
        [("6 mm", "1/4 in"), ("24 cm", "9 1/2 in"), ("22 cm", "8 1/2 in"), ("15 mm", "5/8 in")]
    {
        assert!(text.contains(metric));
        text = text.replacen(metric, inch, 1);
    }
    assert_eq!(units_of(&text), Units::Inch);
    assert!(study(&text).is_ok());
    text
}

/// What stands in the model, what takes its place, and how the help then begins.
#[test]
fn examples_are_in_the_unit_that_the_plan_is_written_in() {
    let cases = [
        [
            "pitch = \"1/4 in\"",
            "pitch = \"1/4\"",
            "Write a length with its unit, such as \"1/4 in\", \"1 in\" or \"1 1/2 in\".",
        ],
        [
            "pitch = \"1/4 in\"",
            "pitch = \"0 in\"",
            "Write a length that is more than nothing, such as \"1/4 in\".",
        ],
        [
            "pitch = \"1/4 in\"",
            "pitch = 6",
            "Write a length with its unit, between quotes, such as pitch = \"1/4 in\".",
        ],
        ["pitch = \"1/4 in\"", "", "Add pitch = \"1/4 in\": from the middle"],
        ["pitch = \"1/4 in\"", "pitch = 1/4 in", "Put texts between quotes, such as \"1/4 in\"."],
        ["length = \"fill\"", "", "Add rows = 8, length = \"1 1/4 in\" or length = \"fill\"."],
        ["length = \"fill\"", "length = \"long\"", "Write a length such as \"1 1/4 in\", a number of rows"],
        ["ends = 24", "", "Add ends = 24, or width = \"5 1/2 in\"."],
        [
            "have = \"22 m\"",
            "have = \"much\"",
            "Write a length or a mass with its unit, such as \"24 yd\" or \"2 oz\".",
        ],
        [
            "have = \"22 m\"",
            "halo = \"2 in\"",
            "Write how far its fibres stand out, from \"0 in\" to \"3/4 in\".",
        ],
        [
            "size = \"7 wraps per cm\"",
            "size = \"7 wraps\"",
            "Write the length of ruler they fill, such as \"18 wraps per inch\" or",
        ],
        [
            "use   = \"coaster\"",
            "finished = \"big\"",
            "Write the width and the length, such as \"4 1/2 in x 5 1/2 in\", or one of",
        ],
        ["[piece]", "[habits]\ntail = \"80 in\"\n[piece]", "Write a value from \"0 in\" to \""],
    ];
    for [right, wrong, help] in cases {
        let text = model();
        assert!(text.contains(right), "{right}");
        let text = text.replacen(right, wrong, 1);
        let problem = read(&text).expect_err(wrong);
        assert!(problem.help.starts_with(help), "{wrong}: {}", problem.help);
    }
}

/// A person may measure otherwise than the plan does, for what is typed beside it.
#[test]
fn what_is_typed_by_itself_is_told_in_the_units_that_are_asked_for() {
    let problem = fellmark_note::typed::length("6").unwrap_err();
    assert!(problem.help.contains("\"6 mm\""), "{}", problem.help);
    assert!(examples_in(Units::Inch, &problem.help).contains("\"1/4 in\""));
}
