//! Laws of edits, on plans written in many ways: what the text becomes is what the plan becomes; comments,
//! untouched lines and line endings stay; a library from outside that edits TOML makes the same content.

mod carried;
mod goes;
mod names;

use fellmark_core::plan::{
    BandId, Beat, Edges, Edit, Flag, Header, Inserted, NewBand, Plan, Set, Source, StackEdit, StackList,
    Touch, TouchedRows, WeftId, WrittenRow, YarnId,
};
use fellmark_core::quantity::Typed;
use fellmark_core::say;
use fellmark_core::side::{Pass, Side, Span};
use fellmark_core::weave::{Recipe, Step};
use fellmark_note::{ApplyError, Note, apply, read, typed};
use proptest::prelude::*;
use std::num::NonZeroU32;

/// How a plan is laid out.
#[derive(Debug, Clone)]
struct Layout {
    crlf: bool,
    mark: bool,
    last_newline: bool,
    /// Whether the warp, the wefts and the first band stand under headings (0), between braces (1) or in
    /// dotted keys (2).
    warp: u8,
    wefts: u8,
    hem: u8,
    indent: bool,
    width: bool,
    /// How the first band says how long it is.
    extent: u8,
    /// How its touches are laid out.
    touched: u8,
    has_edges: bool,
    /// Where the second band's rows come from.
    second: u8,
}

fn layout() -> impl Strategy<Value = Layout> {
    let flags = (any::<bool>(), any::<bool>(), any::<bool>(), any::<bool>(), any::<bool>(), any::<bool>());
    let forms = (0..3_u8, 0..8_u8, 0..3_u8, 0..4_u8, 0..8_u8, 0..4_u8);
    (flags, forms).prop_map(|(flags, forms)| Layout {
        crlf: flags.0,
        mark: flags.1,
        last_newline: flags.2,
        indent: flags.3,
        width: flags.4,
        has_edges: flags.5,
        warp: forms.0,
        wefts: forms.1,
        hem: forms.2,
        extent: forms.3,
        touched: forms.4,
        second: forms.5,
    })
}

