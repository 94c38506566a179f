//! What is said about plans that don't fit: what is so, where, what to do. Each case changes the model plan in
//! one place.

mod bounds;

use fellmark_note::{Problem, read};

const MODEL: &str = include_str!("../data/model.toml");

fn problem(text: &str) -> Problem {
    match read(text) {
        Ok(_) => panic!("this reads:\n{text}"),
        Err(problem) => problem,
    }
}

/// In each case: what stands in the model, what takes its place, the message, how the help begins, and the words
/// at which the problem stands.
fn check(cases: &[[&str; 5]]) {
    for [right, wrong, message, help, at] in cases {
        assert!(MODEL.contains(right), "the model has {right:?}");
        let text = MODEL.replacen(right, wrong, 1);
        let problem = problem(&text);
        assert_eq!(problem.message, *message, "{wrong}");
        assert!(problem.help.starts_with(help), "{wrong}: {:?} does not begin with {help:?}", problem.help);
        let there = problem.at.clone().map(|at| text[at].to_string()).unwrap_or_default();
        assert_eq!(there, *at, "{wrong}: {message}");
    }
}

#[test]
fn keys_that_are_unknown_or_missing() {
    check(&[
        [
            "notches = 40",
            "notchs = 40",
            "`notchs` is no key of [loom].",
            "Did you mean notches? Here may stand name, notches, pitch,",
            "notchs",
        ],
        [
            "[yarn.foam]",
            "[yarn.foam]\nprise = \"4 EUR per 50 g\"",
            "`prise` is no key of [yarn.foam].",
            "Did you mean price?",
            "prise",
        ],
        [
            "rows = 4",
            "rows = 4\npitch = \"6 mm\"",
            "`pitch` is no key of [band.hem].",
            "It belongs in [loom].",
            "pitch",
        ],
        [
            "pitch = \"6 mm\"\n",
            "",
            "[loom] has no `pitch`.",
            r#"Add pitch = "6 mm": from the middle of one notch"#,
            "[loom]",
        ],
        [
            "name  = \"Tideline mat\"\n",
            "",
            "The plan has no `name`.",
            r#"Add name = "Tideline mat": what the piece is called."#,
            "",
        ],
        ["[piece] ", "[peace] ", "`peace` is no key of the plan.", "Did you mean piece?", "peace"],
        ["size = \"210 m per 100 g\"\n", "", "[yarn.slate] has no `size`.", "Add size =", "[yarn.slate]"],
        [
            "wefts = [\"reed\"]\n",
            "",
            "[band.hem] has no `wefts`.",
            r#"Add wefts = ["slate", "foam"]"#,
            "[band.hem]",
        ],
    ]);
}

