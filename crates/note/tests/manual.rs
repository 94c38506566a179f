//! The manual is true: every plan in it reads, and the crossings drawn beside it are those of its bands.
//!
//! The drawing follows the order of a band's changes by itself (start, mirrored, over for under, touches), so
//! that it also stands against the code that makes pieces. With `BLESS=1` in the environment the drawings in the
//! manual are drawn anew.

use fellmark_core::habits::Habits;
use fellmark_core::piece::{Resolved, make};
use fellmark_core::plan::{BandId, Edges, EndsWanted, Plan, Source};
use fellmark_core::side::Span;
use fellmark_note::read;
use std::path::{Path, PathBuf};

fn docs() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs")
}

fn pages() -> Vec<PathBuf> {
    let weaves = std::fs::read_dir(docs().join("weaves")).unwrap();
    let mut pages: Vec<PathBuf> = weaves.map(|entry| entry.unwrap().path()).collect();
    pages.push(docs().join("plan-file.md"));
    pages.sort();
    pages
}

/// A fenced block: what stands beside its fence, and where its lines lie in the page.
struct Block {
    label: String,
    lines: std::ops::Range<usize>,
}

fn blocks(page: &str) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut open: Option<Block> = None;
    let mut at = 0;
    for line in page.split_inclusive('\n') {
        if let Some(label) = line.trim_end().strip_prefix("```") {
            match open.take() {
                None => {
                    let start = at + line.len();
                    open = Some(Block { label: label.to_string(), lines: start..start });
                }
                Some(block) => blocks.push(Block { lines: block.lines.start..at, ..block }),
            }
        }
        at += line.len();
    }
    assert!(open.is_none(), "every fence is closed");
    blocks
}

fn all_ends(plan: &Plan) -> Span {
    let EndsWanted::Count(ends) = plan.warp.ends else { panic!("the manual counts its ends") };
    Span::all(ends).unwrap()
}

/// Row `row` of a band over the ends of the piece; `None` where it isn't woven.
fn row(plan: &Plan, id: BandId, row: u32) -> Vec<Option<bool>> {
    let band = &plan.bands[id.0];
    let all = all_ends(plan);
    let span = band_span(plan, id);
    let woven = row + band.start.map_or(0, |start| start.get() - 1);
    let mut over: Vec<Option<bool>> = match &band.source {
        Source::Weave(weave) => {
            all.ends().map(|end| span.contains(end).then(|| weave.over(woven, end - span.first()))).collect()
        }
        Source::Written(rows) => {
            let written = &rows[woven as usize % rows.len()];
            let span = written.ends.unwrap_or(span);
            let over = |end| written.runs.over((end - span.first()) % written.runs.period());
            all.ends().map(|end| span.contains(end).then(|| over(end))).collect()
        }
        Source::Parts(parts) => {
            let of = |end: u32| {
                let named = parts.iter().find(|part| part.ends.is_some_and(|ends| ends.contains(end)));
                let part = named.or(parts.iter().find(|part| part.ends.is_none()))?;
                Some(part.weave.over(woven, end - part.ends.unwrap_or(span).first()))
            };
            all.ends().map(|end| if span.contains(end) { of(end) } else { None }).collect()
        }
        Source::Like(other) => self::row(plan, *other, woven),
    };
    if band.mirrored {
        over[span.first() as usize..=span.last() as usize].reverse();
    }
    if band.over_for_under {
        over.iter_mut().flatten().for_each(|over| *over = !*over);
    }
    for touch in band.touched.iter().filter(|touch| touch.at.contains(row)) {
        for (end, over) in all.ends().zip(&mut over) {
            if touch.ends.contains(end) && over.is_some() {
                *over = Some(touch.pass.is_over());
            }
        }
    }
    over
}

fn band_span(plan: &Plan, id: BandId) -> Span {
    match (plan.bands[id.0].ends, &plan.bands[id.0].source) {
        (Some(own), _) => own,
        (None, Source::Like(other)) => band_span(plan, *other),
        (None, _) => all_ends(plan),
    }
}