/// The text of a plan in a layout: every line has a comment where one may stand.
fn text(layout: &Layout) -> String {
    let ends = if layout.width { "width = \"14 cm\"" } else { "ends = 24" };
    let indent = if layout.indent { "  " } else { "" };
    let mut top = String::from("# the head of the file\nschema = 1 # c1\nname = \"Tide\" # c2\n");
    if layout.has_edges {
        top += "edges = \"crossed\" # c3\n";
    }
    let mut tables = String::from(
        "\n[loom] # c4\nnotches = 40\npitch = \"6 mm\"\nturn-to-turn = \"24 cm\"\nclear-height = \"22 cm\"\n\n\
         [yarn.reed]\ncolour = \"#a88b4c\"\nsize = \"8/2 cotton\" # c5\n\n\
         # the sea\n[yarn.foam]\ncolour = \"#fff\" # c6\nsize = \"7 wraps per cm\"\n# after the foam\n",
    );
    match layout.warp {
        0 => {
            tables += &format!(
                "\n[warp] # c7\n{indent}{ends} # c8\n{indent}order = [\"24 reed\"] # c9\n# after the warp\n"
            )
        }
        1 => top += &format!("warp = {{ {ends}, order = [\"24 reed\"] }} # c7\n"),
        _ => top += &format!("warp.{ends} # c7\nwarp.order = [\"24 reed\"] # c8\n"),
    }
    match layout.wefts {
        0 => tables += "\n[weft.foam] # c10\nfrom = \"right\" # c11\n",
        1 => top += "weft = { foam = { from = \"right\" } } # c10\n",
        2 => top += "weft.foam.from = \"right\" # c10\n",
        3 => tables += "\n[weft.foam] # c10\n# nothing yet\n",
        4 => tables += "\n[weft] # c10\nfoam.from = \"right\" # c11\n# after the wefts\n",
        5 => tables += "\n[weft] # c10\nfoam = { from = \"right\" } # c11\n",
        6 => top += "weft = {} # c10\n",
        _ => {}
    }
    let mut hem = vec!["wefts = [\"reed\", \"foam\"]".to_string(), "opening = \"over 5, under 3\"".into()];
    hem.push(match layout.extent {
        0 => "rows = 8".into(),
        1 => "length = \"3 cm\"".into(),
        2 => "length = \"12 rows\"".into(),
        _ => "length = \"fill\"".into(),
    });
    let of_lines = layout.hem != 1;
    hem.extend(match layout.touched {
        0 => Some("touched = [\"row 3: under 2\"]".to_string()),
        1 => Some("touched = []".into()),
        2 if of_lines => {
            Some("touched = [\n    \"row 3: under 2\", # c20\n    \"row 4: over 1 to 3\", # c21\n]".into())
        }
        3 if of_lines => Some("touched = [ # c20\n    \"row 3: under 2\" # c21\n    # c22\n]".into()),
        4 if of_lines => Some("touched = [\n  \"row 3: under 2\"\n  , # c20\n]".into()),
        5 => Some("touched = [\"row 3: under 2\", ]".into()),
        6 if of_lines => Some("touched = [\"row 3: under 2\", # c20\n    \"row 3: under 4\"] # c21".into()),
        _ => None,
    });
    match layout.hem {
        0 => {
            tables += "\n# the hem\n[band.hem] # c12\n";
            for (k, line) in hem.iter().enumerate() {
                tables += &format!("{indent}{line} # c3{k}\n");
            }
        }
        1 => tables += &format!("\n[band] # c12\nhem = {{ {} }} # c13\n", hem.join(", ")),
        _ => {
            tables += "\n[band] # c12\n";
            for (k, line) in hem.iter().enumerate() {
                tables += &format!("hem.{line} # c3{k}\n");
            }
        }
    }
    tables += match layout.second {
        0 => "\n[band.pools]\nlike = \"hem\" # c40\n",
        1 => {
            "\n[band.pools]\nwefts = [\"foam\"]\nrows = [ # c40\n  \"over 1, under 1\", # c41\n  \"under 1, over 1\",\n]\n"
        }
        2 => {
            "\n[band.pools]\nwefts = [\"foam\"] # c40\nrows = 6\n[[band.pools.part]] # c41\nweave = \"plain\" # c42\n"
        }
        _ => {
            "\n[band.pools]\nwefts = [\"foam\"] # c40\nrows = 6\nweave = \"twill 2/2\"\nstart = 1\nedges = \"taken\" # c41\n"
        }
    };
    tables += "\n[piece] # c50\nbands = [\n  \"hem\", # c51\n  \"pools\",\n] # the end";
    let mut text = format!("{top}{tables}");
    if layout.last_newline {
        text.push('\n');
    }
    if layout.crlf {
        text = text.replace('\n', "\r\n");
    }
    if layout.mark {
        text.insert(0, '\u{feff}');
    }
    text
}

fn edit() -> impl Strategy<Value = Edit> {
    let band = || (0..2_usize).prop_map(BandId);
    let weft = || (0..2_usize).prop_map(WeftId);
    let edges = || any::<bool>().prop_map(|taken| if taken { Edges::Taken } else { Edges::Crossed });
    let count = |most: u32| (1..=most).prop_filter_map("one or more", NonZeroU32::new);
    let at = prop_oneof![
        3 => (0..4_u32).prop_map(TouchedRows::Row),
        1 => (count(9), 0..9_u32).prop_map(|(rows, from)| TouchedRows::Every { rows, from }),
    ];
    let touch =
        (at, 0..6_u32, 0..3_u32, any::<bool>()).prop_filter_map("a range", |(at, first, more, over)| {
            Some(Touch { at, ends: Span::new(first, first + more)?, pass: Pass::from_bit(over) })
        });
    prop_oneof![
        1 => (1..=41_u32).prop_map(Edit::WarpEnds),
        1 => (weft(), any::<bool>())
            .prop_map(|(weft, right)| Edit::WeftFrom(weft, if right { Side::Right } else { Side::Left })),
        1 => (weft(), any::<bool>()).prop_map(|(weft, doubled)| Edit::WeftDoubled(weft, doubled)),
        1 => edges().prop_map(Edit::PieceEdges),
        1 => (band(), edges()).prop_map(|(band, edges)| Edit::BandEdges(band, Some(edges))),
        1 => (band(), count(40)).prop_map(|(band, row)| Edit::BandStart(band, Some(row))),
        1 => (band(), prop::sample::select(vec!["5 rows per cm", "12 rows per inch"])).prop_map(|(band, beat)| {
            Edit::BandBeat(band, Some(Typed::new(Beat::parse(beat).unwrap(), beat)))
        }),
        1 => (band(), 1..=40_u32).prop_map(|(band, rows)| Edit::BandRows(band, rows)),
        4 => (band(), touch).prop_map(|(band, touch)| Edit::Touch(band, touch)),
        1 => (band(), 1..9_i32, any::<bool>(), count(5)).prop_map(|(band, ends, left, every_rows)| {
            Edit::BandStep(band, Step { right: if left { -ends } else { ends }, every_rows })
        }),
    ]
}