#[test]
fn values_of_another_kind() {
    check(&[
        [
            "notches = 40",
            r#"notches = "40""#,
            r#"`notches` is the text "40" here."#,
            "Write a whole number, 1 or more, such as notches = 40.",
            r#""40""#,
        ],
        [
            r#"pitch = "6 mm""#,
            "pitch = 6",
            "`pitch` is the number 6 here.",
            r#"Write a length with its unit, between quotes, such as pitch = "6 mm"."#,
            "6",
        ],
        [
            "opposite = true",
            r#"opposite = "yes""#,
            r#"`opposite` is the text "yes" here."#,
            "Write true or false",
            r#""yes""#,
        ],
        [
            r#"wefts = ["reed"]"#,
            r#"wefts = "reed""#,
            r#"`wefts` is the text "reed" here."#,
            r#"Write a list of wefts, such as wefts = ["slate", "foam"]."#,
            r#""reed""#,
        ],
        [r#"wefts = ["reed"]"#, "wefts = [1]", "`wefts` holds the number 1.", "Write a list of wefts", "1"],
        [r#"wefts = ["reed"]"#, "wefts = []", "`wefts` is empty.", "Write a list of wefts", "[]"],
        ["[warp]\n", "[[warp]]\n", "`warp` is a list here.", "Write a table [warp].", "[[warp]]"],
        [
            "notches = 40",
            "notches = 0",
            "`notches` is the number 0; 1 is the least.",
            "Write a whole number from 1 to 4096.",
            "0",
        ],
        [
            "rows = 4",
            "rows = 20001",
            "`rows` is the number 20001; 20000 is the most.",
            "Write a whole number from 1 to 20000.",
            "20001",
        ],
        ["rows = 4", "rows = -4", "`rows` is the number -4; 1 is the least.", "Write", "-4"],
        [
            "rows = 4",
            "rows = 4.5",
            "`rows` is the number 4.5 here.",
            "Write a number of rows, or a list of rows, such as rows = 8.",
            "4.5",
        ],
        [
            "schema = 1",
            "schema = 2",
            "The plan says schema 2; this program knows schema 1.",
            "Write schema = 1",
            "2",
        ],
        [
            r#"use   = "coaster""#,
            r#"use = "coster""#,
            r#"`use` is "coster" here, a word it doesn't know."#,
            "Did you mean coaster?",
            r#""coster""#,
        ],
        [
            r#"shows = "front""#,
            r#"shows = "top""#,
            r#"`shows` is "top" here, a word it doesn't know."#,
            "Write front or back, between quotes.",
            r#""top""#,
        ],
    ]);
}

#[test]
fn names_that_would_be_misread_in_the_words_of_a_row() {
    let said = |name: &str, found: &str| {
        format!(
            "\"{name}\" can't be the name of a yarn or a weft: in the words of a row \"{found}\" would be misread."
        )
    };
    let cases = [
        ("foam under slate", "under", "Write it as one word, such as \"foam-under-slate\"."),
        ("foam: bright", ":", "Write it as one word, such as \"foam-bright\"."),
        ("foam, bright", ",", "Write it as one word, such as \"foam-bright\"."),
        ("foam AND slate", "AND", "Write it as one word, such as \"foam-AND-slate\"."),
        ("over", "over", "Take another name."),
    ];
    for (name, found, help) in cases {
        for (table, keys) in [("yarn", "colour = \"#fff\"\nsize = \"300 tex\""), ("weft", "yarn = \"foam\"")]
        {
            let text = format!("{MODEL}\n[{table}.\"{name}\"]\n{keys}\n");
            let problem = problem(&text);
            assert_eq!(problem.message, said(name, found));
            assert_eq!(problem.help, help);
        }
    }
    // Words that only hold one of these, and bands, are as they were.
    let fine =
        MODEL.replace("foam", "\"overcast sand\"").replace("\"\"overcast sand\"\"", "\"overcast sand\"");
    assert!(read(&fine).is_ok(), "{:?}", read(&fine));
    assert!(read(&MODEL.replace("pools", "at-sea")).is_ok());
}

#[test]
fn names_that_stand_for_nothing() {
    check(&[
        [
            r#"wefts = ["slate", "foam"]"#,
            r#"wefts = ["slat", "foam"]"#,
            r#""slat" is no yarn and no weft of this plan."#,
            "Write slate, or add [yarn.slat].",
            r#""slat""#,
        ],
        [
            r#"order = ["24 reed"]"#,
            r#"order = ["24 red"]"#,
            r#""red" is no yarn of this plan."#,
            "Write reed, or add [yarn.red].",
            "red",
        ],
        [
            r#"like = "pools""#,
            r#"like = "pool""#,
            r#""pool" is no band of this plan."#,
            "Write pools, or add [band.pool].",
            r#""pool""#,
        ],
        [
            r#"  "rising-tide","#,
            r#"  "rising tide","#,
            r#""rising tide" is no band and no sequence of this plan."#,
            r#"Write rising-tide, or add [band."rising tide"]."#,
            r#""rising tide""#,
        ],
        [
            "[weft.foam]",
            "[weft.spray]",
            "[weft.spray] has no yarn.",
            "Add yarn = and one of foam, reed or slate, or a table [yarn.spray].",
            "[weft.spray]",
        ],
        [
            r#"from = "right""#,
            "from = \"right\"\nyarn = \"fome\"",
            r#""fome" is no yarn of this plan."#,
            "Write foam",
            r#""fome""#,
        ],
    ]);
}

#[test]
fn quantities() {
    check(&[
        [
            "size = \"210 m per 100 g\"\n",
            "size = \"210 m per 100 g\"\nhalo = \"3 cm\"\n",
            r#""3 cm" is no halo of a yarn."#,
            r#"Write how far its fibres stand out, from "0 mm" to "20 mm"."#,
            r#""3 cm""#,
        ],
        [
            r#"pitch = "6 mm""#,
            r#"pitch = "6""#,
            r#""6" lacks a unit."#,
            "Write a length with its unit",
            r#""6""#,
        ],
        [
            r#"pitch = "6 mm""#,
            r#"pitch = "0 mm""#,
            r#""0 mm" is nothing at all."#,
            "Write a length that is more than nothing",
            r#""0 mm""#,
        ],
        [
            r#"clear-height = "22 cm""#,
            r#"clear-height = "25 cm""#,
            "The clear height of 25 cm is more than the 24 cm from turn to turn.",
            "An end",
            r#""25 cm""#,
        ],
        [
            r#"out-of-reach = "15 mm""#,
            r#"out-of-reach = "22 cm""#,
            "With 22 cm out of reach nothing is left of the 22 cm.",
            "Write how much",
            r#""22 cm""#,
        ],
        [
            r#"size = "8/2 cotton""#,
            r#"size = "8/2""#,
            r#""8/2" does not say how the yarn is counted."#,
            "Name the fibre or the system",
            r#""8/2""#,
        ],
        [
            "colour = \"#a88b4c\"",
            r#"colour = "reed""#,
            r#""reed" is no colour: it does not begin with #."#,
            "Write # and six digits",
            r#""reed""#,
        ],
        [
            r#"have = "22 m""#,
            r#"have = "22""#,
            r#""22" lacks a unit."#,
            "Write a length or a mass",
            r#""22""#,
        ],
    ]);
}

#[test]
fn ends() {
    check(&[
        [
            "ends = 24",
            "ends = 44",
            "44 ends are too many for this loom: it takes 40 (40 notches, one end in each).",
            "Write ends = 40 or fewer.",
            "44",
        ],
        [
            "ends = 24",
            "ends = 24\nwidth = \"14 cm\"",
            "[warp] says both `ends` and `width`.",
            "Keep one of them",
            r#""14 cm""#,
        ],
        [
            "ends = 24\n",
            "",
            "[warp] says neither how many ends it has nor how wide it is.",
            "Add ends = 24",
            "[warp]",
        ],
        [
            "ends = 24",
            r#"width = "90 m""#,
            "90 m takes more than 4096 ends.",
            "Write a narrower width.",
            r#""90 m""#,
        ],
        [
            "rows = 4",
            "rows = 4\nends = \"3 to 25\"",
            "This goes to end 25, and the warp has 24 ends.",
            "Write ends from 1 to 24.",
            r#""3 to 25""#,
        ],
        [
            "rows = 4",
            "rows = 4\nends = \"20 to 3\"",
            "The ends go from 20 back to 3.",
            r#"Write the smaller one first: "3 to 20"."#,
            "20 to 3",
        ],
        [
            r#"order = ["24 reed"]"#,
            r#"order = ["reed"]"#,
            r#""reed" does not say how many."#,
            r#"Write how many ends and of which yarn, such as "24 reed"."#,
            "reed",
        ],
    ]);
}

#[test]
fn where_a_bands_rows_come_from() {
    check(&[
        [
            r#"weave = "plain""#,
            r#"weave = "plane""#,
            r#""plane" is no weave known here."#,
            "Did you mean plain? Weaves are named plain; rib of 2 ends;",
            r#""plane""#,
        ],
        [
            r#"weave = "plain""#,
            r#"weave = "twill 2/""#,
            r#""2/" is no fraction of a twill."#,
            "Write warp up",
            "2/",
        ],
        [
            "weave = \"plain\"\n",
            "",
            "[band.hem] does not say how it is woven.",
            r#"Add one of these: weave = "plain""#,
            "[band.hem]",
        ],
        [
            "weave = \"plain\"\n",
            "step = \"1 right\"\n",
            "`step` stands without a weave or an opening.",
            "Add weave",
            r#""1 right""#,
        ],
        [
            r#"weave = "plain""#,
            "weave = \"plain\"\nlike = \"pools\"",
            "`weave` and `like` both say how [band.hem] is woven.",
            "Keep one of them.",
            r#""pools""#,
        ],
        [
            "exchanged = true ",
            "opposite = true",
            "`opposite` changes a weave, and this band's rows come from `like`.",
            "Take out `opposite` or `like`.",
            "true",
        ],
        ["rows = 4\n", "", "[band.hem] does not say how long it is.", "Add rows = 8", "[band.hem]"],
        [
            "rows = 4",
            "rows = 4\nlength = \"3 cm\"",
            "`rows` and `length` both say how long [band.hem] is.",
            "Keep one of them.",
            r#""3 cm""#,
        ],
        [
            r#"length = "fill""#,
            r#"length = "full""#,
            r#""full" has "full" where a number should be."#,
            r#"Write a length such as "3 cm""#,
            r#""full""#,
        ],
        [
            r#"opening = "over 4, under 2""#,
            r#"opening = "over 4, udner 2""#,
            r#""udner" stands where over or under should stand."#,
            "Did you mean under?",
            "udner",
        ],
        [
            r#"step = "1 right every pair""#,
            r#"step = "1 right every pear""#,
            r#""pear" does not fit in "1 right every pear"."#,
            "Write how many ends",
            "pear",
        ],
        [
            r#"touched = ["row 3: under 2"]"#,
            r#"touched = ["row 3: behind 2"]"#,
            r#""behind" does not fit in "row 3: behind 2"."#,
            "Write which row and which ends",
            "behind",
        ],
        [
            r#"touched = ["row 3: under 2"]"#,
            r#"touched = ["row 0: under 2"]"#,
            "0 is too few: 1 is the least here.",
            "Write",
            "0",
        ],
    ]);
}

#[test]
fn exchanges() {
    check(&[
        [
            r#"wefts = ["slate", "foam"]"#,
            r#"wefts = ["slate"]"#,
            r#"Two wefts change places, and "shoals" has one weft."#,
            "Give the band two wefts, or write over-for-under = true instead.",
            "true",
        ],
        [
            r#"wefts = ["slate", "foam"]"#,
            r#"wefts = ["slate", "foam", "reed"]"#,
            r#"Two wefts change places, and "shoals" has 3 wefts."#,
            "Give the band two wefts",
            "true",
        ],
    ]);
}

#[test]
fn things_that_contain_themselves() {
    check(&[
        [
            "opening = \"over 5, under 3\"            # slate; foam takes the opposite\nopposite = true                        # every opening is woven twice, once by each weft\n",
            "like = \"shoals\"\n",
            "The band pools is like itself: pools, like shoals, like pools.",
            "Write out",
            r#""shoals""#,
        ],
        [
            "[piece] ",
            "[sequence.tide]\nbands = [\"hem\", \"swell\"]\n[sequence.swell]\nbands = [{ times = 2, bands = [\"tide\"] }]\n[piece] ",
            "The sequence tide contains itself: tide, in swell, in tide.",
            "Take one of them out of the other.",
            r#""swell""#,
        ],
        [
            "[piece] ",
            "[sequence.hem]\nbands = [\"pools\"]\n[piece] ",
            r#""hem" is a band and a sequence."#,
            "Give one of them another name",
            "[sequence.hem]",
        ],
        [
            "[piece] ",
            "[yarn.Slate]\ncolour = \"#fff\"\nsize = \"300 tex\"\n[piece] ",
            r#""slate" and "Slate" would be told by one name."#,
            "Give one of the two yarns a name that differs",
            "[yarn.Slate]",
        ],
    ]);
}

#[test]
fn bounds() {
    check(&[
        [
            "times = 2, ",
            "times = 2000, ",
            "Here the piece comes to 24004 rows; 20000 is the most.",
            "Repeat less",
            "2000",
        ],
        ["times = 2, ", "times = 0, ", "`times` is the number 0; 1 is the least.", "Write", "0"],
        [
            "times = 2, ",
            "times = 99999999999, ",
            "`times` is the number 99999999999; 20000 is the most.",
            "Write",
            "99999999999",
        ],
        [
            r#"bands = ["pools", "shoals"] }"#,
            "bands = [] }",
            "`bands` is empty.",
            "Write a list of bands",
            "[]",
        ],
    ]);
}

#[test]
fn texts_that_are_no_toml() {
    check(&[
        [
            "ends = 24\n",
            "ends = 24\nends = 25\n",
            "`ends` stands here for the second time.",
            "Keep one",
            "ends",
        ],
        [
            r#"pitch = "6 mm""#,
            "pitch = 6 mm",
            r#""6 mm" stands without quotes."#,
            "Put texts between quotes",
            "6 mm",
        ],
        [
            "[yarn.foam]",
            "[yarn.sea foam]",
            "A heading is not closed.",
            "Write ] at its end. A name with a space stands between quotes",
            "",
        ],
    ]);
}

#[test]
fn habits_outside_their_bounds() {
    check(&[
        [
            "[piece] ",
            "[habits]\ndraw-in = \"80 %\"\n[piece] ",
            "`draw-in` is more than a habit can be.",
            "Write a value from 0 to 0.5.",
            r#""80 %""#,
        ],
        [
            "[piece] ",
            "[habits]\ntail = 80\n[piece] ",
            "`tail` is the number 80 here.",
            "Write a length with its unit",
            "80",
        ],
        [
            "[piece] ",
            "[habits]\nneedleful = \"1 cm\"\n[piece] ",
            "`needleful` is less than a habit can be.",
            r#"Write a value from "20 cm" to "1000 cm"."#,
            r#""1 cm""#,
        ],
        ["[piece] ", "[habits]\ncomb = nan\n[piece] ", "`comb` is more than a habit can be.", "Write", "nan"],
    ]);
}

#[test]
fn the_first_problem_in_the_file_is_told() {
    let text = MODEL.replacen("notches = 40", "notches = 0", 1).replacen(
        "weave = \"plain\"",
        "weave = \"plane\"",
        1,
    );
    assert!(problem(&text).message.contains("notches"));
    let (line, column) = problem(&text).line_column(&text).unwrap();
    assert_eq!(text.lines().nth(line - 1).unwrap().chars().nth(column - 1), Some('0'));
    let text =
        MODEL.replacen("weave = \"plain\"", "weave = \"plane\"", 1).replacen("times = 2", "times = 0", 1);
    assert!(problem(&text).message.contains("plane"));
}

#[test]
fn headers_that_can_not_be() {
    let before = "[yarn.reed]";
    let put = |header: &str| format!("{header}\n{before}");
    let cases = [
        (
            "[header]\nlength = \"21 cm\"",
            "Above a header of 21 cm nothing can be woven on this loom.",
            "Write a shorter length: there is 22 cm of clear height, of which 15 mm is out of reach.",
            "\"21 cm\"",
        ),
        ("[header]\nyarn = \"foam\"", "[header] has no `length`.", "Add length = \"2 cm\"", "[header]"),
        ("[header]\nlength = \"0 cm\"", "\"0 cm\" is nothing at all.", "", "\"0 cm\""),
        (
            "[header]\nlength = \"2 cm\"\nyarn = \"fome\"",
            "\"fome\" is no yarn of this plan.",
            "Write foam",
            "\"fome\"",
        ),
        ("[header]\nlength = \"2 cm\"\ncard = true", "`card` is no key of [header].", "", "card"),
        ("header = \"2 cm\"", "`header` is the text \"2 cm\" here.", "", "\"2 cm\""),
    ];
    for (header, message, help, at) in cases {
        let put = if header.starts_with('[') { put(header) } else { before.to_owned() };
        let mut text = MODEL.replacen(before, &put, 1);
        if !header.starts_with('[') {
            text = text.replacen("schema = 1", &format!("schema = 1\n{header}"), 1);
        }
        let problem = problem(&text);
        assert_eq!(problem.message, message, "{header}");
        assert!(problem.help.starts_with(help), "{header}: {}", problem.help);
        let there = problem.at.clone().map(|at| text[at].to_string()).unwrap_or_default();
        assert_eq!(there, at, "{header}");
    }
}

#[test]
fn many_problems_take_no_long_time() {
    let mut text = MODEL.to_string();
    for k in 0..20_000 {
        text += &format!("[band.x{k}]\nlik = \"y{k}\"\n");
    }
    assert_eq!(problem(&text).message, "`lik` is no key of [band.x0].");
}

#[test]
fn a_problem_is_drawn_where_it_stands() {
    let text = MODEL.replacen("wefts = [\"slate\", \"foam\"]", "wefts = [\"slat\", \"foam\"]", 1);
    let expected = "\
\"slat\" is no yarn and no weft of this plan.
  --> mat.toml:39:10
   |
39 | wefts = [\"slat\", \"foam\"]
   |          ^^^^^^
   |
   = Write slate, or add [yarn.slat].";
    assert_eq!(problem(&text).render(&text, "mat.toml", false), expected);
    assert!(problem(&text).render(&text, "mat.toml", true).contains('\u{1b}'));
}

#[test]
fn signs_that_steer_a_terminal_hide_in_no_text() {
    let text = MODEL.replacen("\"Tideline mat\"", "\"Tide\\u001b[31mline\"", 1);
    let problem = read(&text).unwrap_err();
    assert_eq!(problem.line_column(&text), Some((2, 9)));
    assert!(!problem.render(&text, "mat.toml", false).contains('\u{1b}'));
}
