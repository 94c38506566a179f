//! The drawing on paper: all of it where a page has the room and its words can be read there, else the rows that the sheet
//! tells, piece by piece.

use crate::drawing::{Drawing, extent};
use crate::type_size::SMALL;
use fellmark_core::say::Section;
use fellmark_core::study::Study;
use fellmark_core::walk::Told;
use std::ops::Range;

/// What a page has room for, across and down, in mm: A4 with a margin of 15 mm all round, and its caption.
pub const PAGE: (f64, f64) = (180.0, 245.0);
/// The smallest letters that are still read in print without effort: 7 points, in mm. Common practice, no source.
const LEAST_LETTERS: f64 = 7.0 * 25.4 / 72.0;
/// Rows that are told as others are drawn with those around them where they are so few.
const FEW: u32 = 12;

/// The rows to draw, each range a drawing; `None`: the whole piece on its frame.
#[must_use]
pub fn pages(study: &Study, options: &Drawing, sections: &[Section]) -> Vec<Option<Range<u32>>> {
    if fits(study, options) {
        return vec![None];
    }
    // One repeat of a few rows alone is no picture of it.
    let lowest = 0..(2 * FEW).min(study.piece.row_count());
    let mut told: Vec<Range<u32>> = vec![lowest];
    for row in sections.iter().flat_map(|section| &section.told).filter_map(|told| match told {
        Told::Row(row) => Some(*row),
        Told::Again { .. } => None,
    }) {
        match told.last_mut() {
            Some(last) if row <= last.end + FEW => last.end = last.end.max(row + 1),
            _ => told.push(row..row + 1),
        }
    }
    told.into_iter().flat_map(|rows| parted(study, options, rows)).map(Some).collect()
}

/// Rows in as many parts as it takes to have each on a page, all about as tall.
fn parted(study: &Study, options: &Drawing, rows: Range<u32>) -> Vec<Range<u32>> {
    let (many, mut parts) = (rows.end - rows.start, 1);
    loop {
        let begin = |part: u32| rows.start + (u64::from(many) * u64::from(part) / u64::from(parts)) as u32;
        let ranges: Vec<Range<u32>> = (0..parts).map(|part| begin(part)..begin(part + 1)).collect();
        let tall = |range: &Range<u32>| {
            let drawing = Drawing { rows: Some(range.clone()), ..options.clone() };
            let (width, height) = extent(study, &drawing);
            // What is too wide becomes smaller in however many parts.
            let smallest = (LEAST_LETTERS / SMALL.size).min(PAGE.0 / width);
            height * smallest > PAGE.1
        };
        if parts >= many || !ranges.iter().any(tall) {
            return ranges;
        }
        parts += 1;
    }
}

/// Whether the letters of a drawing can be read where it is made as small as a page.
fn fits(study: &Study, options: &Drawing) -> bool {
    let (width, height) = extent(study, options);
    (PAGE.0 / width).min(PAGE.1 / height) >= LEAST_LETTERS / SMALL.size
}