/// The comments of a text, by the lexer of this test: no text of these plans holds a # but colours.
fn comments(text: &str) -> Vec<String> {
    let mut all: Vec<String> =
        text.lines().filter_map(|line| Some(line[line.find("# ")?..].trim_end().to_string())).collect();
    all.sort();
    all
}

/// The path of the key that an edit may touch, and the one it may take the place of.
fn keys(plan: &Plan, edit: &Edit) -> (Vec<String>, Option<&'static str>) {
    let path = |names: &[&str]| names.iter().map(|name| (*name).to_string()).collect();
    let weft = |id: &WeftId| plan.wefts[id.0].name.clone();
    let band = |id: &BandId| plan.bands[id.0].name.clone();
    match edit {
        Edit::WarpEnds(_) => (path(&["warp", "ends"]), Some("width")),
        Edit::WeftFrom(id, _) => (path(&["weft", &weft(id), "from"]), None),
        Edit::WeftDoubled(id, _) => (path(&["weft", &weft(id), "doubled"]), None),
        Edit::PieceEdges(_) => (path(&["edges"]), None),
        Edit::BandEdges(id, _) => (path(&["band", &band(id), "edges"]), None),
        Edit::BandStart(id, _) => (path(&["band", &band(id), "start"]), None),
        Edit::BandBeat(id, _) => (path(&["band", &band(id), "beat"]), None),
        Edit::BandRows(id, _) => (path(&["band", &band(id), "rows"]), Some("length")),
        // In a band of written rows the row itself changes.
        Edit::Touch(id, _) => (path(&["band", &band(id), "touched"]), Some("rows")),
        Edit::BandStep(id, _) => (path(&["band", &band(id), "step"]), None),
        _ => unreachable!("the other edits have laws of their own"),
    }
}

/// Lines of the old text that are not in the new one, as a range of line numbers.
fn lost_lines(old: &str, new: &str) -> std::ops::Range<usize> {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.split('\n').collect(), new.split('\n').collect());
    // The last line may get a line ending.
    let same = |a: &str, b: &str| a.trim_end_matches('\r') == b.trim_end_matches('\r');
    let start = old.iter().zip(&new).take_while(|(a, b)| same(a, b)).count();
    let rest = old.len().min(new.len()) - start;
    let end = old.iter().rev().zip(new.iter().rev()).take(rest).take_while(|(a, b)| same(a, b)).count();
    start..old.len() - end
}

fn only_the_edited_key_changed(old: &str, note: &Note, edit: &Edit, new: &str) -> Result<(), TestCaseError> {
    let lost = lost_lines(old, new);
    if lost.is_empty() {
        return Ok(());
    }
    let (path, instead) = keys(&note.plan, edit);
    let mut other = path.clone();
    if let (Some(last), Some(instead)) = (other.last_mut(), instead) {
        *last = instead.to_string();
    }
    let line_of = |byte: usize| old[..byte].matches('\n').count();
    let held: Vec<_> = [path, other].iter().filter_map(|path| note.places.of(path)).collect();
    for line in lost {
        let holds = |at: &std::ops::Range<usize>| (line_of(at.start)..=line_of(at.end)).contains(&line);
        prop_assert!(held.iter().any(holds), "line {} is lost:\n{old}\n-----\n{new}", line + 1);
    }
    Ok(())
}