/// The rows of a band, the last woven at the top: o over, . under, a space where it isn't woven.
fn crossings(plan: &Plan, name: &str, rows: u32) -> String {
    let id = BandId(
        plan.bands.iter().position(|band| band.name == name).unwrap_or_else(|| panic!("no band {name}")),
    );
    let wefts = plan.wefts_in_turn(id);
    let names: Vec<&str> = wefts.iter().map(|weft| plan.wefts[weft.0].name.as_str()).collect();
    let width = names.iter().map(|name| name.len()).max().unwrap();
    let mut drawn = String::new();
    for k in (0..rows).rev() {
        let marks: String = row(plan, id, k)
            .into_iter()
            .map(|over| match over {
                Some(true) => 'o',
                Some(false) => '.',
                None => ' ',
            })
            .collect();
        let weft = names[k as usize % names.len()];
        drawn += &format!("{:>2}  {weft:<width$}  {}\n", k + 1, marks.trim_end());
    }
    drawn
}

#[test]
fn every_plan_in_the_manual_reads_and_its_crossings_are_as_drawn() {
    let mut drawings = 0;
    for path in pages() {
        let mut page = std::fs::read_to_string(&path).unwrap().replace("\r\n", "\n");
        let mut plan: Option<Plan> = None;
        for nth in 0..blocks(&page).len() {
            let block = blocks(&page).swap_remove(nth);
            let text = page[block.lines.clone()].to_string();
            let words: Vec<&str> = block.label.split_whitespace().collect();
            match words.as_slice() {
                ["toml"] => match read(&text) {
                    Ok(note) => plan = Some(note.plan),
                    Err(problem) => panic!("{}", problem.render(&text, &path.display().to_string(), false)),
                },
                ["crossings", band, rows] => {
                    drawings += 1;
                    let plan = plan.as_ref().expect("a plan stands above its crossings");
                    let drawn = crossings(plan, band, rows.parse().unwrap());
                    if std::env::var_os("BLESS").is_some() {
                        page.replace_range(block.lines.clone(), &drawn);
                    } else {
                        assert_eq!(text, drawn, "{}: {}", path.display(), block.label);
                    }
                }
                ["text" | "toml-part"] => {}
                other => panic!("{}: a block of {other:?}", path.display()),
            }
        }
        if std::env::var_os("BLESS").is_some() {
            std::fs::write(&path, page).unwrap();
        } else if path.parent().is_some_and(|above| above.ends_with("weaves")) && !path.ends_with("README.md")
        {
            assert!(plan.is_some(), "{} has a plan", path.display());
        }
    }
    assert!(drawings > 12, "{drawings} drawings");
}

/// The plans of the manual and of `examples/`, by where they stand.
fn plans() -> Vec<(String, Plan)> {
    let mut plans = Vec::new();
    for path in pages() {
        let page = std::fs::read_to_string(&path).unwrap().replace("\r\n", "\n");
        for block in blocks(&page).into_iter().filter(|block| block.label == "toml") {
            plans.push((path.display().to_string(), read(&page[block.lines]).unwrap().plan));
        }
    }
    for entry in std::fs::read_dir(docs().join("../examples")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|extension| extension == "toml") {
            plans.push((
                path.display().to_string(),
                read(&std::fs::read_to_string(&path).unwrap()).unwrap().plan,
            ));
        }
    }
    plans
}

#[test]
fn every_plan_in_the_manual_makes_a_piece_with_the_crossings_that_are_drawn() {
    let mut compared = 0;
    for (at, mut plan) in plans() {
        // Edge ends that are always taken depend on the needle's side, which the drawing doesn't know.
        plan.edges = Edges::Crossed;
        plan.bands.iter_mut().for_each(|band| band.edges = None);
        let piece = make(&plan, &Habits::of(&plan)).unwrap_or_else(|error| panic!("{at}: {error:?}"));
        for (nth, place) in piece.places.iter().enumerate() {
            let moved =
                |known: &Resolved| matches!(known, Resolved::StartedOnNext { place } if place.0 == nth);
            if piece.resolved.iter().any(moved) {
                continue;
            }
            for (k, number) in place.row_range().enumerate() {
                let ends = 0..piece.end_count();
                let made: Vec<Option<bool>> = ends.map(|end| piece.grid.over(number, end)).collect();
                assert_eq!(made, row(&plan, place.band, k as u32), "{at}: {} row {}", place.name, k + 1);
                compared += 1;
            }
        }
    }
    assert!(compared > 200, "{compared} rows");
}