/// The same change made by a library that edits TOML, as content.
fn by_library(old: &str, plan: &Plan, edit: &Edit) -> toml::Table {
    use toml_edit::{DocumentMut, Item, Table, value};
    let mut document: DocumentMut = old.trim_start_matches('\u{feff}').parse().unwrap();
    let (path, _) = keys(plan, edit);
    let (key, tables) = path.split_last().unwrap();
    let mut table: &mut dyn toml_edit::TableLike = document.as_table_mut();
    for name in tables {
        let item = table.entry(name).or_insert_with(|| Item::Table(Table::new()));
        table = item.as_table_like_mut().unwrap();
    }
    let text_of_touch = |plan: &Plan, band: &BandId| {
        // The wording of a touch is tested beside its reader; here its place in the list is.
        plan.bands[band.0].touched.len()
    };
    let new: Item = match edit {
        Edit::WarpEnds(ends) => value(i64::from(*ends)),
        Edit::WeftFrom(_, side) => value(if *side == Side::Left { "left" } else { "right" }),
        Edit::WeftDoubled(_, doubled) => value(*doubled),
        Edit::PieceEdges(edges) | Edit::BandEdges(_, Some(edges)) => {
            value(if *edges == Edges::Taken { "taken" } else { "crossed" })
        }
        Edit::BandStart(_, Some(row)) => value(i64::from(row.get())),
        Edit::BandBeat(_, Some(beat)) => value(beat.typed.as_str()),
        Edit::BandRows(_, rows) => value(i64::from(*rows)),
        Edit::BandStep(_, step) => {
            let side = if step.right < 0 { "left" } else { "right" };
            let every =
                if step.every_rows.get() == 1 { "row".into() } else { format!("{} rows", step.every_rows) };
            value(format!("{} {side} every {every}", step.right.abs()))
        }
        Edit::Touch(band, _) => {
            value(i64::try_from(text_of_touch(&edit.apply(plan).unwrap(), band)).unwrap())
        }
        _ => unreachable!("the other edits have laws of their own"),
    };
    let counted = table.get("length").and_then(Item::as_str).is_some_and(|length| length.ends_with("rows"));
    let written = table.get("rows").is_some_and(|rows| rows.is_array());
    match edit {
        Edit::BandRows(_, rows) if counted || written => {
            table.insert("length", value(format!("{rows} rows")));
        }
        Edit::Touch(band, _) => {
            if let Source::Written(rows) = &edit.apply(plan).unwrap().bands[band.0].source {
                table.insert("rows", written_rows(rows));
            }
            table.insert(key, new);
        }
        _ => {
            if let (_, Some(instead)) = keys(plan, edit) {
                table.remove(instead);
            }
            table.insert(key, new);
        }
    }
    document.to_string().parse().unwrap()
}

/// Rows as they are written.
fn written_rows(rows: &[WrittenRow]) -> toml_edit::Item {
    let rows: toml_edit::Array = rows.iter().map(|row| say::runs(&row.runs)).collect();
    toml_edit::value(rows)
}

/// Content, with each list of touches as its length.
fn content(text: &str, edit: &Edit, plan: &Plan) -> toml::Table {
    let mut table: toml::Table = text.trim_start_matches('\u{feff}').parse().unwrap();
    if let Edit::Touch(band, _) = edit {
        let name = &plan.bands[band.0].name;
        let band = table["band"][name.as_str()].as_table_mut().unwrap();
        // The key goes with the last touch, unless a note stands by it.
        let count = band.get("touched").map_or(0, |touched| touched.as_array().unwrap().len());
        band.insert("touched".into(), toml::Value::Integer(i64::try_from(count).unwrap()));
    }
    table
}

#[test]
fn edits_that_belong_together_are_made_one_after_the_other() {
    let model = include_str!("../data/model.toml");
    let plan = read(model).unwrap().plan;
    let band = BandId(plan.bands.iter().position(|band| band.name == "rising-tide").unwrap());
    let step = Step { right: -2, every_rows: NonZeroU32::MIN };
    let both = [Edit::WarpEnds(22), Edit::BandStep(band, step)];
    let new = apply(model, &Edit::Together(both.to_vec())).unwrap();
    assert_eq!(new, apply(&apply(model, &both[0]).unwrap(), &both[1]).unwrap());
    assert_eq!(read(&new).unwrap().plan, Edit::Together(both.to_vec()).apply(&plan).unwrap());
    assert!(new.contains("step = \"2 left every row\""), "{new}");
}

#[test]
fn an_entry_with_a_note_goes_into_a_repeat_and_out_again_within_a_line() {
    let mat = include_str!("../../../../examples/tideline-mat.toml");
    let above = mat.split_once("[piece]").unwrap().0;
    let with = |bands: &str| format!("{above}[piece]\nbands = {bands}\n");
    let old = with("[\"hem\", \"pools\", # c1\n \"hem\"]");
    let edit = |edit| Edit::Stack(StackList::Piece, edit);
    let grouped = apply(&old, &edit(StackEdit::Group { first: vec![1], count: 1, times: 2 })).unwrap();
    assert_eq!(grouped, with("[\"hem\", { times = 2, bands = [\n  \"pools\", # c1\n] },\n \"hem\"]"));
    assert_eq!(apply(&grouped, &edit(StackEdit::Ungroup { at: vec![1] })).unwrap(), old);
}

/// Edits of whole bands, of the stack, and of single keys.
fn wider_edit() -> impl Strategy<Value = Edit> {
    let band = || (0..2_usize).prop_map(BandId);
    let recipe = prop_oneof![
        Just(Recipe { name: Some(typed::weave("twill 2/1").unwrap()), ..Recipe::default() }),
        Just(Recipe {
            opening: Some(typed::runs("over 2, under 3").unwrap()),
            opposite: true,
            step: Some(typed::step("1 left").unwrap()),
            ..Recipe::default()
        }),
    ];
    let flag = prop_oneof![Just(Flag::Exchanged), Just(Flag::Mirrored), Just(Flag::OverForUnder)];
    let place = || (0..3_usize).prop_map(|at| vec![at]);
    let stack = prop_oneof![
        (place(), place()).prop_map(|(from, to)| StackEdit::Move { from, to }),
        (place(), band()).prop_map(|(at, band)| StackEdit::Insert { at, what: Inserted::Band(band) }),
        (place(), 1..3_usize, 1..3_u32).prop_map(|(first, count, times)| StackEdit::Group {
            first,
            count,
            times
        }),
        place().prop_map(|at| StackEdit::Ungroup { at }),
        place().prop_map(|at| StackEdit::Remove { at }),
    ];
    let wefts =
        || prop_oneof![Just(vec!["foam".to_owned()]), Just(vec!["foam".to_owned(), "reed".to_owned()])];
    let new =
        (recipe.clone(), wefts()).prop_map(|(weave, wefts)| NewBand { name: None, wefts, weave, rows: 4 });
    let put = new.prop_map(|new| StackEdit::Insert { at: vec![1], what: Inserted::New(new) });
    let length = prop_oneof![Just(None), Just(Some(typed::some_length("9 mm").unwrap()))];
    let header = (0..4_usize).prop_map(|which| {
        let length = typed::some_length(if which == 1 { "2 cm" } else { "1/2 in" }).unwrap();
        (which > 0).then(|| Header { length, yarn: (which < 3).then_some(YarnId(which - 1)) })
    });
    prop_oneof![
        3 => (band(), recipe).prop_map(|(band, recipe)| Edit::Set(Set::BandWeave(band, recipe))),
        2 => (band(), wefts()).prop_map(|(band, wefts)| Edit::Set(Set::BandWefts(band, wefts))),
        3 => (band(), flag, any::<bool>()).prop_map(|(band, flag, on)| Edit::Set(Set::BandFlag(band, flag, on))),
        3 => band().prop_map(Edit::WriteOut),
        2 => (band(), 1..30_u32).prop_map(|(band, rows)| Edit::Length(band, rows)),
        4 => prop_oneof![3 => stack, 1 => put].prop_map(|edit| Edit::Stack(StackList::Piece, edit)),
        2 => (band(), 1..3_u32).prop_map(|(band, nth)| Edit::Part(band, NonZeroU32::new(nth).unwrap())),
        1 => length.prop_map(|length| Edit::Set(Set::LongestFloat(length))),
        1 => Just(Edit::Set(Set::Name("Tide \"two\"".into()))),
        1 => Just(Edit::Set(Set::WarpWidth(typed::some_length("12 cm").unwrap()))),
        1 => (0..2_usize, 0..2_usize).prop_map(|(weft, yarn)| Edit::Set(Set::WeftYarn(WeftId(weft), YarnId(yarn)))),
        1 => Just(Edit::NewWeft("foam two".into(), YarnId(1))),
        2 => header.prop_map(|header| Edit::Set(Set::Header(header))),
        1 => Just(Edit::RenameYarn(YarnId(0), "sedge".into())),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn wider_edits_keep_the_law_in_every_layout(
        layout in layout(),
        edits in proptest::collection::vec(wider_edit(), 1..6),
    ) {
        let mut old = text(&layout);
        for edit in &edits {
            let plan = read(&old).unwrap().plan;
            let new = match apply(&old, edit) {
                Ok(new) => new,
                Err(ApplyError::Unread(problem)) => {
                    prop_assert!(false, "{problem:?}\n{old}");
                    continue;
                }
                Err(_) => continue,
            };
            let now = read(&new).map_err(|problem| problem.render(&new, "plan", false));
            let becomes = edit.apply(&plan).map_err(|error| format!("{error:?}"));
            prop_assert_eq!(now.map(|note| note.plan), becomes, "{:?}\n{}\n---\n{}", edit, &old, &new);
            let removes = matches!(edit, Edit::Stack(_, StackEdit::Remove { .. }));
            for comment in comments(&old) {
                prop_assert!(removes || new.contains(&comment), "{comment} is lost: {edit:?}\n{old}\n---\n{new}");
            }
            prop_assert_eq!(old.ends_with('\n'), new.ends_with('\n'), "{:?}\n{}\n---\n{}", edit, &old, &new);
            prop_assert_eq!(old.starts_with('\u{feff}'), new.starts_with('\u{feff}'));
            if layout.crlf {
                prop_assert_eq!(new.matches('\n').count(), new.matches("\r\n").count(), "{}", &new);
            } else {
                prop_assert!(!new.contains('\r'));
            }
            old = new;
        }
    }
}

#[test]
fn a_new_weft_table_stands_after_the_last_yarn_or_weft() {
    let model = include_str!("../data/model.toml");
    let plan = read(model).unwrap().plan;
    let slate = plan.wefts.iter().position(|weft| weft.name == "slate").unwrap();
    let new = apply(model, &Edit::WeftDoubled(WeftId(slate), true)).unwrap();
    let expected = "from = \"right\"\n\n[weft.slate]\ndoubled = true\n\n[band.hem]";
    assert!(new.contains(expected), "{new}");
}

#[test]
fn a_number_of_ends_takes_the_place_of_a_width_and_its_comment_stays() {
    let model = include_str!("../data/model.toml");
    let wide = model.replacen("ends = 24", "width = \"14 cm\"   # on the loom", 1);
    let new = apply(&wide, &Edit::WarpEnds(22)).unwrap();
    assert_eq!(new, model.replacen("ends = 24", "ends = 22   # on the loom", 1));
}

#[test]
fn a_stroke_of_touches_grows_one_line() {
    let model = include_str!("../data/model.toml");
    let plan = read(model).unwrap().plan;
    let pools = BandId(plan.bands.iter().position(|band| band.name == "pools").unwrap());
    let mut text = model.to_string();
    for end in 5..8 {
        let ends = Span::new(end, end).unwrap();
        let touch = Touch { at: TouchedRows::Row(4), ends, pass: Pass::Over };
        text = apply(&text, &Edit::Touch(pools, touch)).unwrap();
    }
    assert!(text.contains("touched = [\"row 3: under 2\", \"row 5: over 6 to 8\"]\n"), "{text}");
}

#[test]
fn what_can_not_be_edited_is_told() {
    let model = include_str!("../data/model.toml");
    assert!(matches!(apply("name = ", &Edit::WarpEnds(3)), Err(ApplyError::Unread(_))));
    assert_eq!(apply(model, &Edit::BandRows(BandId(90), 3)), Err(ApplyError::NotThere));
    assert!(matches!(apply(model, &Edit::WarpEnds(0)), Err(ApplyError::Unfit(_))));
}

#[test]
fn a_touch_that_says_no_more_than_the_weave_goes_with_its_key() {
    // Row 5 goes over ends 1 to 5 and under 6 to 8: only end 6 is changed by this line.
    let text = include_str!("../data/model.toml").replace("row 3: under 2", "row 5: over 4 to 6");
    let plan = read(&text).unwrap().plan;
    let pools = BandId(plan.bands.iter().position(|band| band.name == "pools").unwrap());
    let touch = Touch { at: TouchedRows::Row(4), ends: Span::new(5, 5).unwrap(), pass: Pass::Under };
    let new = apply(&text, &Edit::Touch(pools, touch)).unwrap();
    assert_eq!(new, text.replace("touched = [\"row 5: over 4 to 6\"]\n", ""));
}

#[test]
fn notes_above_a_line_that_is_taken_out_stay_above_the_next() {
    let noted = "bands = [\n  # the first rows\n  \"hem\", # waste yarn";
    let text = include_str!("../data/model.toml").replacen("bands = [\n  \"hem\",", noted, 1);
    let new = apply(&text, &Edit::Stack(StackList::Piece, StackEdit::Remove { at: vec![0] })).unwrap();
    assert_eq!(new, text.replacen("  \"hem\", # waste yarn\n", "", 1));
}
